//! Earth leads and arc blow for people and programs: document, JSON, CSV, plan.

mod clock;
mod document;
mod json;
mod plan;
mod rim;
pub mod words;

pub use clock::clock;
pub use document::document;
pub use json::json;
pub use plan::{clamps, svg};
pub use rim::csv;
