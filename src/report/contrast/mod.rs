//! A contrast for people and programs: page, JSON, CSV.

mod csv;
mod json;
mod page;
pub mod rows;
pub mod sentences;
mod tables;

pub use csv::csv;
pub use json::json;
pub use page::page;
