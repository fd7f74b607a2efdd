//! What a fit found, how sure it is, and which keys it cannot tell apart.

use nalgebra::DMatrix;

use super::errors::{Errors, errors};
use super::problem::{FitError, Setup};
use super::search::{Rest, Search, lost, search};
use super::trace::Quiet;
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
    /// for its place in the trace \[s\].
    pub name: String,
    /// Value at the start, in SI as the key's.
    pub start: f64,
    /// Fitted value, in SI as the key's; at the end of the range where it is held there.
    pub value: f64,
    /// Standard error; `None` where the trace does not settle the value, and at an end of its range.
    pub error: Option<f64>,
    /// Whether the value is held at an end of its range.
    pub at_bound: bool,
    /// Value in the fitted case; `None` for what is no key of it.
    pub in_case: Option<f64>,
}

/// Two keys that the trace cannot tell apart.
#[derive(Debug, Clone, PartialEq)]
pub struct Confusion {
    /// Name of one, as in [`Fitted::name`].
    pub first: String,
    /// Name of the other, which comes later among the values.
    pub second: String,
    /// Correlation of their errors; ±1 where only a sum or difference of them is seen.
    pub correlation: f64,
}

/// What a fit found.
#[derive(Debug, Clone)]
pub struct Fit {
    /// The free keys in the order asked for, then what was sought of baseline and trigger.
    pub values: Vec<Fitted>,
    /// Correlations of the errors: a row for each value, in their order, and 1 on the diagonal.
    pub correlation: Vec<Vec<f64>>,
    /// Pairs whose errors are correlated by 0.95 or more, either way.
    pub confusions: Vec<Confusion>,
    /// Case with the fitted values. Of keys that are not settled as many are held at their start as must be for the
    /// others to be, and those are fitted again with them held.
    pub case: Case,
    /// Root mean square of what that case leaves \[A\].
    pub case_rms: f64,
    /// Whether that is more than the fit leaves, by three standard deviations.
    pub case_worse: bool,
    /// Place of the trigger in the trace \[s\].
    pub trigger: f64,
    /// Computed current at the rows of the trace \[A\].
    pub computed: Vec<f64>,
    /// Root mean square of the residuals before and after \[A\].
    pub rms: [f64; 2],
    /// Residuals over the noise before the rise, squared mean: 1 where only noise is left; `None` where the
    /// noise is not known.
    pub chi2: Option<f64>,
    /// `chi2` up to which nothing but noise need be left: three standard deviations of the ratio of the two
    /// mean squares, each with as many rows as are independent by the memory of the quiet rows.
    pub chi2_limit: f64,
    /// Autocorrelation time of the residual \[rows\]: the errors are widened by its square root.
    pub memory: f64,
    /// Whether the search came to rest.
    pub settled: bool,
    /// Another minimum, with nearly the same squares, if a start led to one.
    pub other: Option<Other>,
    /// Why this is no fit, if it is none.
    pub failed: Option<Failed>,
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
/// When the search finds no valid case to compare with the trace.
pub fn fit(setup: &Setup) -> Result<Fit, FitError> {
    finish(setup, &search(setup)?).ok_or_else(lost)
}

/// Works out errors and correlations at the solution.
fn finish(setup: &Setup, search: &Search) -> Option<Fit> {
    let u = &search.best.u;
    let (rows, keys) = (setup.trace.time.len(), u.len());
    let found = errors(setup, u)?;
    let written = written(setup, u, &found)?;
    let names = setup.names();
    let values: Vec<Fitted> = (0..keys)
        .map(|k| Fitted {
            name: names[k].clone(),
            start: setup.start(k),
            value: found.end[k].unwrap_or(setup.value(k, u[k]).0),
            error: found.error[k],
            at_bound: found.end[k].is_some(),
            in_case: written.values.get(k).copied(),
        })
        .collect();
    let quiet = setup.trace.quiet.filter(|q| q.noise > 0.0);
    let limit = |q: Quiet| {
        let left = (rows as f64 / q.memory - keys as f64).max(1.0);
        1.0 + 3.0 * (2.0 / left + 2.0 * q.memory / q.rows as f64).sqrt()
    };
    let rms = found.mean_square.sqrt();
    let chi2 = quiet.map(|q| found.mean_square / (q.noise * q.noise));
    let growth = written.rms.powi(2) / found.mean_square - 1.0;
    let measured = found.left.iter().zip(&setup.trace.current);
    Some(Fit {
        confusions: confusions(&names, &found),
        trigger: setup.at(u).trigger,
        computed: measured.map(|(r, m)| r + m).collect(),
        rms: [
            (search.before.rows(0, rows).norm_squared() / rows as f64).sqrt(),
            rms,
        ],
        chi2,
        chi2_limit: quiet.map_or(1.0, limit),
        memory: found.memory,
        settled: search.best.settled,
        other: other(setup, search, &values, found.independent),
        failed: failed(setup, &values, chi2, rms),
        case: written.case,
        case_rms: written.rms,
        case_worse: growth * found.independent > SAME,
        correlation: rows_of(&found.correlation),
        values,
    })
}

fn rows_of(matrix: &DMatrix<f64>) -> Vec<Vec<f64>> {
    let rows = matrix.row_iter();
    rows.map(|row| row.iter().copied().collect()).collect()
}

fn confusions(names: &[String], found: &Errors) -> Vec<Confusion> {
    let mut out = Vec::new();
    for a in 0..names.len() {
        for b in a + 1..names.len() {
            let r = found.all_free[(a, b)];
            if r.abs() >= ALIKE {
                out.push(Confusion {
                    first: names[a].clone(),
                    second: names[b].clone(),
                    correlation: r,
                });
            }
        }
    }
    out
}

/// Another minimum that is as good, and away from this one in a key that is settled: the best there is, and none
/// where a search was only stopped by the end of a key's range.
fn other(setup: &Setup, search: &Search, values: &[Fitted], independent: f64) -> Option<Other> {
    let rows = setup.trace.time.len() as f64;
    let keys = setup.free.len();
    let inside = |o: &&Rest| (0..keys).all(|k| setup.end(k, o.u[k]).is_none());
    let good = search
        .others
        .iter()
        .filter(|o| (o.sum / search.best.sum - 1.0) * independent < SAME)
        .filter(inside)
        .map(|o| Other {
            values: (0..values.len())
                .map(|k| setup.value(k, o.u[k]).0)
                .collect(),
            rms: (o.sum / rows).sqrt(),
        });
    let apart = |o: &Other| {
        let apart = |v: &Fitted, o: f64| v.error.is_some_and(|e| (o - v.value).abs() > APART * e);
        values[..keys]
            .iter()
            .zip(&o.values)
            .any(|(v, o)| apart(v, *o))
    };
    good.filter(apart).min_by(|a, b| a.rms.total_cmp(&b.rms))
}

fn failed(setup: &Setup, values: &[Fitted], chi2: Option<f64>, rms: f64) -> Option<Failed> {
    let base = ["offset", "drift"];
    let mut others = values[setup.free.len()..].iter();
    if others.any(|v| v.at_bound && base.contains(&v.name.as_str())) {
        return Some(Failed::Baseline);
    }
    let coarse = rms > COARSE * setup.peaks[0];
    (coarse && chi2.is_none_or(|c| c > HUGE)).then_some(Failed::LeftOver)
}
