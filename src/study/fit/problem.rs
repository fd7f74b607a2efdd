//! The least-squares problem: residuals of the current, and their rates.
//!
//! Bounds are kept by a change of variable, x = ½(a + b) + ½(b − a)·sin(u − 1) in the logarithm of a positive
//! range: the search itself has none.

use nalgebra::{DMatrix, DVector};
use thiserror::Error;

use super::free::Free;
use super::trace::Trace;
use crate::case::Case;
use crate::case::check::check;
use crate::cycle::discharge::{Discharge, discharge};
use crate::cycle::march::{MarchError, Tolerance};
use crate::cycle::rig::Rig;
use crate::cycle::sample::Sampler;

/// Rows over the computed current, the time between them \[s\], and most of them.
const ROWS: f64 = 4000.0;
const EVERY: (f64, f64) = (0.2e-6, 2e-6);
const MOST_ROWS: f64 = 100_000.0;

/// Spans of a record over the computed current's length, and ratio of the peaks, beyond which a unit is wrong.
const SPANS: (f64, f64) = (0.1, 300.0);
const PEAKS: f64 = 20.0;

/// Time before and after the rise that is fitted, over the length of the current.
const BEYOND: f64 = 3.0;

/// Largest negative over largest positive current from which on a trace is upside down.
const NEGATIVE: f64 = 2.0;

/// Step of a difference in u: the current's own error is some 1e-7 of it.
const STEP: f64 = 1e-3;

/// Shift of the trigger that the search may make, over the width of the measured current.
const SHIFT: f64 = 0.5;

/// Cosine below which a value lies at an end of its range.
const AT_END: f64 = 0.02;

/// Where u has the middle of the range. Not 0: the search measures its steps by the size of u.
const CENTRE: f64 = 1.0;

/// Offset that may be left in the trace, over its largest current.
const OFFSET: f64 = 0.2;

/// What is fitted to what.
#[derive(Debug, Clone)]
pub struct Setup {
    pub case: Case,
    pub free: Vec<Free>,
    pub trace: Trace,
    /// Whether the trigger's place in the trace is sought as well; else it is at 0.
    pub shift: bool,
    /// Time between the rows of the computed current \[s\].
    every: f64,
    /// Largest offset that may be left in the trace \[A\].
    offset: f64,
}

/// Time between computed rows for a current of this length \[s\]. The record has no say in it: its rows may
/// go on long after the current, or be too few to show its course.
pub(super) fn step(length: f64) -> f64 {
    (length / ROWS)
        .clamp(EVERY.0, EVERY.1)
        .max(length / MOST_ROWS)
}

/// Why nothing was fitted.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum FitError {
    #[error("{0}")]
    March(#[from] MarchError),
    #[error("the case, as it stands, drives no current to be set beside the trace")]
    NoCurrent,
    #[error("the trace shows no current: its largest value is {0:.3} A")]
    FlatTrace(f64),
    #[error("the trace is negative, down to {0:.0} A")]
    Negative(f64),
    #[error("the trace spans {trace:.2e} s, the computed current {current:.2e} s")]
    Span { trace: f64, current: f64 },
    #[error("the trace has a peak of {trace:.3e} A, the computed current one of {current:.3e} A")]
    Scale { trace: f64, current: f64 },
    #[error("{rows} rows cannot settle {keys} values")]
    TooFewRows { rows: usize, keys: usize },
    #[error("the search did not settle: {0}")]
    Unsettled(String),
}

/// The current \[A\] of a case, computed each `every` \[s\], at these times after the trigger \[s\]; `None` where
/// the case is none.
pub(super) fn current(case: &Case, times: &[f64], every: f64) -> Option<Vec<f64>> {
    if !check(case).is_empty() {
        return None;
    }
    let mut found = Discharge::default();
    let rig = Rig::new(case);
    let mut sampler = Sampler::new(every, None);
    discharge(&rig, Tolerance::default(), &mut found, Some(&mut sampler)).ok()?;
    let rows = &sampler.samples;
    let mut at = 0;
    let value = |t: f64| {
        if t <= 0.0 {
            return 0.0;
        }
        while at + 1 < rows.len() && rows[at + 1].t <= t {
            at += 1;
        }
        match (rows.get(at), rows.get(at + 1)) {
            (Some(a), Some(b)) if b.t > a.t => {
                a.current + (b.current - a.current) * (t - a.t) / (b.t - a.t)
            }
            _ => 0.0,
        }
    };
    Some(times.iter().copied().map(value).collect())
}

impl Setup {
    /// Sets a case beside a trace.
    ///
    /// # Errors
    /// When the case drives no current, the trace shows none, or the two are too far from each other to be the
    /// same current in the same units.
    pub fn new(
        case: Case,
        free: Vec<Free>,
        mut trace: Trace,
        shift: bool,
    ) -> Result<Setup, FitError> {
        let mut found = Discharge::default();
        if !check(&case).is_empty() {
            return Err(FitError::NoCurrent);
        }
        discharge(&Rig::new(&case), Tolerance::default(), &mut found, None)?;
        let (peak, length) = (found.peak.0, found.end.t);
        if peak <= 0.0 || length <= 0.0 {
            return Err(FitError::NoCurrent);
        }
        let extreme = |better: fn(f64, f64) -> f64| trace.current.iter().copied().fold(0.0, better);
        let (largest, least) = (extreme(f64::max), extreme(f64::min));
        let floor = 5.0 * trace.quiet.map_or(0.0, |q| q.noise);
        if -least > floor && -least > NEGATIVE * largest {
            return Err(FitError::Negative(least));
        }
        if largest <= floor || largest <= 0.0 {
            return Err(FitError::FlatTrace(largest));
        }
        if !(SPANS.0 * length..=SPANS.1 * length).contains(&trace.span) {
            return Err(FitError::Span {
                trace: trace.span,
                current: length,
            });
        }
        if !(1.0 / PEAKS..=PEAKS).contains(&(largest / peak)) {
            return Err(FitError::Scale {
                trace: largest,
                current: peak,
            });
        }
        // Rows with neither current in them would only thin out what is left of it.
        let (rise, reach) = (trace.rise, BEYOND * trace.width.max(length));
        let all = trace.time.len();
        trace.retain(|_, t| (t - rise).abs() <= reach);
        trace.beyond = all - trace.time.len();
        let (rows, keys) = (trace.time.len(), free.len() + 1 + usize::from(shift));
        if rows <= keys {
            return Err(FitError::TooFewRows { rows, keys });
        }
        let most = trace.current.iter().map(|i| i.abs()).fold(0.0, f64::max);
        Ok(Setup {
            offset: OFFSET * most,
            case,
            free,
            trace,
            shift,
            every: step(length),
        })
    }

    /// Unknowns: the free keys, the offset that is left, and the shift.
    pub(super) fn unknowns(&self) -> usize {
        self.free.len() + 1 + usize::from(self.shift)
    }

    /// Names of the unknowns.
    pub(super) fn names(&self) -> Vec<String> {
        let more = ["offset", "trigger"].map(str::to_string);
        let all = self.free.iter().map(|f| f.name.clone()).chain(more);
        all.take(self.unknowns()).collect()
    }

    /// Value of unknown `k` at the start \[SI\].
    pub(super) fn start(&self, k: usize) -> f64 {
        match self.free.get(k) {
            Some(free) => free.start,
            None if k == self.free.len() => 0.0,
            None => self.trace.rise,
        }
    }

    /// Range of unknown `k`, and whether it goes by ratios.
    fn range(&self, k: usize) -> (f64, f64, bool) {
        match self.free.get(k) {
            Some(free) => (free.range.0, free.range.1, free.range.0 > 0.0),
            None if k == self.free.len() => (-self.offset, self.offset, false),
            None => {
                let (rise, width) = (self.trace.rise, self.trace.width);
                (rise - SHIFT * width, rise + SHIFT * width, false)
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

    /// Whether a value lies at an end of its range.
    pub(super) fn is_at_end(&self, u: f64) -> bool {
        (u - CENTRE).cos().abs() < AT_END
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

    /// Where an unknown lies at this share of its range.
    pub(super) fn share(share: f64) -> f64 {
        (2.0 * share - 1.0).clamp(-0.995, 0.995).asin() + CENTRE
    }

    /// The case, the offset that is left \[A\] and the trigger \[s\] at `u`.
    pub(super) fn at(&self, u: &DVector<f64>) -> (Option<Case>, f64, f64) {
        let mut case = Some(self.case.clone());
        for (k, free) in self.free.iter().enumerate() {
            let value = self.value(k, u[k]).0;
            let set = |mut case: Case| {
                free.address
                    .set_number(&mut case, value)
                    .ok()
                    .map(|()| case)
            };
            case = case.and_then(set);
        }
        let more = self.free.len();
        let trigger = if self.shift {
            self.value(more + 1, u[more + 1]).0
        } else {
            0.0
        };
        (case, self.value(more, u[more]).0, trigger)
    }

    /// Computed less measured current at `u` \[A\].
    pub(super) fn residuals(&self, u: &DVector<f64>) -> Option<DVector<f64>> {
        let (case, offset, trigger) = self.at(u);
        let times: Vec<f64> = self.trace.time.iter().map(|t| t - trigger).collect();
        let computed = current(&case?, &times, self.every)?;
        let pairs = computed.iter().zip(&self.trace.current);
        Some(DVector::from_iterator(
            computed.len(),
            pairs.map(|(c, m)| c + offset - m),
        ))
    }

    /// Rates of the residuals with u, by central differences.
    pub(super) fn jacobian(&self, u: &DVector<f64>) -> Option<DMatrix<f64>> {
        use rayon::prelude::*;
        let columns: Option<Vec<DVector<f64>>> = (0..u.len())
            .into_par_iter()
            .map(|k| {
                let shifted = |step: f64| {
                    let mut u = u.clone();
                    u[k] += step;
                    self.residuals(&u)
                };
                Some((shifted(STEP)? - shifted(-STEP)?) / (2.0 * STEP))
            })
            .collect();
        Some(DMatrix::from_columns(&columns?))
    }
}
