//! What a fit found, how sure it is, and which keys it cannot tell apart.

use nalgebra::{DMatrix, DVector};

use super::problem::Setup;
use crate::case::Case;

/// Correlation from which on two keys count as told apart badly.
const ALIKE: f64 = 0.95;

/// Smallest singular value, over the largest of the scaled problem, below which a direction is not seen at
/// all: some hundred times the noise of the differences.
const BLIND: f64 = 1e-5;

/// A fitted value.
#[derive(Debug, Clone, PartialEq)]
pub struct Fitted {
    /// Key; `offset` for what is left of it [A], `trigger` for its place in the trace [s].
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
    /// Case with the fitted values.
    pub case: Case,
    /// Place of the trigger in the trace [s].
    pub trigger: f64,
    /// Computed current at the rows of the trace [A].
    pub computed: Vec<f64>,
    /// Root mean square of the residuals before and after [A].
    pub rms: [f64; 2],
    /// Residuals over the noise before the rise, squared mean: 1 where only noise is left; `None` where the
    /// noise is not known.
    pub chi2: Option<f64>,
}

/// Works out errors and correlations at the solution.
pub(super) fn finish(setup: &Setup, u: &DVector<f64>, before: &DVector<f64>) -> Option<Fit> {
    let residuals = setup.residuals(u)?;
    let jacobian = setup.jacobian(u)?;
    let (rows, keys) = (residuals.len(), u.len());
    let variance = residuals.norm_squared() / (rows - keys) as f64;
    let (covariance, seen) = covariance(&jacobian);
    let rates = DVector::from_fn(keys, |k, _| setup.value(k, u[k]).1);
    let names = setup.names();
    let values = (0..keys)
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
    let (case, _, trigger) = setup.at(u);
    let computed = residuals
        .iter()
        .zip(&setup.trace.current)
        .map(|(r, m)| r + m);
    let mean_square = residuals.norm_squared() / rows as f64;
    Some(Fit {
        values,
        correlation,
        confusions,
        case: case?,
        trigger,
        computed: computed.collect(),
        rms: [
            (before.norm_squared() / rows as f64).sqrt(),
            mean_square.sqrt(),
        ],
        chi2: setup
            .trace
            .noise
            .filter(|n| *n > 0.0)
            .map(|n| mean_square / (n * n)),
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
