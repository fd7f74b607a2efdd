//! The value of a key that reaches a goal: a figure's value, or a sound weld.

pub mod asked;
mod columns;
mod likely;
mod nowhere;
mod pair;
pub mod range;
mod region;
mod voltage;
mod warned;
mod window;

#[cfg(test)]
mod tests;

pub use likely::Advice;
pub use nowhere::{Mend, Nowhere, Why};
pub use pair::{Middle, Pair};
pub use voltage::Voltages;
pub use window::{Limit, Window};

use rayon::prelude::*;

use crate::case::Case;
use crate::case::keys::mark_of;
use crate::case::quantity::Dimension;
use crate::case::tolerance::Tolerances;
use crate::simulation::fire::{Settings, Workspace};
use crate::simulation::named::Read;
use crate::simulation::verdict::Verdict;
use crate::study::range::Vary;
use crate::study::runs::runs;
use crate::study::sweep::{Outcome, Sweep};

/// Values tried over the range of one key.
const ALONG: usize = 161;

/// Halvings that find the end of a window or the root of a figure.
const HALVINGS: usize = 44;

/// Keys to turn in a case, each within a range.
#[derive(Debug, Clone)]
pub struct Dial {
    sweep: Sweep,
    tolerances: Tolerances,
}

/// A figure's value found, or the values it can have.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Reached {
    /// The key's value \[SI\].
    At(f64),
    /// The figure's least and largest value, each with the key's value where it is met \[SI\].
    Between([(f64, f64); 2]),
    /// The figure has no value anywhere in the range.
    Never,
}

impl Dial {
    /// Keys to turn; of each `Vary` the range counts, its number of values does not.
    pub fn new(base: Case, turn: Vec<Vary>) -> Self {
        let settings = Settings::frozen();
        Dial {
            sweep: Sweep {
                base,
                vary: turn,
                settings,
            },
            tolerances: Tolerances::default(),
        }
    }

    /// The same, where rig and studs scatter as these say.
    pub fn scattered(self, tolerances: Tolerances) -> Self {
        Dial { tolerances, ..self }
    }

    /// The same keys turned in another case.
    pub fn with_base(&self, base: Case) -> Self {
        let mut other = self.clone();
        other.sweep.base = base;
        other
    }

    /// The keys that are turned, each with its range.
    pub fn turned(&self) -> &[Vary] {
        &self.sweep.vary
    }

    /// The case the keys are turned in.
    pub fn base(&self) -> &Case {
        &self.sweep.base
    }

    /// The present value of key `k` \[SI\].
    pub fn now(&self, k: usize) -> Option<f64> {
        self.sweep.vary[k].address.number(&self.sweep.base)
    }

    /// Fires the case with these values of the keys \[SI\].
    pub fn fire(&self, values: &[f64]) -> Outcome {
        self.sweep.fire(values, &mut Workspace::default())
    }

    /// Whether ratios of key `key` mean something: its range lies above zero, and its zero is where
    /// there is nothing of it. That of a temperature, a mark or a coordinate is chosen.
    pub fn by_ratio(&self, key: usize) -> bool {
        self.zero_is_none(key) && self.ends(key)[0] > 0.0
    }

    /// Whether the zero of key `key` is where there is nothing of it, and nothing is less.
    fn zero_is_none(&self, key: usize) -> bool {
        let Vary {
            address, number, ..
        } = &self.sweep.vary[key];
        let path = address.to_string();
        let is_mark = mark_of(&path).is_some_and(|(mark, _)| mark.path == path);
        let chosen = is_mark || number.dimension == Dimension::Temperature;
        !chosen && number.range.least >= 0.0
    }

    /// Whether a window of key `key` begins where there is nothing of it, as of a tilt: less there is none.
    pub fn is_from_none(&self, key: usize, window: &Window) -> bool {
        self.zero_is_none(key) && window.low == 0.0 && window.below == Limit::NoCase
    }

    /// What a key's margin is a share of: its value, or the width of the range searched.
    pub fn measure(&self, key: usize, value: f64) -> f64 {
        let [from, to] = self.ends(key);
        if self.by_ratio(key) {
            value.abs()
        } else {
            to - from
        }
    }

    /// Both ends of the range of key `key` \[SI\], the lower one first.
    pub fn ends(&self, key: usize) -> [f64; 2] {
        let v = &self.sweep.vary[key];
        [v.from.min(v.to), v.from.max(v.to)]
    }

    /// Value number `k` of `n` over the range of key `key`: by equal ratios where they mean something,
    /// else by equal steps.
    fn value(&self, key: usize, k: usize, n: usize) -> f64 {
        let [from, to] = self.ends(key);
        match k {
            0 => from,
            _ if k + 1 == n => to,
            _ => self.shifted(key, from, k as f64 / (n - 1) as f64),
        }
    }

    /// The value of key `key` a share of its range on from `value`, within the range.
    fn shifted(&self, key: usize, value: f64, share: f64) -> f64 {
        let [from, to] = self.ends(key);
        let [low, high] = [from, to].map(|end| self.length(key, end));
        let there = self.at_length(key, self.length(key, value) + (high - low) * share);
        there.clamp(from, to)
    }

    /// How far up a value lies: equal lengths are equal ratios where they mean something, else equal shares of the
    /// range.
    fn length(&self, key: usize, value: f64) -> f64 {
        let [from, to] = self.ends(key);
        if self.by_ratio(key) {
            value.ln()
        } else {
            value / (to - from)
        }
    }

    /// The value that lies so far up.
    fn at_length(&self, key: usize, length: f64) -> f64 {
        let [from, to] = self.ends(key);
        if self.by_ratio(key) {
            length.exp()
        } else {
            length * (to - from)
        }
    }

    /// Fires key `key` over its range, the other held at `other`.
    fn scan(&self, key: usize, other: Option<f64>, n: usize) -> Vec<(f64, Outcome)> {
        (0..n)
            .into_par_iter()
            .map_init(Workspace::default, |work, k| {
                let value = self.value(key, k, n);
                (value, self.sweep.fire(&both(key, value, other), work))
            })
            .collect()
    }

    /// The windows of key `key` in which the weld is sound, the other key held at `other`.
    pub fn windows(&self, key: usize, other: Option<f64>) -> Vec<Window> {
        self.windows_of(key, other, &self.scan(key, other, ALONG))
    }

    /// The same, and none is missed that holds `value`, however narrow.
    pub fn windows_near(&self, key: usize, other: f64, value: f64) -> Vec<Window> {
        let mut scan = self.scan(key, Some(other), ALONG);
        let shot = self.fire(&both(key, value, Some(other)));
        let place = scan.partition_point(|(v, _)| *v < value);
        if scan.get(place).is_none_or(|(v, _)| *v != value) {
            scan.insert(place, (value, shot));
        }
        self.windows_of(key, Some(other), &scan)
    }

    fn windows_of(&self, key: usize, other: Option<f64>, scan: &[(f64, Outcome)]) -> Vec<Window> {
        let end = |inside: usize, outside: Option<&(f64, Outcome)>| match outside {
            None if self.is_last(key, scan[inside].0) => (scan[inside].0, Limit::NoCase),
            None => (scan[inside].0, Limit::Range),
            Some((value, _)) => self.end(key, other, scan[inside].0, *value),
        };
        let sound = runs(scan.len(), |k| is_sound(&scan[k].1));
        let windows = sound.into_iter().map(|(first, last)| {
            let (low, below) = end(first, first.checked_sub(1).map(|o| &scan[o]));
            let (high, above) = end(last, scan.get(last + 1));
            Window {
                low,
                high,
                below,
                above,
            }
        });
        windows.collect()
    }

    /// Whether the key takes no value beyond this one.
    fn is_last(&self, key: usize, value: f64) -> bool {
        let Vary {
            address, number, ..
        } = &self.sweep.vary[key];
        let rig = range::rig_limits(&self.sweep.base, &address.to_string());
        let bounds = [Some(number.range.least), Some(number.range.most)];
        bounds.contains(&Some(value)) || rig.contains(&Some(value))
    }

    /// The end of a window between a sound value and one that is not.
    fn end(&self, key: usize, other: Option<f64>, sound: f64, not: f64) -> (f64, Limit) {
        let mut work = Workspace::default();
        let mut beyond = self.sweep.fire(&both(key, not, other), &mut work);
        let inside = halve(sound, not, HALVINGS, |value| {
            let found = self.sweep.fire(&both(key, value, other), &mut work);
            let sound = is_sound(&found);
            if !sound {
                beyond = found;
            }
            sound
        });
        let limit = match beyond {
            Outcome::Shot { verdict, cause, .. } => Limit::Verdict(verdict, cause),
            Outcome::None(_) => Limit::NoCase,
        };
        (inside, limit)
    }

    /// The window that holds the present value of key `key`, or else the nearest.
    ///
    /// # Errors
    /// Where the weld is sound nowhere: why.
    pub fn window(&self, key: usize, other: Option<f64>) -> Result<Window, Nowhere> {
        let scan = self.scan(key, other, ALONG);
        let nearest = self.nearest(key, self.windows_of(key, other, &scan));
        nearest.ok_or_else(|| {
            let at = |v: f64| match both(key, v, other)[..] {
                [a, b] => [a, b],
                _ => [v, 0.0],
            };
            self.nowhere(scan.iter().map(|(v, o)| (at(*v), o)))
        })
    }

    /// The window nearest to the present value of key `key`.
    fn nearest(&self, key: usize, windows: Vec<Window>) -> Option<Window> {
        let now = self.now(key).unwrap_or(0.0);
        let away = |w: &Window| (w.low - now).max(now - w.high).max(0.0);
        windows
            .into_iter()
            .min_by(|a, b| away(a).total_cmp(&away(b)))
    }

    /// The value of key 0 at which the figure has the value `goal`, the nearest to the present one.
    pub fn reach(&self, read: Read, goal: f64) -> Reached {
        let scan = self.scan(0, None, ALONG);
        let figure = |o: &Outcome| o.figures().and_then(read).filter(|v| v.is_finite());
        let points: Vec<(f64, Option<f64>)> = scan.iter().map(|(v, o)| (*v, figure(o))).collect();
        let now = self.now(0).unwrap_or(0.0);
        let root = points
            .windows(2)
            .filter_map(|pair| {
                let (a, b) = (pair[0].1? - goal, pair[1].1? - goal);
                let crosses = a == 0.0 || b == 0.0 || (a < 0.0) != (b < 0.0);
                crosses.then(|| self.root(read, goal, (pair[0].0, a), (pair[1].0, b)))?
            })
            .min_by(|a, b| (a - now).abs().total_cmp(&(b - now).abs()));
        if let Some(value) = root {
            return Reached::At(value);
        }
        let all = || points.iter().filter_map(|(v, f)| f.map(|f| (f, *v)));
        let least = all().min_by(|a, b| a.0.total_cmp(&b.0));
        let most = all().max_by(|a, b| a.0.total_cmp(&b.0));
        match (least, most) {
            (Some(least), Some(most)) => Reached::Between([least, most]),
            _ => Reached::Never,
        }
    }

    /// Halves the stretch between two values on either side of the goal; `None` at a jump over it.
    fn root(&self, read: Read, goal: f64, a: (f64, f64), b: (f64, f64)) -> Option<f64> {
        let mut work = Workspace::default();
        let ((mut low, mut at_low), (mut high, at_high)) = (a, b);
        let span = (at_high - at_low).abs();
        for _ in 0..HALVINGS {
            let middle = 0.5 * (low + high);
            let found = self.sweep.fire(&[middle], &mut work);
            let at = found.figures().and_then(read)? - goal;
            if (at < 0.0) == (at_low < 0.0) && at != 0.0 {
                (low, at_low) = (middle, at);
            } else {
                high = middle;
            }
        }
        let found = self.sweep.fire(&[high], &mut work);
        let off = (found.figures().and_then(read)? - goal).abs();
        (off <= 1e-3 * span.max(1e-9 * goal.abs())).then_some(high)
    }
}

fn is_sound(outcome: &Outcome) -> bool {
    outcome.verdict() == Some(Verdict::Sound)
}

/// Halves the stretch between a value within and one without; the last value within.
pub(in crate::study) fn halve(
    mut inside: f64,
    mut outside: f64,
    times: usize,
    mut within: impl FnMut(f64) -> bool,
) -> f64 {
    for _ in 0..times {
        let middle = 0.5 * (inside + outside);
        if middle == inside || middle == outside {
            break;
        }
        if within(middle) {
            inside = middle;
        } else {
            outside = middle;
        }
    }
    inside
}

/// The values of both keys, `key` at `value`.
fn both(key: usize, value: f64, other: Option<f64>) -> Vec<f64> {
    match (key, other) {
        (_, None) => vec![value],
        (0, Some(other)) => vec![value, other],
        (_, Some(other)) => vec![other, value],
    }
}
