//! One capacitor-discharge stud weld, simulated: the discharge of a capacitor bank, the plunge of
//! the stud, the bursting pip, the arc, the melt of both faces, and where every joule goes.

#![forbid(unsafe_code)]
#![warn(missing_docs)]

pub mod case;
pub mod cli;
pub mod cycle;
#[cfg(test)]
mod kept;
#[cfg(feature = "page")]
pub mod page;
pub mod physics;
pub mod report;
pub mod study;
