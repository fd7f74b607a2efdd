//! A comparison for people and programs: page, JSON, CSV.

mod csv;
mod document;
mod joules;
mod json;
mod moves;
mod remedies;
pub mod reserve;
pub mod sentences;
mod tables;

pub use csv::csv;
pub use document::document;
pub use json::json;
pub use remedies::remedy;
