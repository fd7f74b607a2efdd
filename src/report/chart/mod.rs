//! The settings chart of a rig: document, CSV, JSON, a drawing.

mod cells;
pub mod csv;
mod document;
mod groups;
pub mod json;
pub mod picture;
mod words;

pub(crate) use cells::{Cells, short, sound};
pub use document::document;
