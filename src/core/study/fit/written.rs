//! The case that a fit writes: keys that the trace does not settle are held, the others fitted again.

use nalgebra::DVector;

use super::errors::{Errors, errors};
use super::problem::Setup;
use super::search::descend;
use crate::case::Case;
use crate::case::keys::Address;

/// The fitted cases.
pub(super) struct Written {
    /// One for each trace.
    pub cases: Vec<Case>,
    /// Values of the free keys in them \[SI\].
    pub values: Vec<f64>,
    /// Root mean square of what they leave of the currents \[A\].
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
    let mut now = found.clone();
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
        now = errors(&part, &at)?;
        loose = last_loose(&now, &open);
        if loose.is_none() {
            break;
        }
    }
    let mut cases: Vec<Case> = setup.records.iter().map(|r| r.case.clone()).collect();
    let fitted = setup.free.iter().zip(&values);
    let fitted = fitted.map(|(free, value)| (&free.address, free.record, *value));
    let known = &rest[rest.len() - setup.known.len()..];
    let known = setup
        .known
        .iter()
        .zip(known)
        .filter(|(known, _)| known.growth.is_none());
    let known = known.map(|(known, u)| (&known.address, known.record, known.value(*u).0));
    for (address, record, value) in known.chain(fitted) {
        set(&mut cases, address, record, value)?;
    }
    let currents = || now.left.iter().map(|l| &l.series[0]);
    let rows: usize = currents().map(|s| s.rows.len()).sum();
    let squares: f64 = currents()
        .map(|s| s.rows.len() as f64 * s.mean_square)
        .sum();
    Some(Written {
        cases,
        values,
        rms: (squares / rows as f64).sqrt(),
    })
}

/// Sets a number in the case of one trace, or of all.
fn set<'a>(
    cases: impl IntoIterator<Item = &'a mut Case>,
    address: &Address,
    record: Option<usize>,
    value: f64,
) -> Option<()> {
    let cases = cases.into_iter().enumerate();
    for (_, case) in cases.filter(|(r, _)| record.is_none_or(|own| own == *r)) {
        address.set_number(case, value).ok()?;
    }
    Some(())
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
            Some(value) => {
                let cases = part.records.iter_mut().map(|r| &mut r.case);
                set(cases, &free.address, free.record, *value)?;
            }
            None => part.free.push(free.clone()),
        }
    }
    Some(part)
}
