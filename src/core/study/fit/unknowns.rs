//! The unknowns of a fit: the free keys, the offset that is left, the trigger, the drift of the baseline.
//!
//! Bounds are kept by a change of variable, x = ½(a + b) + ½(b − a)·sin(u − 1) in the logarithm of a positive
//! range: the search itself has none.

use nalgebra::DVector;

use super::free::Free;
use super::problem::Setup;
use crate::case::Case;

/// Shift of the trigger that the search may make, over the width of the measured current.
const SHIFT: f64 = 0.5;

/// Cosine below which a value lies at an end of its range.
const AT_END: f64 = 0.02;

/// Where u has the middle of the range. Not 0: the search measures its steps by the size of u.
const CENTRE: f64 = 1.0;

/// Sine of the point inside of an end at which the rates of a value at that end are taken: at the end itself
/// they vanish with the change of variable.
const INSIDE: f64 = 0.98;

/// One unknown.
#[derive(Debug, Clone, Copy)]
enum Unknown<'a> {
    Key(&'a Free),
    /// \[A\]
    Offset,
    /// \[s\]
    Trigger,
    /// \[A/s\]
    Drift,
}

/// What the unknowns stand for.
pub(super) struct Point {
    /// `None` where the values are not a valid case.
    pub case: Option<Case>,
    /// Offset at the rise \[A\], place of the trigger \[s\], slope of the baseline \[A/s\].
    pub offset: f64,
    pub trigger: f64,
    pub drift: f64,
}

impl Setup {
    fn all(&self) -> impl Iterator<Item = Unknown<'_>> {
        let more = [
            (true, Unknown::Offset),
            (self.shift, Unknown::Trigger),
            (self.drift, Unknown::Drift),
        ];
        let more = more.into_iter().filter(|(there, _)| *there).map(|m| m.1);
        self.free.iter().map(Unknown::Key).chain(more)
    }

    fn unknown(&self, k: usize) -> Unknown<'_> {
        self.all().nth(k).unwrap_or(Unknown::Offset)
    }

    /// Number of unknowns.
    pub(super) fn unknowns(&self) -> usize {
        self.all().count()
    }

    /// Names of the unknowns.
    pub(super) fn names(&self) -> Vec<String> {
        let name = |unknown| match unknown {
            Unknown::Key(free) => free.name.clone(),
            Unknown::Offset => "offset".to_string(),
            Unknown::Trigger => "trigger".to_string(),
            Unknown::Drift => "drift".to_string(),
        };
        self.all().map(name).collect()
    }

    /// Value of unknown `k` at the start \[SI\].
    pub(super) fn start(&self, k: usize) -> f64 {
        match self.unknown(k) {
            Unknown::Key(free) => free.start,
            Unknown::Trigger => self.trace.rise - self.lag,
            Unknown::Offset | Unknown::Drift => 0.0,
        }
    }

    /// Range of unknown `k`, and whether it is logarithmic.
    fn range(&self, k: usize) -> (f64, f64, bool) {
        match self.unknown(k) {
            Unknown::Key(free) => (free.range.0, free.range.1, free.by_ratios()),
            Unknown::Offset => (-self.offset, self.offset, false),
            Unknown::Drift => {
                let most = self.offset / self.trace.width;
                (-most, most, false)
            }
            Unknown::Trigger => {
                let (at, far) = (self.start(k), SHIFT * self.trace.width);
                (at - far, at + far, false)
            }
        }
    }

    /// Value of unknown `k` \[SI\] at `u`, and its rate there.
    pub(super) fn value(&self, k: usize, u: f64) -> (f64, f64) {
        let (low, high, log) = self.range(k);
        let (a, b) = if log {
            (low.ln(), high.ln())
        } else {
            (low, high)
        };
        let x = 0.5 * (a + b) + 0.5 * (b - a) * (u - CENTRE).sin();
        let rate = 0.5 * (b - a) * (u - CENTRE).cos();
        if log {
            (x.exp(), x.exp() * rate)
        } else {
            (x, rate)
        }
    }

    /// The end of its range that unknown `k` lies at, if it does \[SI\].
    pub(super) fn end(&self, k: usize, u: f64) -> Option<f64> {
        let (low, high, _) = self.range(k);
        let end = if (u - CENTRE).sin() < 0.0 { low } else { high };
        ((u - CENTRE).cos().abs() < AT_END).then_some(end)
    }

    /// `u`, a little inside of the end where it lies at one.
    pub(super) fn inside(u: f64) -> f64 {
        let sine = (u - CENTRE).sin();
        if (u - CENTRE).cos().abs() < AT_END {
            (INSIDE * sine.signum()).asin() + CENTRE
        } else {
            u
        }
    }

    /// Where unknown `k` has the value `x`.
    pub(super) fn place(&self, k: usize, x: f64) -> f64 {
        let (low, high, log) = self.range(k);
        let (a, b, x) = if log {
            (low.ln(), high.ln(), x.ln())
        } else {
            (low, high, x)
        };
        // Never on a bound itself, where the search would stand still.
        ((2.0 * x - a - b) / (b - a)).clamp(-0.995, 0.995).asin() + CENTRE
    }

    /// Where an unknown lies a `share` of the way through its range.
    pub(super) fn share(share: f64) -> f64 {
        (2.0 * share - 1.0).clamp(-0.995, 0.995).asin() + CENTRE
    }

    /// What the unknowns are at `u`.
    pub(super) fn at(&self, u: &DVector<f64>) -> Point {
        let mut point = Point {
            case: Some(self.case.clone()),
            offset: 0.0,
            trigger: 0.0,
            drift: 0.0,
        };
        for (k, unknown) in self.all().enumerate() {
            let value = self.value(k, u[k]).0;
            match unknown {
                Unknown::Key(free) => {
                    let set = |mut case: Case| {
                        let set = free.address.set_number(&mut case, value);
                        set.ok().map(|()| case)
                    };
                    point.case = point.case.take().and_then(set);
                }
                Unknown::Offset => point.offset = value,
                Unknown::Trigger => point.trigger = value,
                Unknown::Drift => point.drift = value,
            }
        }
        point
    }
}
