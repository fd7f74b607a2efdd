//! One spring force for every line of a chart: the one at which the worst off of them has the widest margin.

use super::{Searched, Setting, handy, set};
use crate::study::dial::{Dial, Middle};
use crate::study::range::Vary;

/// Forces tried over the range.
const FORCES: usize = 97;

/// The force with which most studs are sound and, of those, the least margin is the widest \[N\]; `None` where none is.
pub(super) fn best(searched: &[Searched], range: &Vary) -> Option<f64> {
    let ratio = range.to / range.from;
    let force = |k: usize| range.from * ratio.powf(k as f64 / (FORCES - 1) as f64);
    let margins = |force: f64| {
        searched.iter().filter_map(move |s| match s {
            Searched::Sound(dial, middle) => middle.at_other(dial, force).map(|(_, margin)| margin),
            Searched::Not(_) => None,
        })
    };
    let worth = |force: f64| {
        let least = margins(force).fold(f64::INFINITY, f64::min);
        (margins(force).count(), least)
    };
    let better = |a: &f64, b: &f64| {
        let (a, b) = (worth(*a), worth(*b));
        a.0.cmp(&b.0).then(a.1.total_cmp(&b.1))
    };
    let found = (0..FORCES).map(force).max_by(better)?;
    let dial = searched.iter().find_map(|s| match s {
        Searched::Sound(dial, _) => Some(dial),
        Searched::Not(_) => None,
    })?;
    Some(handy(dial, 1, found, [range.from, range.to]))
}

/// The setting of a stud at this force \[N\]; `None` where it is not sound there.
pub(super) fn setting(dial: &Dial, middle: &Middle, force: f64) -> Option<Setting> {
    let (at, margin) = middle.at_other(dial, force)?;
    let pair = middle.likeliest(dial, at, margin)?;
    let [window, _] = pair.windows;
    let voltage = handy(dial, 0, pair.at[0], [window.low, window.high]);
    set(dial, &pair, [voltage, force]).or_else(|| set(dial, &pair, pair.at))
}
