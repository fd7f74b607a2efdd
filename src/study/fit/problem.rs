//! The least-squares problem: residuals of the current, and the search for their smallest squares.
//!
//! Bounds are kept by a change of variable, x = ½(a + b) + ½(b − a)·sin(u − 1) in the logarithm of a positive
//! range: the search itself has none. Moré's Levenberg-Marquardt (1978) by the crate of that name.

use levenberg_marquardt::{LeastSquaresProblem, LevenbergMarquardt};
use nalgebra::{DMatrix, DVector, Dyn, Owned};
use thiserror::Error;

use super::free::Free;
use super::result::{Fit, finish};
use super::scope::Trace;
use crate::case::Case;
use crate::case::check::check;
use crate::cycle::discharge::{Discharge, discharge};
use crate::cycle::march::{MarchError, Tolerance};
use crate::cycle::rig::Rig;
use crate::cycle::sample::Sampler;

/// Time between the rows of the computed current, over the span of the trace.
const ROWS: f64 = 4000.0;

/// Step of a difference in u: the current's own error is some 1e-7 of it.
const STEP: f64 = 1e-3;

/// Shift of the trigger that the search may make, over the span of the trace.
const SHIFT: f64 = 0.25;

/// First step of the search over the size of u: by a sine, a long one leads anywhere.
const FIRST: f64 = 0.2;

/// Cosine below which a value lies at an end of its range.
const AT_END: f64 = 0.02;

/// Where u has the middle of the range. Not 0: the search measures its steps by the size of u.
const CENTRE: f64 = 1.0;

/// Offset that may be left in the trace, over its largest current.
const OFFSET: f64 = 0.2;

/// Rounds of the search from one start, each as many evaluations as there are unknowns and one.
const PATIENCE: usize = 60;

/// What is fitted to what.
#[derive(Debug, Clone)]
pub struct Setup {
    pub case: Case,
    pub free: Vec<Free>,
    pub trace: Trace,
    /// Whether the trigger's place in the trace is sought as well; else it is at 0.
    pub shift: bool,
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
    #[error("{rows} rows cannot settle {keys} values")]
    TooFewRows { rows: usize, keys: usize },
    #[error("the search did not settle: {0}")]
    Unsettled(String),
}

/// A current computed at even times.
#[derive(Debug, Clone, Default)]
pub(super) struct Model {
    found: Discharge,
}

impl Model {
    /// The current [A] of a case at these times after the trigger [s]; `None` where the case is none.
    pub fn current(&mut self, case: &Case, times: &[f64]) -> Option<Vec<f64>> {
        if !check(case).is_empty() {
            return None;
        }
        let last = times.last().copied()?.max(1e-6);
        let rig = Rig::new(case);
        let mut sampler = Sampler::new(last / ROWS, None);
        discharge(
            &rig,
            Tolerance::default(),
            &mut self.found,
            Some(&mut sampler),
        )
        .ok()?;
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
}

/// The problem at a point.
struct Problem<'a> {
    setup: &'a Setup,
    u: DVector<f64>,
    residuals: Option<DVector<f64>>,
}

impl Setup {
    /// Span of the trace [s].
    pub(super) fn span(&self) -> f64 {
        let t = &self.trace.time;
        t[t.len() - 1] - t[0]
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

    /// Value of unknown `k` at the start [SI].
    pub(super) fn start(&self, k: usize) -> f64 {
        match self.free.get(k) {
            Some(free) => free.start,
            None if k == self.free.len() => 0.0,
            None => self.rise(),
        }
    }

    /// Range of unknown `k`, and whether it goes by ratios.
    fn range(&self, k: usize) -> (f64, f64, bool) {
        match self.free.get(k) {
            Some(free) => (free.range.0, free.range.1, free.range.0 > 0.0),
            None if k == self.free.len() => {
                let most = OFFSET
                    * self
                        .trace
                        .current
                        .iter()
                        .map(|i| i.abs())
                        .fold(0.0, f64::max);
                (-most, most, false)
            }
            None => {
                let (span, rise) = (self.span(), self.rise());
                (rise - SHIFT * span, rise + SHIFT * span, false)
            }
        }
    }

    /// Time at which the trace's current begins to rise [s].
    pub(super) fn rise(&self) -> f64 {
        let t = &self.trace;
        let most = t.current.iter().copied().fold(0.0, f64::max);
        let k = t.current.iter().position(|i| *i > 0.05 * most).unwrap_or(0);
        // From 5 % back to 0 along the rise.
        let to = t.current.iter().position(|i| *i > 0.25 * most).unwrap_or(k);
        let (a, b) = (k, to.max(k + 1).min(t.time.len() - 1));
        let slope = (t.current[b] - t.current[a]) / (t.time[b] - t.time[a]);
        if slope > 0.0 {
            t.time[a] - t.current[a] / slope
        } else {
            t.time[a]
        }
    }

    /// Value of unknown `k` [SI] at `u`, and its rate there.
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
    fn place(&self, k: usize, x: f64) -> f64 {
        let (low, high, log) = self.range(k);
        let (a, b, x) = if log {
            (low.ln(), high.ln(), x.ln())
        } else {
            (low, high, x)
        };
        // Never on a bound itself, where the search would stand still.
        ((2.0 * x - a - b) / (b - a)).clamp(-0.995, 0.995).asin() + CENTRE
    }

    /// The case, the offset that is left [A] and the trigger [s] at `u`.
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

    /// Computed less measured current at `u` [A].
    pub(super) fn residuals(&self, u: &DVector<f64>) -> Option<DVector<f64>> {
        let (case, offset, trigger) = self.at(u);
        let times: Vec<f64> = self.trace.time.iter().map(|t| t - trigger).collect();
        let computed = Model::default().current(&case?, &times)?;
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

impl LeastSquaresProblem<f64, Dyn, Dyn> for Problem<'_> {
    type ResidualStorage = Owned<f64, Dyn>;
    type JacobianStorage = Owned<f64, Dyn, Dyn>;
    type ParameterStorage = Owned<f64, Dyn>;

    fn set_params(&mut self, u: &DVector<f64>) {
        self.u.copy_from(u);
        // A step into what makes no case is a bad step, not the end of the search.
        let none = || {
            DVector::from_iterator(
                self.setup.trace.current.len(),
                self.setup.trace.current.iter().map(|i| 2.0 * i),
            )
        };
        self.residuals = Some(self.setup.residuals(&self.u).unwrap_or_else(none));
    }

    fn params(&self) -> DVector<f64> {
        self.u.clone()
    }

    fn residuals(&self) -> Option<DVector<f64>> {
        self.residuals.clone()
    }

    fn jacobian(&self) -> Option<DMatrix<f64>> {
        self.setup.jacobian(&self.u)
    }
}

/// Fits the free keys of a case to a trace.
///
/// # Errors
/// When there is no current on one side, too few rows, or the search does not settle.
pub fn fit(setup: &Setup) -> Result<Fit, FitError> {
    let trace = &setup.trace;
    let largest = trace.current.iter().copied().fold(0.0, f64::max);
    let floor = 5.0 * trace.noise.unwrap_or(0.0);
    if largest <= floor || largest <= 0.0 {
        return Err(FitError::FlatTrace(largest));
    }
    let (rows, keys) = (trace.time.len(), setup.unknowns());
    if rows <= keys {
        return Err(FitError::TooFewRows { rows, keys });
    }
    let mut u = DVector::from_fn(keys, |k, _| setup.place(k, setup.start(k)));
    let before = setup.residuals(&u).ok_or(FitError::NoCurrent)?;
    let mut last = (f64::INFINITY, String::new());
    // The search may stop at a kink of the model, as where the pip bursts; from there it goes on.
    for _ in 0..4 {
        let problem = Problem {
            setup,
            residuals: setup.residuals(&u),
            u: u.clone(),
        };
        let (found, report) = LevenbergMarquardt::new()
            .with_patience(PATIENCE)
            .with_stepbound(FIRST)
            .with_tol(1e-10)
            .minimize(problem);
        let Some(residuals) = &found.residuals else {
            return Err(FitError::Unsettled(
                "the values left what makes a case".into(),
            ));
        };
        let sum = residuals.norm_squared();
        u = found.u.clone();
        last = (last.0.min(sum), format!("{:?}", report.termination));
        if report.termination.was_successful() && sum >= last.0 * (1.0 - 1e-9) {
            break;
        }
    }
    finish(setup, &u, &before).ok_or(FitError::Unsettled(last.1))
}
