//! What test welds say of a rig: a document, CSV, JSON and a picture.

mod csv;
mod document;
mod json;
mod kept;
mod next;
mod picture;
mod told;
mod words;

pub use csv::csv;
pub use document::document;
pub use json::{json, value};
pub use kept::Kept;
pub use picture::svg;
pub use told::{Told, told};
pub use words::calibrated;
