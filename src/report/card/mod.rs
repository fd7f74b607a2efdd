//! The set-up card: a document for terminal and one sheet of paper, JSON, CSV, drawn welds.

mod csv;
mod document;
mod json;
mod picture;
mod proof;
mod setup;
mod words;
mod work;

pub use csv::csv;
pub use document::document;
pub use json::json;
pub use picture::svg;
