//! The one exception of the package, with its faults; and what is no fault of the case: too little memory.

use std::fmt::Display;
use std::hint::black_box;
use std::ops::RangeInclusive;

use arcplunge_core::case::diagnose::{Diagnosis, Told};
use pyo3::exceptions::{PyMemoryError, PyTypeError};
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyList};

/// What is wrong with a case, as `arcplunge.CaseError`.
pub fn diagnosed(py: Python, diagnosis: &Diagnosis) -> PyErr {
    raised(py, &diagnosis.render(false), &diagnosis.told())
}

/// What is wrong with what a call was asked for, and the nearest right name.
pub fn wrong(py: Python, message: impl ToString, nearest: Option<String>) -> PyErr {
    faulted(py, message.to_string(), [None, None], nearest)
}

/// What is wrong with an argument or a key, and with what was written there.
pub fn refused(
    py: Python,
    key: &str,
    written: Option<String>,
    why: impl Display,
    nearest: Option<String>,
) -> PyErr {
    let why = why.to_string();
    let message = match why.contains(&format!("`{key}`")) {
        true => why,
        false => format!("`{key}`: {why}"),
    };
    faulted(py, message, [Some(key.into()), written], nearest)
}

fn faulted(
    py: Python,
    message: String,
    [key, written]: [Option<String>; 2],
    nearest: Option<String>,
) -> PyErr {
    let hint = nearest.map(|name| format!("did you mean `{name}`?"));
    let shown = match &hint {
        Some(hint) => format!("{message}; {hint}"),
        None => message.clone(),
    };
    let told = Told {
        message,
        key,
        written,
        place: None,
        hint,
        help: None,
        shown: shown.clone(),
    };
    raised(py, &shown, &[told])
}

/// A whole number within bounds; `key` is the name of the argument.
pub fn count(value: &Bound<PyAny>, key: &str, bounds: RangeInclusive<u64>) -> PyResult<u64> {
    let py = value.py();
    let index = py.import("operator")?.call_method1("index", (value,));
    let whole = index.map_err(|_| {
        let kind = value.get_type();
        let kind = kind.name().map_or("it".into(), |name| name.to_string());
        PyTypeError::new_err(format!("`{key}` is a whole number, not {kind}"))
    })?;
    let number = whole.extract().ok().filter(|n| bounds.contains(n));
    number.ok_or_else(|| {
        let (least, most) = bounds.into_inner();
        let why = format!("{whole} is not from {least} to {most}");
        refused(py, key, Some(whole.to_string()), why, None)
    })
}

/// Whether so many bytes can be had: where they cannot, work that is going to need them is better not begun.
pub fn room(bytes: u128, what: impl Display) -> PyResult<()> {
    let mut tried: Vec<u8> = Vec::new();
    let size = usize::try_from(bytes).unwrap_or(usize::MAX);
    let found = tried.try_reserve_exact(size);
    // What nobody looks at is not asked for.
    black_box(&mut tried);
    found.map_err(|_| {
        let size = bytes.div_ceil(1_000_000_000);
        PyMemoryError::new_err(format!("{what} take {size} GB, more than can be had"))
    })
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
