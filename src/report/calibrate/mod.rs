//! What test welds say of a rig: a document, CSV, JSON and a picture.

mod csv;
mod document;
mod json;
mod next;
mod picture;
mod words;

pub use csv::csv;
pub use document::document;
pub use json::json;
pub use picture::svg;
pub use words::calibrated;
