//! What a dial found: document, words, values, JSON, CSV, a picture.

mod csv;
mod document;
mod found;
mod json;
mod picture;
mod value;
mod words;

pub use csv::csv;
pub use document::document;
pub use found::Found;
pub use json::json;
pub use picture::svg;
pub use words::{NO_HIGHER, beyond, limit_name, nowhere};
