//! The settings chart of a rig: document, CSV, JSON, a drawing.

mod cells;
pub mod csv;
mod document;
mod groups;
pub mod json;
pub mod picture;
mod words;

pub use document::document;
