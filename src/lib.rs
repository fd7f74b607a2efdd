//! One capacitor-discharge stud weld, simulated: the discharge of a capacitor bank, the plunge of
//! the stud, the bursting pip, the arc, the melt of both faces, and where every joule goes.
//!
//! A first weld: what does a gun lead of 12 m instead of 5 m cost?
//!
//! ```
//! use arcplunge::{Case, Rig, Settings, fire};
//!
//! let mut case = Case::default();
//! let short = fire(&Rig::try_new(&case)?, &Settings::default())?;
//! case.set("lead.length", "12 m")?;
//! let long = fire(&Rig::try_new(&case)?, &Settings::default())?;
//!
//! assert_eq!(short.verdict.unwrap().name(), "sound");
//! assert_eq!(long.verdict.unwrap().name(), "cold");
//! assert!(long.figures.arc_energy_J < short.figures.arc_energy_J);
//! assert!(short.imbalance() < 1e-6); // every joule is accounted for
//! # Ok::<(), arcplunge::Error>(())
//! ```
//!
//! A [`Case`] is what the user describes, in SI units; it is built by hand, changed by key, or read from TOML or
//! JSON. A [`Rig`] is the case checked and folded into the numbers of its circuit, plunge and faces. [`fire`]
//! gives a [`Shot`]: figures, events, ledger and verdict; [`curves`] its rows over time. The studies in
//! [`study`] fire many.
//!
//! A verdict is a screen, never an acceptance: test welds decide. The work can hurt people; the maker's
//! instructions, local rules and qualified practice come first.

pub use arcplunge_core::simulation::events::{Event, EventName, Phase};
pub use arcplunge_core::simulation::fire::Settings;
pub use arcplunge_core::simulation::shot::{Figures, Shot};
pub use arcplunge_core::simulation::trace::{Row, Trace};
pub use arcplunge_core::simulation::verdict::{Cause, Verdict};
pub use arcplunge_core::simulation::weld::{curves, fire};
pub use arcplunge_core::{Case, Error, ErrorKind, Rig};

/// The parts of a case.
pub mod case {
    pub use arcplunge_core::case::model::{
        Arc, Attitude, Bank, CentreMark, Charger, Earth, Joint, Joints, Lead, Limits, Metal,
        Method, Model, Probe, Room, Sheet, Stud, Thermal, Tool, Wear,
    };
}

/// Many welds: what a single one cannot tell.
pub mod study {
    pub use arcplunge_core::study::assessment::Assessment;
    pub use arcplunge_core::study::band::Band;
    pub use arcplunge_core::study::chart::Chart;
    pub use arcplunge_core::study::compare::Comparison;
    pub use arcplunge_core::study::dial::{Limit, Window};
    pub use arcplunge_core::study::earths::Blow;
    pub use arcplunge_core::study::fit::{Fit, Fitted};
    pub use arcplunge_core::study::outcome::Outcome;
    pub use arcplunge_core::study::scatter::{Row as ScatterRow, Scatter};
    pub use arcplunge_core::study::sensitivity::Found as Sensitivity;
    pub use arcplunge_core::study::shift::Shift;
    pub use arcplunge_core::study::sweep::Row as SweepRow;
    pub use arcplunge_core::study::weld::{
        band, chart, compare, earths, fire_all, fit, scatter, sensitivity, shift, sweep, window,
    };
}
