//! Keys of a case fitted to measured currents, and what a guess leaves of them.

use std::fs::File;
use std::path::PathBuf;

use arcplunge_core::case::quantity::{Dimension, parse};
use arcplunge_core::study::fit::oscilloscope_csv::{Places, Scope, ScopeError, Table};
use arcplunge_core::study::fit::trace::{Columns, Trace};
use arcplunge_core::study::fit::{Free, Setup, Sought, fit as fitted};
use arcplunge_report::fit::{Source, json, unit};
use arcplunge_report::provenance::Hash;
use numpy::{PyArray1, PyReadonlyArray1};
use pyo3::prelude::*;
use pyo3::types::PyDict;

use crate::case::Case;
use crate::error::wrong;
use crate::json::document;
use crate::watch::{Asked, watched};

/// Columns of a trace: time \[s\], current \[A\], and perhaps the voltage at the weld \[V\].
pub type Arrays<'py> = Vec<PyReadonlyArray1<'py, f64>>;

/// What is fitted.
#[derive(FromPyObject)]
#[pyo3(from_item_all)]
pub struct Keys {
    vary: Vec<String>,
    vary_each: Vec<String>,
    trigger_at_zero: bool,
}

/// A trace of arrays, and where it comes from.
pub fn trace(py: Python, arrays: &Arrays) -> PyResult<(Trace, Source)> {
    let unread = |e: ScopeError| wrong(py, e.to_string(), e.nearest().map(String::from));
    if !(2..=3).contains(&arrays.len()) {
        let why = "a trace is time, current and perhaps voltage";
        return Err(wrong(py, why, None));
    }
    let (mut columns, mut hash) = (Vec::new(), Hash::default());
    for array in arrays {
        let values = array.as_slice()?.to_vec();
        values.iter().for_each(|v| hash.update(&v.to_le_bytes()));
        columns.push(values);
    }
    let rows = columns[0].len();
    if rows == 0 || columns.iter().any(|column| column.len() != rows) {
        return Err(wrong(py, "the arrays of a trace differ in length", None));
    }
    let voltage = (arrays.len() == 3).then_some((2, 1.0));
    let table = Table {
        names: Vec::new(),
        words: vec![false; columns.len()],
        beside: Vec::new(),
        columns,
        lines: Places::default(),
        averaged: 1,
        thousands: 0,
    };
    let of = Columns {
        time: (0, 1.0),
        current: (1, 1.0),
        voltage,
    };
    let source = Source {
        file: "arrays".into(),
        sha256: hash.digits(),
        time: "1".into(),
        time_unit: "s".into(),
        current: "2".into(),
        scale: "1 A".into(),
        scale_A: 1.0,
        voltage: voltage.map(|_| "3".into()),
        voltage_scale_V: voltage.map(|(_, unit)| unit),
        within: None,
    };
    Ok((Trace::of(table, &of).map_err(unread)?, source))
}

/// The problem, and the sources of its traces.
fn setup(
    py: Python,
    case: &Case,
    traces: &[Arrays],
    keys: &Keys,
) -> PyResult<(Setup, Vec<Source>)> {
    let base = case.resolved.case.clone();
    let read = |texts: &[String]| {
        let free = Free::all(&base, texts);
        free.map_err(|e| wrong(py, e.to_string(), e.nearest()))
    };
    read(&[keys.vary.as_slice(), &keys.vary_each].concat())?;
    let free = Free::of_traces(read(&keys.vary)?, read(&keys.vary_each)?, traces.len());
    let traces = traces.iter().map(|arrays| trace(py, arrays));
    let (traces, sources): (Vec<Trace>, Vec<Source>) =
        traces.collect::<PyResult<Vec<_>>>()?.into_iter().unzip();
    let setup = Setup::of(base, free, traces, !keys.trigger_at_zero);
    Ok((setup.map_err(|e| wrong(py, e, None))?, sources))
}

/// The fit as a tree, and the fitted case of each trace.
#[pyfunction]
#[pyo3(signature = (case, traces, keys, threads))]
pub fn fit<'py>(
    py: Python<'py>,
    case: &Case,
    traces: Vec<Arrays<'py>>,
    keys: Keys,
    threads: Option<usize>,
) -> PyResult<(Bound<'py, PyDict>, Vec<Case>)> {
    let (setup, sources) = setup(py, case, &traces, &keys)?;
    let spreads = &case.resolved.tolerances;
    let setup = setup.knowing(spreads);
    let asked = Asked {
        threads,
        progress: None,
        total: 0,
    };
    let found = watched(py, &asked, |watch| {
        fitted(&setup.clone().until(watch.stop()))
    })?;
    let found = found.map_err(|e| wrong(py, e, None))?;
    let cases = found.cases.iter().map(|case| Case::of(py, case, spreads));
    Ok((
        document(py, json(&setup, &found, &sources))?,
        cases.collect::<PyResult<_>>()?,
    ))
}

/// Computed less measured, for a search or a sampler of one's own.
#[pyclass(frozen, module = "arcplunge", name = "Residual")]
pub struct Residual {
    setup: Setup,
    sought: Vec<Sought>,
    rows: usize,
}

/// The residuals of traces with these keys turned.
#[pyfunction]
#[pyo3(signature = (case, traces, keys))]
pub fn residual(py: Python, case: &Case, traces: Vec<Arrays>, keys: Keys) -> PyResult<Residual> {
    let (setup, _) = setup(py, case, &traces, &keys)?;
    let sought = setup.sought_values();
    let start: Vec<f64> = sought.iter().map(|s| s.start).collect();
    let rows = setup.residuals_at(&start).map_or(0, |all| all.len());
    Ok(Residual {
        setup,
        sought,
        rows,
    })
}

#[pymethods]
impl Residual {
    /// Names of the values: the keys, then `offset`, `trigger`, perhaps `drift` and `voltage_offset` of each trace.
    #[getter]
    fn names(&self) -> Vec<String> {
        let name = |s: &Sought| match s.record {
            Some(record) if self.setup.records.len() > 1 => format!("{} [{record}]", s.name),
            _ => s.name.clone(),
        };
        self.sought.iter().map(name).collect()
    }

    /// SI units of the values; empty for a bare number.
    #[getter]
    fn units(&self) -> Vec<&'static str> {
        let free = &self.setup.free;
        let of_key = |k: usize| free.get(k).map(|free| free.number.dimension.si());
        let all = self.sought.iter().enumerate();
        all.map(|(k, s)| of_key(k).unwrap_or(unit(&s.name)))
            .collect()
    }

    /// The values at the start \[SI\].
    #[getter]
    fn start<'py>(&self, py: Python<'py>) -> Bound<'py, PyArray1<f64>> {
        PyArray1::from_vec(py, self.sought.iter().map(|s| s.start).collect())
    }

    /// Least and largest of each value \[SI\], as two arrays.
    #[getter]
    fn bounds<'py>(&self, py: Python<'py>) -> [Bound<'py, PyArray1<f64>>; 2] {
        let [low, high] = [|s: &Sought| s.range.0, |s: &Sought| s.range.1];
        [
            PyArray1::from_vec(py, self.sought.iter().map(low).collect()),
            PyArray1::from_vec(py, self.sought.iter().map(high).collect()),
        ]
    }

    /// Computed less measured at these values \[SI\], each over the noise of its row; infinite where they make no case.
    fn __call__<'py>(
        &self,
        py: Python<'py>,
        values: PyReadonlyArray1<f64>,
    ) -> PyResult<Bound<'py, PyArray1<f64>>> {
        let values = values.as_slice()?;
        if values.len() != self.sought.len() {
            let (given, wanted) = (values.len(), self.sought.len());
            return Err(wrong(
                py,
                format!("{given} values, expected {wanted}"),
                None,
            ));
        }
        let found = py.detach(|| self.setup.residuals_at(values));
        let found = found.unwrap_or_else(|| vec![f64::INFINITY; self.rows]);
        Ok(PyArray1::from_vec(py, found))
    }
}

/// The columns of an oscilloscope's file, by name or number from 1, in SI units.
#[pyfunction]
#[pyo3(signature = (path, columns, units))]
pub fn read_trace<'py>(
    py: Python<'py>,
    path: PathBuf,
    columns: (Option<String>, Option<String>, Option<String>),
    units: (String, String, String),
) -> PyResult<Vec<Bound<'py, PyArray1<f64>>>> {
    let name = path.display().to_string();
    let unread = |e: ScopeError| wrong(py, format!("{name}: {e}"), e.nearest().map(String::from));
    let unit = |text: &str, of| {
        let text = match text.trim_start().starts_with(|c: char| c.is_alphabetic()) {
            true => format!("1 {text}"),
            false => text.to_string(),
        };
        parse(&text, of).map_err(|e| wrong(py, e.to_string(), None))
    };
    let units = [
        unit(&units.0, Dimension::Time)?,
        unit(&units.1, Dimension::Current)?,
        unit(&units.2, Dimension::Voltage)?,
    ];
    let scope = Scope::open(File::open(&path)?).map_err(unread)?;
    let column = |asked: Option<&str>, usual| scope.column(asked, usual).map_err(unread);
    let mut wanted = vec![
        column(columns.0.as_deref(), 0)?,
        column(columns.1.as_deref(), 1)?,
    ];
    if let Some(voltage) = &columns.2 {
        wanted.push(column(Some(voltage), 2)?);
    }
    let mut table = scope.take(&wanted, |_| ()).map_err(unread)?;
    let of = |(column, unit): (&usize, f64)| {
        let mut values = std::mem::take(&mut table.columns[*column]);
        values.iter_mut().for_each(|value| *value *= unit);
        PyArray1::from_vec(py, values)
    };
    Ok(wanted.iter().zip(units).map(of).collect())
}
