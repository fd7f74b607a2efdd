//! Keys of a case fitted to a measured current: what the rig must be for the trace to come out so.

mod free;
mod problem;
mod result;
pub mod scope;

#[cfg(test)]
mod tests;

pub use free::{Free, FreeError};
pub use problem::{FitError, Setup, fit};
pub use result::{Confusion, Fit, Fitted};
