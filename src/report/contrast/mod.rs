//! A contrast for people and programs: page, JSON, CSV.

mod csv;
mod json;
mod page;
mod remedies;
pub mod reserve;
pub mod rows;
pub mod sentences;
mod tables;

pub use csv::csv;
pub use json::json;
pub use page::page;
pub use remedies::remedy;
