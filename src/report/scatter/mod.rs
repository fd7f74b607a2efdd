//! What many shots show: rows as CSV, a document, JSON, a picture.

pub mod csv;
mod document;
pub mod json;
pub mod picture;
pub mod rare;
mod words;

pub use document::document;
pub use words::counted;

/// Figures shown when none are asked for.
pub const SHOWN: [&str; 7] = [
    "rim_fill_min",
    "fill_ratio",
    "vapour_share",
    "arc_energy_J",
    "arc_time_s",
    "peak_current_A",
    "melt_sheet_m",
];

/// Figures of a discharge test.
pub const SHOWN_BOLTED: [&str; 4] = [
    "peak_current_A",
    "time_of_peak_s",
    "action_A2s",
    "stored_energy_J",
];
