//! What a sweep of one or two keys shows: rows as CSV, a document, curves, a map.

pub mod csv;
pub mod curves;
mod document;
pub mod look;
pub mod map;

pub use document::document;
