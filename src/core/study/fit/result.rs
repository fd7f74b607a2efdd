//! What a fit found, how sure it is, and which keys it cannot tell apart.

use nalgebra::{DMatrix, DVector};

use super::errors::{Errors, errors};
use super::held::{Held, held};
use super::problem::{FitError, Record, Setup};
use super::search::{Rest, Search, lost, polish, search};
use super::written::written;
use crate::case::Case;

/// Correlation from which two keys count as badly distinguished.
const ALIKE: f64 = 0.95;

/// Growth of the sum of squares, over its mean of an independent row, up to which a minimum is as good (3σ).
const SAME: f64 = 9.0;

/// Standard errors between two minima from which on they are two.
const APART: f64 = 5.0;

/// `chi2`, and share of the largest current that is left, from which on together nothing was fitted.
const HUGE: f64 = 100.0;
const COARSE: f64 = 0.05;

/// A fitted value.
#[derive(Debug, Clone, PartialEq)]
pub struct Fitted {
    /// Key; `offset` for the residual offset \[A\], `drift` for the slope of the baseline \[A/s\], `trigger`
    /// for its place in the trace \[s\], `voltage_offset` for that of a voltage \[V\].
    pub name: String,
    /// Number of the trace it belongs to, from 0; `None` for a key that all share.
    pub record: Option<usize>,
    /// Value at the start, in SI as the key's.
    pub start: f64,
    /// Fitted value, in SI as the key's; at the end of the range where it is held there.
    pub value: f64,
    /// Standard error; `None` where the trace does not settle the value, and at an end of its range.
    pub error: Option<f64>,
    /// What it would be if all keys that are held were exact.
    pub noise_error: Option<f64>,
    /// Whether the value is held at an end of its range.
    pub at_bound: bool,
    /// Value in the fitted case; `None` for what is no key of it.
    pub in_case: Option<f64>,
}

/// Two keys that the trace cannot tell apart.
#[derive(Debug, Clone, PartialEq)]
pub struct Confusion {
    /// Index of one among the values.
    pub first: usize,
    /// Index of the other, which comes later.
    pub second: usize,
    /// Correlation of their errors; ±1 where only a sum or difference of them is seen.
    pub correlation: f64,
}

/// What a fit says of one trace.
#[derive(Debug, Clone, PartialEq)]
pub struct Seen {
    /// Place of the trigger in the trace \[s\].
    pub trigger: f64,
    /// Computed current at the rows of the trace \[A\].
    pub computed: Vec<f64>,
    /// Computed voltage at them, where one was measured \[V\].
    pub voltage: Vec<f64>,
    /// Root mean square of the residuals of the current before and after \[A\].
    pub rms: [f64; 2],
    /// Root mean square of the residual of the voltage \[V\].
    pub voltage_rms: Option<f64>,
    /// Residuals over the noise before the rise, squared mean: 1 where only noise is left; `None` where the
    /// noise is not known.
    pub chi2: Option<f64>,
    /// `chi2` up to which nothing but noise need be left: three standard deviations of the ratio of the two
    /// mean squares, each with as many rows as are independent by the memory of the quiet rows.
    pub chi2_limit: f64,
    /// Autocorrelation time of the residual \[rows\]: the errors are widened by its square root.
    pub memory: f64,
}

/// What a fit found.
#[derive(Debug, Clone)]
pub struct Fit {
    /// The free keys in the order asked for, then what was sought of baseline and trigger of each trace.
    pub values: Vec<Fitted>,
    /// Keys that were held as well as they are known, as far as they matter.
    pub held: Vec<Held>,
    /// Correlations of the errors: a row for each value, in their order, and 1 on the diagonal.
    pub correlation: Vec<Vec<f64>>,
    /// Pairs whose errors are correlated by 0.95 or more, either way.
    pub confusions: Vec<Confusion>,
    /// Case of each trace with the fitted values. Of keys that are not settled as many are held at their start as must
    /// be for the others to be, and those are fitted again with them held.
    pub cases: Vec<Case>,
    /// Root mean square of what those cases leave of the currents \[A\].
    pub case_rms: f64,
    /// Whether that is more than the fit leaves, by three standard deviations.
    pub case_worse: bool,
    /// Each trace in the order given.
    pub seen: Vec<Seen>,
    /// Whether the search came to rest.
    pub settled: bool,
    /// Another minimum, with nearly the same squares, if a start led to one.
    pub other: Option<Other>,
    /// Why this is no fit, if it is none.
    pub failed: Option<Failed>,
}

impl Fit {
    /// Root mean square of all residuals of the currents before and after \[A\].
    pub fn rms(&self) -> [f64; 2] {
        let rows = |seen: &Seen| seen.computed.len() as f64;
        let all: f64 = self.seen.iter().map(rows).sum();
        [0, 1].map(|k| {
            let squares = self.seen.iter().map(|s| rows(s) * s.rms[k].powi(2));
            (squares.sum::<f64>() / all).sqrt()
        })
    }

    /// Change from one value to another, as of a key between two traces, and its standard error; `None` where the traces
    /// do not settle both.
    pub fn change(&self, first: usize, second: usize) -> Option<(f64, f64)> {
        let (a, b) = (&self.values[first], &self.values[second]);
        let (x, y) = (a.error?, b.error?);
        let both = 2.0 * self.correlation[first][second] * x * y;
        Some((b.value - a.value, (x * x + y * y - both).max(0.0).sqrt()))
    }
}

/// Another minimum.
#[derive(Debug, Clone, PartialEq)]
pub struct Other {
    /// In the order of the values.
    pub values: Vec<f64>,
    /// Root mean square of the residual there \[A\].
    pub rms: f64,
}

/// Why a fit is none.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Failed {
    /// The baseline ran to an end of its range.
    Baseline,
    /// What is left is far more than the noise, and no small part of the current.
    LeftOver,
}

/// Fits the free keys of a case to a trace.
///
/// # Errors
/// When the search finds no valid case to compare with the trace, or is [stopped](Setup::until).
pub fn fit(setup: &Setup) -> Result<Fit, FitError> {
    let found = search(setup).and_then(|search| finish(setup, &search).ok_or_else(lost));
    // What a search that was stopped comes upon is no fit.
    match setup.stopped() {
        true => Err(FitError::Stopped),
        false => found,
    }
}

/// Works out errors and correlations at the solution.
fn finish(setup: &Setup, search: &Search) -> Option<Fit> {
    let (setup, best) = &polish(setup, &search.best)?;
    let u = &best.u;
    let (keys, sought) = (setup.free.len(), setup.sought());
    let found = errors(setup, u)?;
    let written = written(setup, u, &found)?;
    let names = setup.names();
    let values: Vec<Fitted> = (0..sought)
        .map(|k| Fitted {
            name: names[k].0.clone(),
            record: names[k].1,
            start: setup.start(k),
            value: found.end[k].unwrap_or(setup.value(k, u[k]).0),
            error: found.error[k],
            noise_error: found.noise_error[k],
            at_bound: found.end[k].is_some(),
            in_case: written.values.get(k).copied(),
        })
        .collect();
    let seen = seen(setup, search, u, &found);
    let mut fit = Fit {
        confusions: confusions(keys, sought, &found),
        held: held(setup, u, &found),
        settled: best.settled,
        other: other(setup, search, &values, &found),
        failed: None,
        cases: written.cases,
        case_rms: written.rms,
        case_worse: false,
        correlation: rows_of(&found.correlation, sought),
        seen,
        values,
    };
    let independent: f64 = found.left.iter().map(|l| l.series[0].independent).sum();
    let growth = (fit.case_rms / fit.rms()[1]).powi(2) - 1.0;
    fit.case_worse = growth * independent > SAME;
    fit.failed = failed(setup, &fit.values[keys..], &fit.seen);
    Some(fit)
}

/// What is left of each trace.
fn seen(setup: &Setup, search: &Search, u: &DVector<f64>, found: &Errors) -> Vec<Seen> {
    let base = setup.at(u).base;
    let records = setup.records.iter().zip(&found.left).enumerate();
    let of = records.map(|(r, (record, left))| {
        let keys = setup.sought() as f64 / setup.records.len() as f64;
        let trace = &record.trace;
        let [current, voltage] = &left.series;
        let plus = |left: &[f64], measured: &[f64]| -> Vec<f64> {
            left.iter().zip(measured).map(|(r, m)| r + m).collect()
        };
        let quiet = trace.quiet;
        let noise = quiet.map(|q| q.noise.max(trace.row_quantum()));
        let rows = trace.time.len() as f64;
        let limit = quiet.map_or(1.0, |q| {
            let left = (rows / q.memory - keys).max(1.0);
            1.0 + 3.0 * (2.0 / left + 2.0 * q.memory / q.rows as f64).sqrt()
        });
        Seen {
            trigger: base[r].trigger,
            computed: plus(&current.rows, &trace.current),
            voltage: trace
                .voltage
                .as_ref()
                .map_or(Vec::new(), |v| plus(&voltage.rows, &v.values)),
            rms: [search.before[r], current.mean_square.sqrt()],
            voltage_rms: trace.voltage.as_ref().map(|_| voltage.mean_square.sqrt()),
            chi2: noise
                .filter(|n| *n > 0.0)
                .map(|n| current.mean_square / (n * n)),
            chi2_limit: limit,
            memory: current.memory,
        }
    });
    of.collect()
}

fn rows_of(matrix: &DMatrix<f64>, size: usize) -> Vec<Vec<f64>> {
    let rows = matrix.row_iter().take(size);
    rows.map(|row| row.iter().take(size).copied().collect())
        .collect()
}

fn confusions(keys: usize, sought: usize, found: &Errors) -> Vec<Confusion> {
    let mut out = Vec::new();
    // Baseline and trigger are traded for each other at no harm.
    for first in 0..keys {
        for second in first + 1..sought {
            let correlation = found.all_free[(first, second)];
            if correlation.abs() >= ALIKE {
                out.push(Confusion {
                    first,
                    second,
                    correlation,
                });
            }
        }
    }
    out
}

/// Another minimum that is as good, and away from this one in a key that is settled: the best there is, and none
/// where a search was only stopped by the end of a key's range.
fn other(setup: &Setup, search: &Search, values: &[Fitted], found: &Errors) -> Option<Other> {
    let all = || found.left.iter().flat_map(|l| &l.series);
    let independent: f64 = all().map(|s| s.independent).sum();
    let best = &search.best;
    // What the starts led to, before the keys that are held had their say.
    let at = |k: usize| setup.value(k, best.u[k]).0;
    let keys = setup.free.len();
    let inside = |(o, _): &&(Rest, f64)| (0..keys).all(|k| setup.end(k, o.u[k]).is_none());
    let good = search
        .others
        .iter()
        .filter(|(o, _)| (o.sum / best.sum - 1.0) * independent < SAME)
        .filter(inside)
        .map(|(o, rms)| Other {
            values: (0..values.len())
                .map(|k| setup.value(k, o.u[k]).0)
                .collect(),
            rms: *rms,
        });
    let apart = |o: &Other| {
        let apart = |k: usize| {
            values[k]
                .noise_error
                .is_some_and(|e| (o.values[k] - at(k)).abs() > APART * e)
        };
        (0..keys).any(apart)
    };
    good.filter(apart).min_by(|a, b| a.rms.total_cmp(&b.rms))
}

fn failed(setup: &Setup, base: &[Fitted], seen: &[Seen]) -> Option<Failed> {
    let lines = ["offset", "drift", "voltage_offset"];
    let mut base = base.iter();
    if base.any(|v| v.at_bound && lines.contains(&v.name.as_str())) {
        return Some(Failed::Baseline);
    }
    let mut pairs = setup.records.iter().zip(seen);
    let coarse = |(record, seen): (&Record, &Seen)| {
        seen.rms[1] > COARSE * record.peaks[0] && seen.chi2.is_none_or(|c| c > HUGE)
    };
    pairs.any(coarse).then_some(Failed::LeftOver)
}
