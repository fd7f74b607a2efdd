//! What a sweep of one or two keys shows: rows as CSV and JSON, a document, curves, a map.

pub mod csv;
pub mod curves;
pub mod design;
mod document;
mod grid;
mod json;
pub mod look;
pub mod map;
mod picture;
mod regions;
mod spot;
mod trace;

pub use document::document;
pub use json::{json, study};
pub use picture::{Found, picture};
