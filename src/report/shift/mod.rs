//! A shift: a document, CSV, JSON, a picture.

mod csv;
mod document;
mod json;
mod picture;
mod strip;
mod words;

pub use csv::csv;
pub use document::document;
pub use json::json;
pub use picture::{svg, svg_low};
pub(crate) use words::{bleed, duration, rounded};
