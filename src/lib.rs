//! One capacitor-discharge stud weld, simulated: the discharge of a capacitor bank, the plunge of
//! the stud, the bursting pip, the arc, the melt of both faces, and where every joule goes.

pub use arcplunge_core::{case, physics, simulation, study};
