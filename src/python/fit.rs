//! Keys of a case fitted to measured currents, and what a guess leaves of them.

use arcplunge_core::study::fit::oscilloscope_csv::{Places, ScopeError, Table};
use arcplunge_core::study::fit::trace::{Columns, Trace};
use arcplunge_core::study::fit::{Free, Setup, Sought, fit as fitted};
use arcplunge_report::fit::{Source, json, unit};
use arcplunge_report::provenance::Hash;
use numpy::{AllowTypeChange, PyArray1, PyArrayLike1, PyReadonlyArray1};
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

/// A trace of arrays, and where it comes from; `name` is for messages.
pub fn trace(py: Python, arrays: &Arrays, name: &str) -> PyResult<(Trace, Source)> {
    let told = |why: &str| wrong(py, format!("{name}: {why}"), None);
    if !(2..=3).contains(&arrays.len()) {
        let why = format!("{} arrays; time, current and perhaps voltage", arrays.len());
        return Err(told(&why));
    }
    let (mut columns, mut hash) = (Vec::new(), Hash::default());
    for array in arrays {
        let values = array.as_slice()?.to_vec();
        values.iter().for_each(|v| hash.update(&v.to_le_bytes()));
        columns.push(values);
    }
    let rows = columns[0].len();
    if rows == 0 || columns.iter().any(|column| column.len() != rows) {
        let lengths: Vec<String> = columns.iter().map(|c| c.len().to_string()).collect();
        let why = format!("arrays of length {}", lengths.join(", "));
        return Err(told(&format!(
            "{why}; they must be of one length, not zero"
        )));
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
    let read = Trace::of(table, &of).map_err(|e| match e {
        // Arrays have no lines.
        ScopeError::Time {
            line,
            before,
            after,
        } => told(&format!(
            "the time decreases: {before} s is followed by {after} s in element {line}"
        )),
        ScopeError::NoTime(line) => told(&format!("the time of element {line} is no number")),
        e => told(&e.to_string()),
    })?;
    Ok((read, source))
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
    let numbered = traces.iter().enumerate();
    let traces = numbered.map(|(n, arrays)| trace(py, arrays, &format!("trace {}", n + 1)));
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
    threads: Option<Bound<'py, PyAny>>,
) -> PyResult<(Bound<'py, PyDict>, Vec<Case>)> {
    let (setup, sources) = setup(py, case, &traces, &keys)?;
    let spreads = &case.resolved.tolerances;
    let setup = setup.knowing(spreads);
    let asked = Asked {
        threads: threads.as_ref(),
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

    fn __repr__(&self) -> String {
        format!("<arcplunge.Residual: {}>", self.names().join(", "))
    }

    /// Computed less measured at these values \[SI\], each over the noise of its row; infinite where they make no case.
    fn __call__<'py>(
        &self,
        py: Python<'py>,
        values: PyArrayLike1<f64, AllowTypeChange>,
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
