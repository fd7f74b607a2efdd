//! The one exception of the package, with its faults.

use arcplunge_core::case::diagnose::{Diagnosis, Told};
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyList};

/// What is wrong with a case, as `arcplunge.CaseError`.
pub fn diagnosed(py: Python, diagnosis: &Diagnosis) -> PyErr {
    raised(py, &diagnosis.render(false), &diagnosis.told())
}

/// What is wrong with what a call was asked for, and the nearest right name.
pub fn wrong(py: Python, message: impl ToString, nearest: Option<String>) -> PyErr {
    let hint = nearest.map(|name| format!("did you mean `{name}`?"));
    let message = message.to_string();
    let shown = match &hint {
        Some(hint) => format!("{message}; {hint}"),
        None => message.clone(),
    };
    let told = Told {
        message,
        key: None,
        written: None,
        place: None,
        hint,
        help: None,
        shown: shown.clone(),
    };
    raised(py, &shown, &[told])
}

fn raised(py: Python, message: &str, told: &[Told]) -> PyErr {
    let made = || {
        let module = py.import("arcplunge._error")?;
        let fault = module.getattr("Fault")?;
        let faults = PyList::empty(py);
        for one in told {
            let parts = PyDict::new(py);
            parts.set_item("message", &one.message)?;
            parts.set_item("key", &one.key)?;
            parts.set_item("written", &one.written)?;
            parts.set_item("line", one.place.map(|(line, _)| line))?;
            parts.set_item("column", one.place.map(|(_, column)| column))?;
            parts.set_item("hint", &one.hint)?;
            parts.set_item("help", &one.help)?;
            parts.set_item("shown", &one.shown)?;
            faults.append(fault.call((), Some(&parts))?)?;
        }
        module.getattr("CaseError")?.call1((message, faults))
    };
    made().map_or_else(|e| e, PyErr::from_value)
}
