//! How sure a fit is: standard errors, correlations, and what the trace does not see.

use nalgebra::{DMatrix, DVector};

use super::autocorrelation::memory;
use super::free::Free;
use super::problem::Setup;

/// Smallest singular value, over the largest of the scaled problem, below which a direction is not seen at
/// all: some hundred times the noise of the differences.
const BLIND: f64 = 1e-5;

/// Correlation from which only the sum of two keys is determined.
pub const SAME_KEY: f64 = 0.9999;

/// Errors at a point.
pub(super) struct Errors {
    /// Computed less measured current, a row each \[A\].
    pub(super) left: Vec<f64>,
    pub(super) mean_square: f64,
    /// Autocorrelation time of the residual \[rows\], and the number of independent rows.
    pub(super) memory: f64,
    pub(super) independent: f64,
    /// The end of its range that an unknown lies at and is held at \[SI\].
    pub(super) end: Vec<Option<f64>>,
    /// Standard errors; `None` where the trace does not settle the value, and at an end.
    pub(super) error: Vec<Option<f64>>,
    /// Correlations of the errors.
    pub(super) correlation: DMatrix<f64>,
    /// The same, as if what is held at an end were free.
    pub(super) all_free: DMatrix<f64>,
}

/// Errors of the unknowns at `u`. What lies at an end of its range is held there: the errors of the others
/// are those of a fit without it.
pub(super) fn errors(setup: &Setup, u: &DVector<f64>) -> Option<Errors> {
    let (rows, keys) = (setup.trace.time.len(), u.len());
    let mut left: Vec<f64> = setup.residuals(u)?.as_slice().to_vec();
    left.truncate(rows);
    let mean_square = left.iter().map(|r| r * r).sum::<f64>() / rows as f64;
    let memory = memory(&left);
    // Rows in a row that say the same count once: n/τ are independent, and the keys take theirs of them.
    let independent = rows as f64 / memory;
    let variance = mean_square * memory * independent / (independent - keys as f64).max(1.0);
    let end: Vec<Option<f64>> = (0..keys).map(|k| setup.end(k, u[k])).collect();
    let near = u.map(Setup::inside);
    let mut jacobian = setup.jacobian(&near)?;
    if let Some(tie) = setup.tie {
        // The variance is that of the rows; the tie has its own.
        let mut row = jacobian.row_mut(rows);
        row *= variance.sqrt() / tie.noise;
    }
    let rates = DVector::from_fn(keys, |k, _| setup.value(k, near[k]).1);
    let (whole, seen) = covariance(&jacobian);
    let inner: Vec<usize> = (0..keys).filter(|k| end[*k].is_none()).collect();
    let (part, part_seen) = covariance(&jacobian.select_columns(&inner));
    let mut error = vec![None; keys];
    for (j, k) in inner.iter().enumerate() {
        let found = (variance * part[(j, j)]).sqrt() * rates[*k].abs();
        let value = setup.value(*k, u[*k]).0;
        let there = (seen[*k] && part_seen[j]).then_some(found);
        error[*k] = settled(setup, *k, value, there);
    }
    // Where a value falls as u grows, its errors have the other sign.
    let signed = |a: usize, b: usize, r: f64| r * rates[a].signum() * rates[b].signum();
    let all = correlations(&whole, &jacobian, &seen);
    let all_free = DMatrix::from_fn(keys, keys, |a, b| signed(a, b, all[(a, b)]));
    // Of two that do the same neither is settled, whichever the rounding of a direction leaves seen.
    let same = |k: usize, j: usize| j != k && all_free[(k, j)].abs() > SAME_KEY;
    for (k, error) in error.iter_mut().enumerate() {
        *error = error.filter(|_| !(0..keys).any(|j| same(k, j)));
    }
    let place = |k: usize| inner.iter().position(|i| *i == k);
    let correlation = DMatrix::from_fn(keys, keys, |a, b| match (place(a), place(b)) {
        _ if a == b => 1.0,
        (Some(i), Some(j)) if seen[a] && seen[b] && part_seen[i] && part_seen[j] => {
            let r = part[(i, j)] / (part[(i, i)] * part[(j, j)]).sqrt();
            signed(a, b, r)
        }
        _ if all_free[(a, b)].abs() > SAME_KEY => all_free[(a, b)],
        (Some(_), Some(_)) => all_free[(a, b)],
        _ => 0.0,
    });
    Some(Errors {
        left,
        mean_square,
        memory,
        independent,
        end,
        error,
        correlation,
        all_free,
    })
}

/// An error as large as the value, of a logarithmic key, says that the trace does not determine it.
fn settled(setup: &Setup, k: usize, value: f64, error: Option<f64>) -> Option<f64> {
    let ratios = setup.free.get(k).is_some_and(Free::by_ratios);
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
