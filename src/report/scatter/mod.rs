//! What many shots show: rows as CSV, a page, JSON, a picture.

pub mod csv;
pub mod json;
pub mod picture;
pub mod text;

use arcplunge_core::study::scatter::Scatter;
use arcplunge_core::study::scatter::summary::Summary;

/// Figures shown when none are asked for.
pub const SHOWN: [&str; 6] = [
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

/// The drawn keys that a figure moves with, the strongest first: number of the draw and rank
/// correlation.
pub fn movers(summary: &Summary, figure: &str) -> Vec<(usize, f64)> {
    let all = summary.correlations(figure);
    let mut all: Vec<(usize, f64)> = all
        .into_iter()
        .enumerate()
        .filter_map(|(k, r)| Some((k, r?)))
        .collect();
    all.sort_by(|a, b| b.1.abs().total_cmp(&a.1.abs()));
    all
}

/// "10 000 shots, Sobol points, seed 1".
pub fn how(scatter: &Scatter, summary: &Summary) -> String {
    let points = scatter.points;
    let shots = counted(summary.shots);
    format!(
        "{shots} shots, {}, seed {}",
        points.sampling.words(),
        points.seed
    )
}

/// A number in groups of three: 10 000.
pub fn counted(n: u64) -> String {
    let digits = n.to_string();
    let mut out = String::new();
    for (k, c) in digits.chars().enumerate() {
        if k > 0 && (digits.len() - k).is_multiple_of(3) {
            out.push(' ');
        }
        out.push(c);
    }
    out
}
