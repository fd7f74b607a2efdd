//! Many shots, their figures as columns.

use std::borrow::Cow;

use arcplunge_core::case::keys::nearest;
use arcplunge_core::simulation::fire::Settings;
use arcplunge_core::simulation::named::{FIGURES, Read, find};
use arcplunge_core::study::batch::in_order;
use arcplunge_core::study::design::{Design, MOST_CELLS};
use arcplunge_core::study::outcome::Outcome;
use numpy::{PyArray1, PyReadonlyArrayDyn};
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyList};

use crate::case::Case;
use crate::error::{count, refused, room, wrong};
use crate::studies::{Draws, MOST_SHOTS, scattered};
use crate::watch::{Asked, Watch, watched};

/// Columns of words beside the figures.
const WORDS: [&str; 3] = ["verdict", "cause", "note"];

type Word = Option<Cow<'static, str>>;

/// Bytes of a number; of a word here, and in Python as a list and as an array.
const NUMBER: u128 = 8;
const WORD: u128 = 24 + 8 + 8;

/// The columns that are wanted of shots.
pub struct Columns {
    numbers: Vec<(&'static str, Read, Vec<f64>)>,
    words: Vec<(&'static str, Vec<Word>)>,
}

impl Columns {
    /// Those of these names, or all; there is room for them and `beside` more columns of numbers.
    fn new(
        py: Python,
        names: Option<Vec<String>>,
        rows: usize,
        beside: usize,
    ) -> PyResult<Columns> {
        let known = || FIGURES.iter().map(|(name, _)| *name).chain(WORDS);
        let names = names.unwrap_or_else(|| known().map(String::from).collect());
        let mut out = Columns {
            numbers: Vec::new(),
            words: Vec::new(),
        };
        let words = names.iter().filter(|name| WORDS.contains(&name.as_str()));
        let words = words.count() as u128 * WORD;
        let numbers = (names.len() + beside) as u128 * NUMBER;
        room(rows as u128 * (words + numbers), format!("{rows} shots"))?;
        for name in names {
            let Some(own) = known().find(|own| *own == name) else {
                let near = nearest(&name, known()).map(String::from);
                let why = format!("`{name}` is no figure");
                return Err(refused(py, "figures", Some(name), why, near));
            };
            match find(own) {
                Some(read) => out.numbers.push((own, read, Vec::with_capacity(rows))),
                None => out.words.push((own, Vec::with_capacity(rows))),
            }
        }
        Ok(out)
    }

    fn take(&mut self, outcome: Outcome) {
        let figures = outcome.figures();
        for (_, read, column) in &mut self.numbers {
            column.push(figures.and_then(*read).unwrap_or(f64::NAN));
        }
        let [verdict, cause, mut note]: [Word; 3] = match outcome {
            Outcome::Shot { verdict, cause, .. } => [
                verdict.map(|verdict| verdict.name().into()),
                Some(cause.name().into()),
                None,
            ],
            Outcome::None(why) => [None, None, Some(why.into())],
        };
        for (name, column) in &mut self.words {
            column.push(match *name {
                "verdict" => verdict.clone(),
                "cause" => cause.clone(),
                _ => note.take(),
            });
        }
    }

    /// As Python has them: arrays of numbers, lists of words.
    fn dict(self, py: Python) -> PyResult<Bound<PyDict>> {
        let out = PyDict::new(py);
        for (name, _, column) in self.numbers {
            out.set_item(name, PyArray1::from_vec(py, column))?;
        }
        for (name, column) in self.words {
            out.set_item(name, PyList::new(py, column)?)?;
        }
        Ok(out)
    }
}

/// Takes the outcomes as they come; none where it was stopped.
fn taken(mut columns: Columns, outcomes: impl Iterator<Item = Outcome>, watch: &Watch) -> Columns {
    for outcome in outcomes {
        columns.take(outcome);
        if !watch.step() {
            break;
        }
    }
    columns
}

/// Fires a case over the rows of these columns, a value of its key \[SI\] each.
#[pyfunction]
#[pyo3(signature = (case, keys, figures, threads, progress))]
pub fn fire_many<'py>(
    py: Python<'py>,
    case: &Case,
    keys: Vec<(String, PyReadonlyArrayDyn<f64>)>,
    figures: Option<Vec<String>>,
    threads: Option<Bound<'py, PyAny>>,
    progress: Option<Bound<'py, PyAny>>,
) -> PyResult<Bound<'py, PyDict>> {
    // Arrays that are spread out over a grid take no room until they are read.
    let cells: u128 = keys
        .iter()
        .map(|(_, values)| values.as_array().len() as u128)
        .sum();
    if cells > MOST_CELLS as u128 {
        let why = format!("{cells} values of keys, at most {MOST_CELLS}");
        return Err(refused(py, "keys", Some(cells.to_string()), why, None));
    }
    let read = |values: &PyReadonlyArrayDyn<f64>| values.as_array().iter().copied().collect();
    let values: Vec<Vec<f64>> = keys.iter().map(|(_, values)| read(values)).collect();
    let names = keys.iter().map(|(key, _)| key.as_str());
    let columns: Vec<_> = names.zip(values.iter().map(Vec::as_slice)).collect();
    let base = case.resolved.case.clone();
    let design = Design::of_numbers(base, Settings::default(), &columns);
    let design = design.map_err(|e| match e.column {
        Some(key) => refused(py, &key, None, e.why, e.nearest),
        None => wrong(py, e.why, e.nearest),
    })?;
    let rows = Columns::new(py, figures, design.count(), 0)?;
    let asked = Asked {
        threads: threads.as_ref(),
        progress: progress.as_ref(),
        total: design.count(),
    };
    let found = watched(py, &asked, |watch| {
        let fired = in_order(0..design.count(), |work, row| design.row(row, work).outcome);
        taken(rows, fired, watch)
    })?;
    found.dict(py)
}

/// Shots `first` to `last` of a scattered weld, `last` not among them: the values drawn \[SI\], and their columns.
#[pyfunction]
#[pyo3(signature = (case, draws, span, figures, threads, progress))]
pub fn scatter<'py>(
    py: Python<'py>,
    case: &Case,
    draws: Draws<'py>,
    span: (Bound<'py, PyAny>, Option<Bound<'py, PyAny>>),
    figures: Option<Vec<String>>,
    threads: Option<Bound<'py, PyAny>>,
    progress: Option<Bound<'py, PyAny>>,
) -> PyResult<(Bound<'py, PyDict>, Bound<'py, PyDict>)> {
    let all = count(&draws.shots, "shots", 1..=MOST_SHOTS)?;
    let study = scattered(py, case, &draws, all as usize)?;
    let first = count(&span.0, "first", 0..=all)?;
    let last = span.1.map(|last| count(&last, "last", first..=all));
    let (first, last) = (first as usize, last.transpose()?.unwrap_or(all) as usize);
    let total = last - first;
    let rows = Columns::new(py, figures, total, study.draws.len())?;
    let asked = Asked {
        threads: threads.as_ref(),
        progress: progress.as_ref(),
        total,
    };
    let mut values: Vec<Vec<f64>> = Vec::new();
    values.resize_with(study.draws.len(), || Vec::with_capacity(total));
    let found = watched(py, &asked, |watch| {
        let fired = in_order(first..last, |work, shot| study.row(shot, work));
        let outcomes = fired.map(|row| {
            for (column, value) in values.iter_mut().zip(row.values) {
                column.push(value);
            }
            row.outcome
        });
        taken(rows, outcomes, watch)
    })?;
    let keys = PyDict::new(py);
    for (draw, column) in study.draws.iter().zip(values) {
        keys.set_item(draw.address().to_string(), PyArray1::from_vec(py, column))?;
    }
    Ok((keys, found.dict(py)?))
}
