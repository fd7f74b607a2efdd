//! Which keys a figure's scatter comes from: a page, CSV, JSON, a tornado plot.

pub mod csv;
pub mod json;
pub mod picture;
pub mod text;

use crate::report::quantity::words;
use crate::study::sensitivity::indices::Indices;
use crate::study::sensitivity::{Found, SOUND};

/// Figures shown when none are asked for.
pub const SHOWN: [&str; 4] = ["fill_ratio", "vapour_share", "arc_energy_J", SOUND];

/// Keys whose total index is below this are not shown one by one.
const FAINT: f64 = 0.005;

/// A figure in words.
fn name(figure: &'static str) -> &'static str {
    match figure {
        SOUND => "sound or not",
        figure => words(figure).name,
    }
}

/// Keys of a figure by their total index, the largest first, and how many fainter ones there are.
fn ordered(found: &Found) -> (Vec<(usize, Indices)>, usize) {
    let all = found.indices.iter().flatten().copied().enumerate();
    let mut all: Vec<(usize, Indices)> = all.collect();
    all.sort_by(|a, b| b.1.total.value.total_cmp(&a.1.total.value));
    let whole = all.len();
    all.retain(|(_, indices)| indices.total.value >= FAINT);
    let faint = whole - all.len();
    (all, faint)
}

/// Share of the variance that no key brings about alone.
fn interaction(found: &Found) -> f64 {
    let first = found.indices.iter().flatten().map(|i| i.first.value);
    (1.0 - first.sum::<f64>()).clamp(0.0, 1.0)
}

/// Why a figure has no indices.
fn none(found: &Found) -> &'static str {
    match found.samples {
        0 => "no shot has this figure",
        _ => "it is the same in every shot",
    }
}
