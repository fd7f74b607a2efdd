//! A value of Python as an override writes it: bare numbers are in SI units.

use arcplunge_core::case::keys::{
    Address, Kind, NONE, Number, TOLERANCE, UNCERTAINTY, find, numeric_part,
};
use arcplunge_core::case::quantity::Dimension;
use arcplunge_core::case::tolerance::Amount;
use pyo3::exceptions::{PyRuntimeError, PyTypeError};
use pyo3::prelude::*;
use pyo3::types::{PyBool, PyDict, PyFloat, PyInt, PyList, PyTuple};

/// What a bare number means.
#[derive(Clone, Copy)]
enum Meaning {
    /// Itself: it has no unit, or nothing is known of it.
    Bare,
    /// A quantity.
    Of(&'static Number),
    /// The size of a spread of this quantity.
    Spread(&'static Number),
    /// In a pair on a scale: first the mark, then this quantity.
    Scale(&'static Number),
}

/// What a bare number means that is given for a key.
fn meaning(key: &str) -> Meaning {
    let spread = [TOLERANCE, UNCERTAINTY].into_iter().find_map(|section| {
        let of = key.strip_prefix(section)?.strip_prefix('.')?;
        find(of).ok()?.about()
    });
    if let Some(number) = spread {
        return Meaning::Spread(number);
    }
    let Ok(address) = find(key) else {
        return Meaning::Bare;
    };
    if let Address::Case(found) = &address
        && let Kind::Scale(place) = &found.kind
    {
        return Meaning::Scale(&place.number);
    }
    let part = || find(&numeric_part(key)?).ok()?.about();
    address
        .about()
        .or_else(part)
        .map_or(Meaning::Bare, Meaning::Of)
}

impl Meaning {
    /// A number as an override has it.
    fn text(self, value: f64) -> String {
        match self {
            Meaning::Of(number) => number.text(value),
            Meaning::Spread(number) => Amount::Absolute(value).text(number),
            Meaning::Bare | Meaning::Scale(_) => value.to_string().to_lowercase(),
        }
    }

    /// A number within a list or a table.
    fn toml(self, value: f64) -> PyResult<String> {
        match self {
            Meaning::Of(number) | Meaning::Spread(number)
                if number.dimension != Dimension::Number =>
            {
                quoted(&self.text(value))
            }
            _ => Ok(self.text(value)),
        }
    }

    /// That of the entry `at` of a list; a scale is a list of pairs.
    fn entry(self, at: usize, is_list: bool) -> Meaning {
        match self {
            Meaning::Scale(number) if !is_list && at == 1 => Meaning::Of(number),
            Meaning::Scale(_) if !is_list => Meaning::Bare,
            _ => self,
        }
    }
}

/// A value as the override of a key writes it.
pub fn written(key: &str, value: &Bound<PyAny>) -> PyResult<String> {
    let value = plain(value)?;
    if value.is_none() {
        return Ok(NONE.into());
    }
    if let Ok(text) = value.extract::<String>() {
        return Ok(text);
    }
    let meaning = meaning(key);
    match number(&value) {
        Some(number) => Ok(meaning.text(number)),
        None => inline(key, meaning, &value),
    }
}

/// NumPy's numbers and arrays, and columns of pandas, as Python's own numbers and lists.
fn plain<'py>(value: &Bound<'py, PyAny>) -> PyResult<Bound<'py, PyAny>> {
    match value.getattr_opt("tolist")? {
        Some(own) => own.call0(),
        None => Ok(value.clone()),
    }
}

/// What counts as a number; true and false do not.
fn number(value: &Bound<PyAny>) -> Option<f64> {
    let own = value.is_instance_of::<PyFloat>() || value.is_instance_of::<PyInt>();
    let like = own || value.hasattr("__float__").unwrap_or(false);
    (like && !value.is_instance_of::<PyBool>()).then(|| value.extract().ok())?
}

/// A value as TOML has it within a line.
fn inline(key: &str, meaning: Meaning, value: &Bound<PyAny>) -> PyResult<String> {
    let value = &plain(value)?;
    if let Ok(table) = value.cast::<PyDict>() {
        let parts = table.iter().map(|(name, value)| {
            let name: String = name.extract()?;
            // The parts of a spread are of its own kind, those of a joint are keys.
            let (key, meaning) = match meaning {
                Meaning::Spread(_) => (key.to_string(), meaning),
                _ => {
                    let key = format!("{key}.{name}");
                    let meaning = self::meaning(&key);
                    (key, meaning)
                }
            };
            let value = inline(&key, meaning, &value)?;
            Ok(format!("{} = {value}", quoted(&name)?))
        });
        let parts: Vec<String> = parts.collect::<PyResult<_>>()?;
        return Ok(format!("{{ {} }}", parts.join(", ")));
    }
    if value.is_instance_of::<PyList>() || value.is_instance_of::<PyTuple>() {
        let parts = value.try_iter()?.enumerate().map(|(at, part)| {
            let part = plain(&part?)?;
            let is_list = part.is_instance_of::<PyList>() || part.is_instance_of::<PyTuple>();
            inline(key, meaning.entry(at, is_list), &part)
        });
        let parts: Vec<String> = parts.collect::<PyResult<_>>()?;
        return Ok(format!("[{}]", parts.join(", ")));
    }
    if let Ok(text) = value.extract::<String>() {
        return quoted(&text);
    }
    if let Ok(truth) = value.extract::<bool>() {
        return Ok(truth.to_string());
    }
    if let Some(number) = number(value) {
        return meaning.toml(number);
    }
    let kind = value.get_type().name()?;
    let why = format!("`{key}`: a value is a number, a text, a list or a dict, not {kind}");
    Err(PyTypeError::new_err(why))
}

/// A text in quotes; the escapes of JSON are those of TOML.
fn quoted(text: &str) -> PyResult<String> {
    serde_json::to_string(text).map_err(|e| PyRuntimeError::new_err(e.to_string()))
}
