//! A fit for people and programs: page, JSON, overlay of the curves with what is left between them.

mod document;
mod overlay;
mod page;
mod remarks;

pub use document::json;
pub use overlay::figure;
pub use page::page;
