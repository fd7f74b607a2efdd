//! One list of every key of a case: its name, what it measures, what it may be, and where it lives.

pub mod metal;
mod number;

pub use number::{Number, Range};
