//! What the outputs of a scatter have in common: which keys move a figure, how it was drawn, large numbers.

use arcplunge_core::study::scatter::Scatter;
use arcplunge_core::study::scatter::summary::Summary;

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
    let s = if summary.shots == 1 { "" } else { "s" };
    format!(
        "{shots} shot{s}, {}, seed {}",
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
