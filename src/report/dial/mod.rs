//! What a dial found: document, words, values, JSON.

mod document;
mod found;
mod json;
mod value;
mod words;

pub use document::document;
pub use found::Found;
pub use json::json;
pub use words::{NO_HIGHER, beyond, limit_name, nowhere};
