//! A shift: a document, CSV, JSON, a picture.

mod csv;
mod curves;
mod document;
mod json;
mod picture;
mod strip;
mod told;
mod words;

pub use csv::csv;
pub use curves::{Curves, curves};
pub use document::document;
pub use json::{json, value};
pub use picture::{svg, svg_low};
pub use told::{Told, told};
pub(crate) use words::{bleed, duration, rounded};
