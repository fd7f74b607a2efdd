//! Random rigs for the property tests: each is the demonstration case with overrides, so that a
//! failure reads as a command line and shrinks by leaving overrides out.

pub mod judge;
pub mod settings;
pub mod sweep;
