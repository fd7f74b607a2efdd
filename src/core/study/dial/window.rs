//! Values of a key between which the weld is sound, and what ends them.

use crate::simulation::verdict::{Cause, Verdict};

/// What ends a window.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Limit {
    /// The weld beyond has this verdict, for this cause.
    Verdict(Option<Verdict>, Cause),
    /// The values beyond are invalid: the key does not take them, or the bank may not have them.
    NoCase,
    /// The range that was searched; the window goes on.
    Range,
}

/// Values of one key \[SI\] between which the weld is sound.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Window {
    /// Lowest sound value.
    pub low: f64,
    /// Highest sound value.
    pub high: f64,
    /// What ends it at the low end.
    pub below: Limit,
    /// What ends it at the high end.
    pub above: Limit,
}

impl Window {
    /// Midway between its ends \[SI\].
    pub fn middle(&self) -> f64 {
        0.5 * (self.low + self.high)
    }

    /// Half its width \[SI\].
    pub fn half(&self) -> f64 {
        0.5 * (self.high - self.low)
    }

    /// Half its width over its middle; see [`Dial::by_ratio`](super::Dial::by_ratio) for where that means something.
    pub fn margin(&self) -> f64 {
        self.half() / self.middle().abs()
    }

    /// Whether the range searched ends before the window does.
    pub fn is_cut(&self) -> bool {
        self.below == Limit::Range || self.above == Limit::Range
    }
}
