//! The case that a fit writes: keys that the trace does not settle are held, the others fitted again.

use nalgebra::DVector;

use super::errors::{Errors, errors};
use super::problem::Setup;
use super::search::descend;
use crate::case::Case;

/// The fitted case.
pub(super) struct Written {
    pub case: Case,
    /// Values of the free keys in it \[SI\].
    pub values: Vec<f64>,
    /// Root mean square of what it leaves \[A\].
    pub rms: f64,
}

/// The case of the solution `u` with its errors. Of keys that can only be traded for each other the last is held at
/// its start, until the others are settled: what they do together lands on those. A key at an end of its range is
/// held there.
pub(super) fn written(setup: &Setup, u: &DVector<f64>, found: &Errors) -> Option<Written> {
    let keys = setup.free.len();
    let mut held: Vec<Option<f64>> = found.end[..keys].to_vec();
    let mut values: Vec<f64> = (0..keys).map(|k| setup.value(k, u[k]).0).collect();
    let mut rest: Vec<f64> = u.iter().skip(keys).copied().collect();
    let mut mean_square = found.mean_square;
    // With some held at an end the others may well be settled.
    let none_held = held.iter().all(Option::is_none);
    let mut loose = none_held
        .then(|| last_loose(found, &(0..keys).collect::<Vec<_>>()))
        .flatten();
    while !none_held || loose.is_some() {
        if let Some(k) = loose {
            held[k] = Some(setup.free[k].start);
        }
        let part = holding(setup, &held)?;
        let open: Vec<usize> = (0..keys).filter(|k| held[*k].is_none()).collect();
        let begin = open.iter().enumerate();
        let begin = begin.map(|(j, k)| part.place(j, values[*k]));
        let begin: Vec<f64> = begin.chain(rest.iter().copied()).collect();
        let at = descend(&part, DVector::from_vec(begin))?.u;
        for (k, held) in held.iter().enumerate() {
            values[k] = held.unwrap_or(values[k]);
        }
        for (j, k) in open.iter().enumerate() {
            values[*k] = part.value(j, at[j]).0;
        }
        rest = at.iter().skip(open.len()).copied().collect();
        let now = errors(&part, &at)?;
        mean_square = now.mean_square;
        loose = last_loose(&now, &open);
        if loose.is_none() {
            break;
        }
    }
    let mut case = setup.case.clone();
    for (free, value) in setup.free.iter().zip(&values) {
        free.address.set_number(&mut case, *value).ok()?;
    }
    Some(Written {
        case,
        values,
        rms: mean_square.sqrt(),
    })
}

/// The last of these keys that is neither settled nor at an end of its range.
fn last_loose(found: &Errors, keys: &[usize]) -> Option<usize> {
    let loose = |j: usize| found.error[j].is_none() && found.end[j].is_none();
    (0..keys.len()).rfind(|j| loose(*j)).map(|j| keys[j])
}

/// The problem with some keys held at a value.
fn holding(setup: &Setup, held: &[Option<f64>]) -> Option<Setup> {
    let mut part = setup.clone();
    part.free.clear();
    for (free, held) in setup.free.iter().zip(held) {
        match held {
            Some(value) => free.address.set_number(&mut part.case, *value).ok()?,
            None => part.free.push(free.clone()),
        }
    }
    Some(part)
}
