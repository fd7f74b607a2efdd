//! An oscilloscope's file as arrays.

use std::fs::File;
use std::path::PathBuf;

use arcplunge_core::case::quantity::{Dimension, parse};
use arcplunge_core::case::read::why_unread;
use arcplunge_core::study::fit::oscilloscope_csv::{Scope, ScopeError};
use numpy::PyArray1;
use pyo3::prelude::*;

use crate::error::{refused, wrong};

/// What a trace is of, with the names of its columns' and units' arguments, and where it usually stands.
const COLUMNS: [(&str, &str, Dimension, usize); 3] = [
    ("time", "time_unit", Dimension::Time, 0),
    ("current", "scale", Dimension::Current, 1),
    ("voltage", "voltage_scale", Dimension::Voltage, 2),
];

/// The columns of an oscilloscope's file, by name or number from 1, in SI units; the voltage where its column is named.
#[pyfunction]
#[pyo3(signature = (path, columns, units))]
pub fn read_trace<'py>(
    py: Python<'py>,
    path: PathBuf,
    columns: [Option<String>; 3],
    units: [String; 3],
) -> PyResult<Vec<Bound<'py, PyArray1<f64>>>> {
    let name = path.display().to_string();
    let unread = |e: ScopeError| wrong(py, format!("{name}: {e}"), e.nearest().map(String::from));
    let file = File::open(&path).map_err(|e| {
        let why = why_unread(&e);
        wrong(py, format!("{name}: cannot read the trace: {why}"), None)
    })?;
    let scope = Scope::open(file).map_err(unread)?;
    let mut wanted: Vec<(usize, f64)> = Vec::new();
    let mut names: Vec<&str> = Vec::new();
    for ((argument, unit, of, usual), (asked, text)) in
        COLUMNS.into_iter().zip(columns.iter().zip(&units))
    {
        if argument == "voltage" && asked.is_none() {
            continue;
        }
        let scale = scale(py, unit, text, of)?;
        let column = scope.column(asked.as_deref(), usual).map_err(|e| {
            let near = e.nearest().map(String::from);
            let why = format!("`{argument}`: {name}: {e}");
            refused(py, argument, asked.clone(), why, near)
        })?;
        if let Some(at) = wanted.iter().position(|(other, _)| *other == column) {
            let other = names[at];
            let number = column + 1;
            let why = format!("{name}: `{other}` and `{argument}` are the same column, {number}");
            return Err(refused(py, argument, asked.clone(), why, None));
        }
        wanted.push((column, scale));
        names.push(argument);
    }
    let taken: Vec<usize> = wanted.iter().map(|(column, _)| *column).collect();
    let mut table = scope.take(&taken, |_| ()).map_err(unread)?;
    let of = |(column, scale): (usize, f64)| {
        let mut values = std::mem::take(&mut table.columns[column]);
        values.iter_mut().for_each(|value| *value *= scale);
        PyArray1::from_vec(py, values)
    };
    Ok(wanted.into_iter().map(of).collect())
}

/// What a unit of the file is in SI units; a unit alone stands for one of it.
fn scale(py: Python, argument: &str, text: &str, of: Dimension) -> PyResult<f64> {
    let told = |why: String| refused(py, argument, Some(text.into()), why, None);
    let whole = match text.trim_start().starts_with(char::is_alphabetic) {
        true => format!("1 {text}"),
        false => text.to_string(),
    };
    let scale = parse(&whole, of).map_err(|e| told(e.to_string()))?;
    // A probe may be turned round; time does not run backwards.
    match scale == 0.0 || (of == Dimension::Time && scale < 0.0) {
        true => Err(told(format!("`{text}` leaves nothing of the column"))),
        false => Ok(scale),
    }
}
