//! Keys of a case fitted to a measured current: what the rig must be for the trace to come out so.

mod free;
mod memory;
mod problem;
mod result;
pub mod scope;
mod search;
pub mod trace;

#[cfg(test)]
mod file_tests;
#[cfg(test)]
mod tests;

pub use free::{Free, FreeError};
pub use problem::{FitError, Setup};
pub use result::{Confusion, Fit, Fitted};
pub use search::fit;
