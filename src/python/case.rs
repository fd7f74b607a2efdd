//! The case of a weld.

use std::path::PathBuf;

use arcplunge_core::Case as Plain;
use arcplunge_core::case::diagnose::Diagnosis;
use arcplunge_core::case::keys::{EARTH, KeyError, NONE, TOLERANCE, find};
use arcplunge_core::case::read::{Resolved, Text};
use arcplunge_core::case::settings::words;
use arcplunge_core::case::show::to_toml_with;
use arcplunge_core::case::tolerance::{CORRELATION, Tolerances};
use arcplunge_core::study::range::meant;
use arcplunge_report::provenance::sha256;
use pyo3::IntoPyObjectExt;
use pyo3::exceptions::{PyTypeError, PyUserWarning};
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyType};

use crate::error::{diagnosed, refused};
use crate::given::given;
use crate::value::written;

/// A rig, a stud and a sheet: all that decides a weld. Cases do not change; `set` gives another one.
///
/// `Case()` is the demonstration case, M5 mild steel at 112 V; `Case.load` reads a case file. Numbers are SI.
#[pyclass(frozen, mapping, module = "arcplunge", name = "Case")]
pub struct Case {
    text: Text,
    sets: Vec<String>,
    /// The case with its spreads.
    pub resolved: Resolved,
}

impl Case {
    fn read(text: Text, sets: Vec<String>) -> Result<Case, Diagnosis> {
        let resolved = text.read(&sets)?;
        Ok(Case {
            text,
            sets,
            resolved,
        })
    }

    /// One that a study has made.
    pub fn of(py: Python, case: &Plain, spreads: &Tolerances) -> PyResult<Case> {
        from_text(py, &to_toml_with(case, spreads))
    }

    /// What was given of the case and no more, as a case file: what follows from other keys goes on to do so.
    fn given(&self) -> String {
        let read = |text: &str| plain(text).ok().map(|case| case.to_toml());
        given(&self.to_toml(), &self.resolved, read)
    }

    /// The case with overrides beside its own, as for the words of a table.
    pub fn with(&self, sets: &[String]) -> Result<Plain, String> {
        let sets = [self.sets.as_slice(), sets].concat();
        let read = self.text.read(&sets);
        read.map(|r| r.case).map_err(|d| d.render(false))
    }
}

/// Anything that maps keys to values, as a row of a table.
fn mapping<'py>(given: &Bound<'py, PyAny>) -> PyResult<Bound<'py, PyDict>> {
    let made = given.py().get_type::<PyDict>().call1((given,));
    let made = made.map_err(|_| {
        let kind = given.get_type();
        let kind = kind.name().map_or("this".into(), |name| name.to_string());
        PyTypeError::new_err(format!("changes are a dict of keys and values, not {kind}"))
    });
    Ok(made?.cast_into()?)
}

/// Whether an override takes an earth lead away.
fn removes(key: &str, text: &str) -> bool {
    let lead = key.strip_prefix(EARTH).and_then(|k| k.strip_prefix('.'));
    text == NONE && lead.is_some_and(|number| number.parse::<usize>().is_ok())
}

/// Adds an override in place of an earlier one of its key; correlations add up.
fn add(sets: &mut Vec<String>, key: &str, text: &str) {
    let head = format!("{key}=");
    if key != format!("{TOLERANCE}.{CORRELATION}") {
        sets.retain(|set| !set.starts_with(&head));
    }
    sets.push(head + text);
}

/// The case of a case file's text, TOML or JSON.
fn plain(text: &str) -> Result<Case, Diagnosis> {
    Case::read(Text::of_source("case", text.as_bytes())?, Vec::new())
}

fn from_text(py: Python, text: &str) -> PyResult<Case> {
    heeded(py, plain(text), None)
}

/// A case that was read, with a warning for what in it is likely a slip and was not in the one `before`.
fn heeded(py: Python, read: Result<Case, Diagnosis>, before: Option<&Case>) -> PyResult<Case> {
    let case = read.map_err(|d| diagnosed(py, &d))?;
    let known = |doubt| before.is_some_and(|b| b.resolved.doubts.contains(doubt));
    let doubts = case.resolved.doubts.iter();
    let doubts = doubts.filter(|doubt| !known(doubt) && !doubt.is_idle());
    let renamed = case.resolved.renamed.iter();
    let renamed = renamed.filter(|_| before.is_none());
    let said = renamed.map(|(old, new)| format!("the key `{old}` is now called `{new}`"));
    for text in doubts.map(ToString::to_string).chain(said) {
        let text = std::ffi::CString::new(text)?;
        PyErr::warn(py, &py.get_type::<PyUserWarning>(), &text, 1)?;
    }
    Ok(case)
}

#[pymethods]
impl Case {
    #[new]
    fn new(py: Python) -> PyResult<Case> {
        heeded(py, Case::read(Text::default(), Vec::new()), None)
    }

    /// Reads a case file, TOML or JSON; what it does not say is as in the demonstration case.
    #[staticmethod]
    fn load(py: Python, path: PathBuf) -> PyResult<Case> {
        let text = Text::of_file(&path);
        heeded(py, text.and_then(|text| Case::read(text, Vec::new())), None)
    }

    /// Reads a case from the text of a case file.
    #[staticmethod]
    fn from_toml(py: Python, text: &str) -> PyResult<Case> {
        from_text(py, text)
    }

    /// Reads a case from JSON: its own, or that of a shot with the case inside. Numbers are SI.
    #[staticmethod]
    fn from_json(py: Python, text: &str) -> PyResult<Case> {
        from_text(py, text)
    }

    /// The case with other values: numbers in SI, or text with a unit, by full key; `None` takes an earth lead away.
    ///
    ///     case.set(**{"bank.voltage": "113 V", "stud.cone": 0.05})
    ///     case.set({"stud.size": "M6", "earth.1": None})
    ///
    /// Keys of one call number the leads as they were before it.
    #[pyo3(signature = (changes = None, /, **more))]
    fn set(
        &self,
        py: Python,
        changes: Option<&Bound<PyAny>>,
        more: Option<&Bound<PyDict>>,
    ) -> PyResult<Case> {
        let mut sets = self.sets.clone();
        let changes = changes.map(mapping).transpose()?;
        let mut removed = false;
        for (key, value) in [changes.as_ref(), more].into_iter().flatten().flatten() {
            let key: String = key.extract()?;
            let text = written(&key, &value)?;
            removed |= removes(&key, &text);
            add(&mut sets, &key, &text);
        }
        let read = Case::read(self.text.clone(), sets);
        let mut read = read.map_err(|d| d.given_by(0, "Case.set"));
        // The leads that are left have new numbers, which later overrides mean.
        if let Ok(case) = &read
            && removed
        {
            read = plain(&case.given());
        }
        heeded(py, read, Some(self))
    }

    /// The number of a key in SI units, `case["bank.voltage"]`; of a key that is a word the text that `set` takes,
    /// `case["stud.size"]`.
    fn __getitem__<'py>(&self, py: Python<'py>, key: &str) -> PyResult<Bound<'py, PyAny>> {
        let case = &self.resolved.case;
        let number = find(key).and_then(|address| address.number_there(case));
        let text = || find(key).ok().and_then(|address| words(case, &address));
        match number {
            Ok(number) => number.into_bound_py_any(py),
            Err(e @ KeyError::NotANumber { .. }) => match text() {
                Some(text) => text.into_bound_py_any(py),
                None => Err(refused(py, key, None, &e, meant(&e))),
            },
            Err(e) => Err(refused(py, key, None, &e, meant(&e))),
        }
    }

    /// The case as a case file, every key with its unit, and the spreads it gives; it reads back the same.
    fn to_toml(&self) -> String {
        to_toml_with(&self.resolved.case, &self.resolved.tolerances)
    }

    /// The case as JSON, numbers in SI, names as in the case file; without spreads.
    fn to_json(&self) -> String {
        self.resolved.case.to_json()
    }

    /// SHA-256 of `to_toml()` in hexadecimal digits: cases with the same hash give the same results.
    #[getter]
    fn hash(&self) -> String {
        sha256(self.to_toml().as_bytes())
    }

    /// Title of the case, or nothing.
    #[getter]
    fn title(&self) -> &str {
        &self.resolved.case.title
    }

    fn __eq__(&self, other: &Case) -> bool {
        let (a, b) = (&self.resolved, &other.resolved);
        a.case == b.case && a.tolerances == b.tolerances
    }

    fn __hash__(&self) -> u64 {
        let digits = self.hash();
        u64::from_str_radix(&digits[..16], 16).unwrap_or_default()
    }

    fn __repr__(&self) -> String {
        let case = &self.resolved.case;
        let volts = case.bank.voltage;
        let title = match case.title.as_str() {
            "" => String::new(),
            title => format!(" {title:?}"),
        };
        format!("<arcplunge.Case{title}, {} at {volts} V>", case.stud.size)
    }

    fn __reduce__<'py>(slf: &Bound<'py, Self>) -> PyResult<(Bound<'py, PyAny>, (String,))> {
        let class: Bound<PyType> = slf.get_type();
        Ok((class.getattr("from_toml")?, (slf.get().given(),)))
    }
}
