//! The least-squares problem: residuals of the current, and their rates.

use nalgebra::{DMatrix, DVector};
use thiserror::Error;

use super::free::Free;
use super::oscilloscope_csv::FEWEST;
use super::trace::Trace;
use crate::case::Case;
use crate::case::check::check;
use crate::simulation::discharge::{Discharge, discharge};
use crate::simulation::integrator::{IntegrationError, Tolerance};
use crate::simulation::rig::Rig;
use crate::simulation::sample::Sampler;
use crate::study::outcome::changed;

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

/// Offset that may be left in the trace, over its largest current.
const OFFSET: f64 = 0.2;

/// Noise that stands for none where the quiet rows are all equal, over the largest current.
const NOISELESS: f64 = 1e-3;

/// What is fitted to what.
#[derive(Debug, Clone)]
pub struct Setup {
    /// The case as it stands, before any key is turned.
    pub case: Case,
    /// Keys that are turned.
    pub free: Vec<Free>,
    /// Measured current, cut to the stretch that is fitted.
    pub trace: Trace,
    /// Whether the trigger's place in the trace is sought as well; else it is at 0.
    pub shift: bool,
    /// Peaks of the whole record and of the current computed at the start \[A\].
    pub peaks: [f64; 2],
    /// Whether a slope of the baseline is sought: where rows without current lie before the rise and after the end.
    pub drift: bool,
    /// What holds the trigger where the rise was cut out of the trace.
    pub(super) tie: Option<Tie>,
    /// Time from the trigger to the current in the case as it stands \[s\].
    pub(super) lag: f64,
    /// Time between the rows of the computed current \[s\].
    every: f64,
    /// Largest offset that may be left in the trace \[A\].
    pub(super) offset: f64,
}

/// The rise of the whole record as a measurement of the trigger: one more residual, of this noise.
#[derive(Debug, Clone, Copy)]
pub(super) struct Tie {
    /// Standard deviation of the rise \[s\].
    pub blur: f64,
    /// \[A\]
    pub noise: f64,
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
#[non_exhaustive]
pub enum FitError {
    /// The discharge at the start could not be integrated.
    #[error("{0}")]
    March(#[from] IntegrationError),
    /// The starting values are not a valid case; which rule they break, in words.
    #[error("the starting values are not a valid case: {0}")]
    NoCase(String),
    /// The case drives no current.
    #[error("the case drives no current to compare with the trace")]
    NoCurrent,
    /// Nothing stands out of the noise before the rise; the largest value \[A\].
    #[error("the trace shows no current: its largest value is {0:.3} A")]
    FlatTrace(f64),
    /// The current runs the other way round; its least value \[A\].
    #[error("the trace is negative, down to {0:.0} A")]
    Negative(f64),
    /// The record is below 0.1 or above 300 times as long as the computed current: a unit is wrong.
    #[error("the trace spans {trace:.2e} s, the computed current {current:.2e} s")]
    Span {
        /// Span of the record \[s\].
        trace: f64,
        /// Length of the computed current \[s\].
        current: f64,
    },
    /// The peaks are more than 20 times apart: a unit is wrong.
    #[error("the trace has a peak of {trace:.3e} A, the computed current one of {current:.3e} A")]
    Scale {
        /// Largest current of the record \[A\].
        trace: f64,
        /// Largest current computed at the start \[A\].
        current: f64,
    },
    /// No more rows than values are sought.
    #[error("{rows} rows cannot determine {keys} values")]
    TooFewRows {
        /// Rows of the stretch that is fitted.
        rows: usize,
        /// Free keys, offset and slope of the baseline, and the trigger where it is sought.
        keys: usize,
    },
    /// The search ended outside the valid cases; in words.
    #[error("the search did not converge: {0}")]
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
    /// When the starting values are not a valid case, the case drives no current, the trace shows none, or the two are too far from each other to be the
    /// same current in the same units.
    pub fn new(
        case: Case,
        free: Vec<Free>,
        mut trace: Trace,
        shift: bool,
    ) -> Result<Setup, FitError> {
        let mut found = Discharge::default();
        let started = changed(&case, free.iter().map(|f| (&f.address, f.start)));
        let started = started.map_err(FitError::NoCase)?;
        discharge(&Rig::new(&started), Tolerance::default(), &mut found, None)?;
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
        if !(1.0 / PEAKS..=PEAKS).contains(&(trace.peak / peak)) {
            return Err(FitError::Scale {
                trace: trace.peak,
                current: peak,
            });
        }
        // Rows with neither current in them would only thin out what is left of it.
        let (rise, reach) = (trace.rise, BEYOND * trace.width.max(length));
        let all = trace.time.len();
        trace.retain(|_, t| (t - rise).abs() <= reach);
        trace.beyond = all - trace.time.len();
        let (rows, keys) = (trace.time.len(), free.len() + 2 + usize::from(shift));
        if rows <= keys {
            return Err(FitError::TooFewRows { rows, keys });
        }
        let most = trace.current.iter().map(|i| i.abs()).fold(0.0, f64::max);
        let lag = found.pip_touch.unwrap_or(0.0);
        let noise = trace.quiet.map(|q| q.noise.max(NOISELESS * trace.peak));
        // Where the current waits for the pip, its rise says little of the trigger.
        let cut = shift && lag == 0.0 && trace.time[0] > rise;
        let tie = noise.filter(|_| cut).map(|noise| Tie {
            blur: trace.blur,
            noise,
        });
        let beside =
            |keep: &dyn Fn(f64) -> bool| trace.time.iter().filter(|t| keep(**t)).count() >= FEWEST;
        let drift = trace.quiet.is_some()
            && beside(&|t| t < rise)
            && trace.tail.is_some_and(|tail| beside(&|t| t >= tail.from));
        Ok(Setup {
            peaks: [trace.peak, peak],
            drift,
            tie,
            lag,
            offset: OFFSET * most,
            case,
            free,
            trace,
            shift,
            every: step(length),
        })
    }

    /// Computed less measured current at `u` \[A\], row by row; after them the tie of the trigger, if there is one.
    pub(super) fn residuals(&self, u: &DVector<f64>) -> Option<DVector<f64>> {
        let at = self.at(u);
        let times: Vec<f64> = self.trace.time.iter().map(|t| t - at.trigger).collect();
        let computed = current(&at.case?, &times, self.every)?;
        let base = |t: f64| at.offset + at.drift * (t - self.trace.rise);
        let rows = computed.iter().zip(&self.trace.current);
        let rows = rows.zip(&self.trace.time);
        let tie = self.tie.map(|tie| {
            let off = (at.trigger - self.trace.rise) / tie.blur;
            off * tie.noise
        });
        let all: Vec<f64> = rows
            .map(|((c, m), t)| c + base(*t) - m)
            .chain(tie)
            .collect();
        Some(DVector::from_vec(all))
    }

    /// Residuals of an invalid case: worse than any, not the end of the search.
    pub(super) fn none(&self) -> DVector<f64> {
        let rows = self.trace.current.iter().map(|i| 2.0 * i);
        DVector::from_vec(rows.chain(self.tie.map(|_| 0.0)).collect())
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
