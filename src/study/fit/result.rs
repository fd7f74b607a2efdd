//! What a fit found, how sure it is, and which keys it cannot tell apart.

use nalgebra::{DMatrix, DVector};

use super::memory::memory;
use super::problem::Setup;
use super::search::Search;
use super::trace::Quiet;
use crate::case::Case;

/// Correlation from which on two keys count as told apart badly.
const ALIKE: f64 = 0.95;

/// Smallest singular value, over the largest of the scaled problem, below which a direction is not seen at
/// all: some hundred times the noise of the differences.
const BLIND: f64 = 1e-5;

/// Growth of the sum of squares, over its mean of an independent row, up to which a minimum is as good (3σ).
const SAME: f64 = 9.0;

/// Standard errors between two minima from which on they are two.
const APART: f64 = 5.0;

/// A fitted value.
#[derive(Debug, Clone, PartialEq)]
pub struct Fitted {
    /// Key; `offset` for what is left of it \[A\], `trigger` for its place in the trace \[s\].
    pub name: String,
    pub start: f64,
    pub value: f64,
    /// Standard error; `None` where the trace does not settle the value.
    pub error: Option<f64>,
    /// Whether the value lies at an end of its range.
    pub at_bound: bool,
}

/// Two keys that the trace cannot tell apart.
#[derive(Debug, Clone, PartialEq)]
pub struct Confusion {
    pub first: String,
    pub second: String,
    /// Correlation of their errors; ±1 where only a sum or difference of them is seen.
    pub correlation: f64,
}

/// What a fit found.
#[derive(Debug, Clone)]
pub struct Fit {
    pub values: Vec<Fitted>,
    /// Correlations of the errors, in the order of the values.
    pub correlation: DMatrix<f64>,
    pub confusions: Vec<Confusion>,
    /// Case with the fitted values; keys that are not settled keep theirs.
    pub case: Case,
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
    /// Memory of what is left \[rows\]: the errors are widened by its root.
    pub memory: f64,
    /// Whether the search came to rest.
    pub settled: bool,
    /// Values of another minimum, with nearly the same squares, if a start led to one.
    pub other: Option<Vec<f64>>,
}

/// Works out errors and correlations at the solution.
pub(super) fn finish(setup: &Setup, search: &Search, before: &DVector<f64>) -> Option<Fit> {
    let u = &search.best.u;
    let residuals = setup.residuals(u)?;
    let jacobian = setup.jacobian(u)?;
    let (rows, keys) = (residuals.len(), u.len());
    let memory = memory(residuals.as_slice());
    let mean_square = residuals.norm_squared() / rows as f64;
    // Rows in a row that say the same count once: n/τ are independent, and the keys take theirs of them.
    let independent = rows as f64 / memory;
    let variance = mean_square * memory * independent / (independent - keys as f64).max(1.0);
    let (covariance, seen) = covariance(&jacobian);
    let rates = DVector::from_fn(keys, |k, _| setup.value(k, u[k]).1);
    let names = setup.names();
    let values: Vec<Fitted> = (0..keys)
        .map(|k| Fitted {
            name: names[k].clone(),
            start: setup.start(k),
            value: setup.value(k, u[k]).0,
            error: settled(
                setup,
                k,
                setup.value(k, u[k]).0,
                seen[k].then(|| (variance * covariance[(k, k)]).sqrt() * rates[k].abs()),
            ),
            at_bound: setup.is_at_end(u[k]),
        })
        .collect();
    // Where a value falls as u grows, its errors have the other sign.
    let sign = |k: usize| rates[k].signum();
    let mut correlation = correlations(&covariance, &jacobian, &seen);
    for a in 0..keys {
        for b in 0..keys {
            correlation[(a, b)] *= sign(a) * sign(b);
        }
    }
    let mut confusions = Vec::new();
    for a in 0..keys {
        for b in a + 1..keys {
            let r = correlation[(a, b)];
            if r.abs() >= ALIKE {
                confusions.push(Confusion {
                    first: names[a].clone(),
                    second: names[b].clone(),
                    correlation: r,
                });
            }
        }
    }
    let trigger = setup.at(u).2;
    let mut case = setup.case.clone();
    for (free, v) in setup.free.iter().zip(&values) {
        if v.error.is_some() {
            free.address.set_number(&mut case, v.value).ok()?;
        }
    }
    let quiet = setup.trace.quiet.filter(|q| q.noise > 0.0);
    let limit = |q: Quiet| {
        let left = (rows as f64 / q.memory - keys as f64).max(1.0);
        1.0 + 3.0 * (2.0 / left + 2.0 * q.memory / q.rows as f64).sqrt()
    };
    let other = search
        .others
        .iter()
        .filter(|o| (o.sum / search.best.sum - 1.0) * independent < SAME)
        .map(|o| -> Vec<f64> { (0..keys).map(|k| setup.value(k, o.u[k]).0).collect() })
        .find(|o| {
            let apart =
                |(v, o): (&Fitted, &f64)| v.error.is_some_and(|e| (o - v.value).abs() > APART * e);
            values[..setup.free.len()].iter().zip(o).any(apart)
        });
    let computed = residuals
        .iter()
        .zip(&setup.trace.current)
        .map(|(r, m)| r + m);
    Some(Fit {
        values,
        correlation,
        confusions,
        case,
        trigger,
        computed: computed.collect(),
        rms: [
            (before.norm_squared() / rows as f64).sqrt(),
            mean_square.sqrt(),
        ],
        chi2: quiet.map(|q| mean_square / (q.noise * q.noise)),
        chi2_limit: quiet.map_or(1.0, limit),
        memory,
        settled: search.best.settled,
        other,
    })
}

/// An error as large as the value, of a key that goes by ratios, says that the trace does not settle it.
fn settled(setup: &Setup, k: usize, value: f64, error: Option<f64>) -> Option<f64> {
    let ratios = setup.free.get(k).is_some_and(|f| f.range.0 > 0.0);
    error.filter(|e| !ratios || *e < value)
}

/// (JᵀJ)⁻¹ over the directions the residuals see, and which unknowns take part in none that they do not.
fn covariance(jacobian: &DMatrix<f64>) -> (DMatrix<f64>, Vec<bool>) {
    let keys = jacobian.ncols();
    let scale = DVector::from_fn(keys, |k, _| {
        jacobian.column(k).norm().max(f64::MIN_POSITIVE)
    });
    let mut scaled = jacobian.clone();
    for k in 0..keys {
        scaled.column_mut(k).unscale_mut(scale[k]);
    }
    let svd = scaled.svd(false, true);
    let v = svd
        .v_t
        .unwrap_or_else(|| DMatrix::identity(keys, keys))
        .transpose();
    let largest = svd.singular_values.max();
    let mut covariance = DMatrix::zeros(keys, keys);
    let mut seen: Vec<bool> = (0..keys).map(|k| scale[k] > 1e-9 * scale.max()).collect();
    for (j, s) in svd.singular_values.iter().enumerate() {
        let direction = v.column(j);
        if *s > BLIND * largest {
            covariance += direction * direction.transpose() / (s * s);
        } else {
            for k in 0..keys {
                seen[k] &= direction[k].abs() < 0.05;
            }
        }
    }
    for a in 0..keys {
        for b in 0..keys {
            covariance[(a, b)] /= scale[a] * scale[b];
        }
    }
    (covariance, seen)
}

/// Correlations of the errors. Where a direction is not seen, that of what the two keys do to the current,
/// turned round: keys that do the same can only be traded for each other.
fn correlations(covariance: &DMatrix<f64>, jacobian: &DMatrix<f64>, seen: &[bool]) -> DMatrix<f64> {
    let keys = covariance.nrows();
    DMatrix::from_fn(keys, keys, |a, b| {
        if a == b {
            return 1.0;
        }
        if seen[a] && seen[b] {
            return covariance[(a, b)] / (covariance[(a, a)] * covariance[(b, b)]).sqrt();
        }
        if seen[a] != seen[b] {
            return 0.0;
        }
        let (x, y) = (jacobian.column(a), jacobian.column(b));
        let size = x.norm() * y.norm();
        if size > 0.0 { -x.dot(&y) / size } else { 0.0 }
    })
}
