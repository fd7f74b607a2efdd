//! The keys that cause a figure's scatter: a document, CSV, JSON, a tornado plot.

pub mod csv;
mod document;
pub mod json;
pub mod picture;
mod words;

pub use document::document;

use arcplunge_core::study::sensitivity::SOUND;

/// Figures shown when none are asked for.
pub const SHOWN: [&str; 4] = ["fill_ratio", "vapour_share", "arc_energy_J", SOUND];
