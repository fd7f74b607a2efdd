//! Trees for Python: what the command line writes as JSON, as dicts and lists.

use pyo3::exceptions::PyRuntimeError;
use pyo3::prelude::*;
use pyo3::types::PyDict;
use serde::Serialize;

/// A value as Python has it.
pub fn tree<'py>(py: Python<'py>, value: &impl Serialize) -> PyResult<Bound<'py, PyAny>> {
    loads(py, &told(serde_json::to_string(value))?)
}

/// A document of the command line as a dict; no command has made it.
pub fn document<'py>(
    py: Python<'py>,
    text: serde_json::Result<String>,
) -> PyResult<Bound<'py, PyDict>> {
    let whole = loads(py, &told(text)?)?.cast_into::<PyDict>()?;
    whole.del_item("command")?;
    Ok(whole)
}

fn told(text: serde_json::Result<String>) -> PyResult<String> {
    text.map_err(|e| PyRuntimeError::new_err(e.to_string()))
}

fn loads<'py>(py: Python<'py>, text: &str) -> PyResult<Bound<'py, PyAny>> {
    py.import("json")?.call_method1("loads", (text,))
}
