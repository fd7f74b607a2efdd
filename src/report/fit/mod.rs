//! A fit for people and programs: document, JSON, overlay of the curves with the residual.

mod csv;
mod document;
mod json;
mod overlay;
mod remarks;
mod traces;
mod values;

pub use csv::csv;
pub use document::document;
pub use json::{Source, json};
pub use overlay::figure;
pub use traces::scale;
pub use values::unit;
