//! The laws, the case, one simulated weld, and studies of many.

pub mod case;
mod error;
pub mod physics;
pub mod simulation;
pub mod study;

pub use case::Case;
pub use error::{Error, ErrorKind};
pub use simulation::fire::Settings;
pub use simulation::rig::Rig;
pub use simulation::shot::Shot;
pub use simulation::weld::fire;
