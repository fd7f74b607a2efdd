//! Keys of a case fitted to a measured current.

mod autocorrelation;
mod clipping;
pub(crate) mod curve;
mod digitizer;
mod diode;
mod errors;
mod free;
mod head;
mod held;
pub(crate) mod integral;
mod known;
mod left;
pub mod oscilloscope_csv;
mod problem;
mod recording;
mod residuals;
mod result;
mod row;
mod scale;
mod scope_error;
mod search;
mod source;
pub mod trace;
mod unknowns;
mod written;

#[cfg(test)]
mod file_tests;
#[cfg(test)]
mod tests;

pub use errors::SAME_KEY;
pub use free::{Free, FreeError};
pub use held::Held;
pub use known::Known;
pub use problem::{FitError, Record, Setup};
pub use result::{Confusion, Failed, Fit, Fitted, Other, Seen, fit};
pub use unknowns::Sought;
