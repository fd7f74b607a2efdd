//! Shots for people and programs: words, the page in the terminal, JSON and CSV.

pub mod catalogue;
pub mod cautions;
pub mod format;
pub mod json;
pub mod page;
pub mod prove;
pub mod reasons;
pub mod table;
pub mod title;
pub mod validation;
