//! Many shots, their figures as columns.

use std::borrow::Cow;

use arcplunge_core::case::keys::nearest;
use arcplunge_core::simulation::fire::Settings;
use arcplunge_core::simulation::named::{FIGURES, Read, find};
use arcplunge_core::study::batch::in_order;
use arcplunge_core::study::design::Design;
use arcplunge_core::study::outcome::Outcome;
use numpy::{PyArray1, PyReadonlyArray1};
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyList};

use crate::case::Case;
use crate::error::wrong;
use crate::studies::{Draws, scattered};
use crate::watch::{Asked, Watch, watched};

/// Columns of words beside the figures.
const WORDS: [&str; 3] = ["verdict", "cause", "note"];

type Word = Option<Cow<'static, str>>;

/// The columns that are wanted of shots.
pub struct Columns {
    numbers: Vec<(&'static str, Read, Vec<f64>)>,
    words: Vec<(&'static str, Vec<Word>)>,
}

impl Columns {
    /// Those of these names, or all.
    fn new(py: Python, names: Option<Vec<String>>, rows: usize) -> PyResult<Columns> {
        let known = || FIGURES.iter().map(|(name, _)| *name).chain(WORDS);
        let names = names.unwrap_or_else(|| known().map(String::from).collect());
        let mut out = Columns {
            numbers: Vec::new(),
            words: Vec::new(),
        };
        for name in names {
            let Some(own) = known().find(|own| *own == name) else {
                let near = nearest(&name, known()).map(String::from);
                return Err(wrong(py, format!("`{name}` is no figure"), near));
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
    keys: Vec<(String, PyReadonlyArray1<f64>)>,
    figures: Option<Vec<String>>,
    threads: Option<usize>,
    progress: Option<Bound<'py, PyAny>>,
) -> PyResult<Bound<'py, PyDict>> {
    let mut columns = Vec::new();
    for (key, values) in &keys {
        columns.push((key.as_str(), values.as_slice()?));
    }
    let base = case.resolved.case.clone();
    let design = Design::of_numbers(base, Settings::default(), &columns)
        .map_err(|e| wrong(py, key_told(&e.column, &e.why), e.nearest))?;
    let rows = Columns::new(py, figures, design.count())?;
    let asked = Asked {
        threads,
        progress: progress.as_ref(),
        total: design.count(),
    };
    let found = watched(py, &asked, |watch| {
        let fired = in_order(0..design.count(), |work, row| design.row(row, work).outcome);
        taken(rows, fired, watch)
    })?;
    found.dict(py)
}

/// What is wrong with a column, by its key.
fn key_told(key: &Option<String>, why: &str) -> String {
    match key {
        Some(key) if !why.contains(key.as_str()) => format!("`{key}`: {why}"),
        _ => why.to_string(),
    }
}

/// Shots `first` to `last` of a scattered weld, `last` not among them: the values drawn \[SI\], and their columns.
#[pyfunction]
#[pyo3(signature = (case, draws, span, figures, threads, progress))]
pub fn scatter<'py>(
    py: Python<'py>,
    case: &Case,
    draws: Draws,
    span: (usize, usize),
    figures: Option<Vec<String>>,
    threads: Option<usize>,
    progress: Option<Bound<'py, PyAny>>,
) -> PyResult<(Bound<'py, PyDict>, Bound<'py, PyDict>)> {
    let study = scattered(py, case, &draws)?;
    let (first, last) = (span.0, span.1.min(study.shots));
    let count = last.saturating_sub(first);
    let rows = Columns::new(py, figures, count)?;
    let asked = Asked {
        threads,
        progress: progress.as_ref(),
        total: count,
    };
    let mut values: Vec<Vec<f64>> = vec![Vec::with_capacity(count); study.draws.len()];
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
