//! How sure a fit is: standard errors, correlations, and what the trace does not see.

use nalgebra::{DMatrix, DVector};

use super::free::Free;
use super::left::{Left, left};
use super::problem::Setup;

/// Smallest singular value, over the largest of the scaled problem, below which a direction is not seen at
/// all: some hundred times the noise of the differences.
const BLIND: f64 = 1e-5;

/// Correlation from which only the sum of two keys is determined.
pub const SAME_KEY: f64 = 0.9999;

/// Errors at a point.
#[derive(Clone)]
pub(super) struct Errors {
    /// What is left of each trace.
    pub(super) left: Vec<Left>,
    /// The end of its range that an unknown lies at and is held at \[SI\].
    pub(super) end: Vec<Option<f64>>,
    /// Standard errors; `None` where the trace does not settle the value, and at an end.
    pub(super) error: Vec<Option<f64>>,
    /// The same, were all keys that are held exact.
    pub(super) noise_error: Vec<Option<f64>>,
    /// Correlations of the errors.
    pub(super) correlation: DMatrix<f64>,
    /// The same, as if what is held at an end were free.
    pub(super) all_free: DMatrix<f64>,
}

/// Errors of the unknowns at `u`. What lies at an end of its range is held there: the errors of the others
/// are those of a fit without it.
pub(super) fn errors(setup: &Setup, u: &DVector<f64>) -> Option<Errors> {
    let (keys, sought) = (u.len(), setup.sought());
    let left = left(setup, &setup.residuals(u)?);
    let end: Vec<Option<f64>> = (0..keys).map(|k| setup.end(k, u[k])).collect();
    let near = DVector::from_fn(keys, |k, _| setup.inside(k, u[k]));
    let mut jacobian = setup.jacobian(&near)?;
    weigh(setup, &left, &mut jacobian);
    let rates = DVector::from_fn(keys, |k, _| setup.value(k, near[k]).1);
    let (whole, seen) = covariance(&jacobian);
    let inner: Vec<usize> = (0..keys).filter(|k| end[*k].is_none()).collect();
    let (part, part_seen) = covariance(&jacobian.select_columns(&inner));
    let bare: Vec<usize> = inner.iter().copied().filter(|k| *k < sought).collect();
    let (exact, _) = covariance(&jacobian.select_columns(&bare));
    let (mut error, mut noise_error) = (vec![None; keys], vec![None; keys]);
    for (j, k) in inner.iter().enumerate() {
        let size = |covariance: &DMatrix<f64>| covariance[(j, j)].sqrt() * rates[*k].abs();
        let value = setup.value(*k, u[*k]).0;
        let there = |error: f64| (seen[*k] && part_seen[j]).then_some(error);
        error[*k] = settled(setup, *k, value, there(size(&part)));
        if *k < sought {
            noise_error[*k] = error[*k].map(|_| size(&exact));
        }
    }
    // Where a value falls as u grows, its errors have the other sign.
    let signed = |a: usize, b: usize, r: f64| r * rates[a].signum() * rates[b].signum();
    let all = correlations(&whole, &jacobian, &seen);
    let all_free = DMatrix::from_fn(keys, keys, |a, b| signed(a, b, all[(a, b)]));
    // Of two that do the same neither is settled, whichever the rounding of a direction leaves seen.
    let same = |k: usize, j: usize| j != k && all_free[(k, j)].abs() > SAME_KEY;
    for (k, error) in error.iter_mut().enumerate() {
        *error = error.filter(|_| !(0..sought).any(|j| same(k, j)));
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
        end,
        error,
        noise_error,
        correlation,
        all_free,
    })
}

/// Weighs the rows by what is left of them, instead of by the noise that the search went by.
fn weigh(setup: &Setup, left: &[Left], jacobian: &mut DMatrix<f64>) {
    let mut first = 0;
    for (record, left) in setup.records.iter().zip(left) {
        let mut start = first;
        for (s, rows) in record
            .rows()
            .into_iter()
            .enumerate()
            .filter(|(_, n)| *n > 0)
        {
            let factor = record.noise[s] / left.series[s].deviation;
            let mut part = jacobian.rows_mut(start, rows);
            part *= factor;
            start += rows;
        }
        first += record.residuals();
    }
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
