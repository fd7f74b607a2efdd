//! Results for people and programs: text, tables and pages.

pub mod prove;
pub mod validation;
