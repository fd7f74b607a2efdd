//! What the outputs of a sensitivity have in common: names, the order of keys, doubts, indices as text.

use crate::quantity::label;
use crate::scatter::counted;
use arcplunge_core::study::sensitivity::indices::{Index, Indices};
use arcplunge_core::study::sensitivity::{Found, SOUND};

/// Keys whose total index is below this are not shown one by one.
const FAINT: f64 = 0.005;

/// A figure in words.
pub(super) fn name(figure: &'static str) -> &'static str {
    match figure {
        SOUND => "sound or not",
        figure => label(figure),
    }
}

/// Keys of a figure by their total index, the largest first, and how many fainter ones there are.
pub(super) fn ordered(found: &Found) -> (Vec<(usize, Indices)>, usize) {
    let keys = found.indices.iter().flat_map(|shares| &shares.keys);
    let all = keys.copied().enumerate();
    let mut all: Vec<(usize, Indices)> = all.collect();
    all.sort_by(|a, b| b.1.total.value.total_cmp(&a.1.total.value));
    let whole = all.len();
    all.retain(|(_, indices)| indices.total.value >= FAINT);
    let faint = whole - all.len();
    (all, faint)
}

/// Samples with welds that differ in their verdict below which the indices of `sound` are not settled.
const FEW: usize = 200;

/// Share of samples left out from which on the indices are of another weld.
const LEFT_OUT: f64 = 0.01;

/// Width of an interval of a total index above which the indices say nothing about which key matters.
const WIDE: f64 = 0.5;

/// That the intervals are too wide to mean anything, where they are.
pub(super) fn too_wide(found: &Found) -> Option<String> {
    let keys = found.indices.iter().flat_map(|shares| &shares.keys);
    let widest = keys.map(|i| i.total.high - i.total.low).fold(0.0, f64::max);
    (widest > WIDE).then(|| {
        format!("inconclusive: intervals up to {widest:.1} wide say little; use more --samples")
    })
}

/// What is to be known before the indices of a figure of `samples` samples are believed.
pub(super) fn doubts(found: &Found, samples: usize) -> Vec<String> {
    let mut out: Vec<String> = too_wide(found).into_iter().collect();
    let varies = found.indices.is_some();
    if varies && found.figure == SOUND && found.differ < FEW {
        let rare = match found.mean {
            Some(mean) if mean < 0.5 => "sound",
            _ => "not sound",
        };
        out.push(format!(
            "too few welds are {rare}: verdicts differ in {} of {} samples; the intervals may be too narrow, \
             use more --samples",
            counted(found.differ as u64),
            counted(found.samples as u64)
        ));
    }
    let left_out = samples - found.samples;
    if left_out > 0 {
        let biased = if varies && left_out as f64 > LEFT_OUT * samples as f64 {
            "; this biases the indices, which hold only for welds that have it"
        } else {
            ""
        };
        out.push(format!(
            "{} samples left out: not all of their shots have the figure{biased}",
            counted(left_out as u64)
        ));
    }
    out
}

/// Why a figure has no indices.
pub(super) fn none(found: &Found) -> &'static str {
    match found.samples {
        0 => "no shot has this figure",
        _ => "it is the same in every shot",
    }
}

/// `0.97, 0.94 to 0.99`.
pub(super) fn cell(index: Index) -> String {
    let number = |v: f64| format!("{:.2}", if v.abs() < 0.005 { 0.0 } else { v });
    let (value, low, high) = (number(index.value), number(index.low), number(index.high));
    format!("{value}, {low} to {high}").replace('-', "−")
}
