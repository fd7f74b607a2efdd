//! Keys of a case fitted to a measured current.

mod autocorrelation;
mod clipping;
mod errors;
mod free;
pub mod oscilloscope_csv;
mod problem;
mod result;
mod row;
mod search;
pub mod trace;
mod unknowns;
mod written;

#[cfg(test)]
mod file_tests;
#[cfg(test)]
mod tests;

pub use errors::SAME_KEY;
pub use free::{Free, FreeError};
pub use problem::{FitError, Setup};
pub use result::{Confusion, Failed, Fit, Fitted, Other, fit};
