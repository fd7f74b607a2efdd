//! One shot.

use std::cell::RefCell;

use arcplunge_core::case::keys::nearest;
use arcplunge_core::simulation::fire::{Settings, Workspace, fire as fired};
use arcplunge_core::simulation::integrator::IntegrationError;
use arcplunge_core::simulation::joints::joints;
use arcplunge_core::simulation::named::{FIGURES, find};
use arcplunge_core::simulation::rig::Rig;
use arcplunge_core::simulation::shot::Shot as Plain;
use arcplunge_core::study::assessment::{Assessment, Depth, assess_shot};
use arcplunge_report::reasons::Reasons;
use pyo3::exceptions::{PyAttributeError, PyRuntimeError};
use pyo3::prelude::*;
use pyo3::types::PyDict;

use crate::case::Case;
use crate::json::{document, tree};
use crate::watch::{Asked, watched};

thread_local! {
    /// The lists of the last shot of this thread.
    static WORK: RefCell<Workspace> = RefCell::default();
}

/// A failure of the solver, which no checked case is known to cause.
pub fn failed(e: IntegrationError) -> PyErr {
    PyRuntimeError::new_err(e.to_string())
}

/// One weld, fired. Each figure is an attribute, its unit in the name: `shot.arc_energy_J`; `None` where its event did not
/// come. A verdict is a screen, never an acceptance: test welds decide.
#[pyclass(frozen, module = "arcplunge", name = "Shot")]
pub struct Shot {
    case: Py<Case>,
    rig: Rig,
    shot: Plain,
}

/// Fires one weld.
#[pyfunction]
pub fn fire(py: Python, case: Py<Case>) -> PyResult<Shot> {
    let resolved = &case.get().resolved;
    let (rig, shot) = py.detach(|| {
        let rig = Rig::new(&resolved.case);
        let shot = WORK.with_borrow_mut(|work| fired(&rig, &Settings::default(), work));
        (rig, shot)
    });
    Ok(Shot {
        shot: shot.map_err(failed)?,
        rig,
        case,
    })
}

impl Shot {
    fn assessed(&self, depth: Depth) -> PyResult<Assessment> {
        let case = self.case.get().resolved.case.clone();
        assess_shot(case, Vec::new(), self.shot.clone(), depth).map_err(failed)
    }
}

#[pymethods]
impl Shot {
    /// The case that was fired.
    #[getter]
    fn case(&self, py: Python) -> Py<Case> {
        self.case.clone_ref(py)
    }

    /// `cold`, `one-sided`, `sound` or `hot`; `None` for a discharge test.
    #[getter]
    fn verdict(&self) -> Option<&'static str> {
        self.shot.verdict.map(|verdict| verdict.name())
    }

    /// What decided the verdict, in a word.
    #[getter]
    fn cause(&self) -> &'static str {
        self.shot.cause.name()
    }

    /// Every figure by its name, SI, the unit in the name.
    #[getter]
    fn figures<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDict>> {
        let all = PyDict::new(py);
        for (name, read) in FIGURES {
            all.set_item(name, read(&self.shot.figures))?;
        }
        Ok(all)
    }

    fn __getattr__(&self, name: &str) -> PyResult<Option<f64>> {
        let read = find(name).ok_or_else(|| {
            let near = nearest(name, FIGURES.iter().map(|(name, _)| *name));
            let hint = near.map_or(String::new(), |near| format!("; did you mean `{near}`?"));
            PyAttributeError::new_err(format!("a shot has no figure or part `{name}`{hint}"))
        })?;
        Ok(read(&self.shot.figures))
    }

    fn __dir__<'py>(slf: &Bound<'py, Self>) -> PyResult<Bound<'py, PyAny>> {
        let own = slf.get_type().call_method0("mro")?.get_item(0)?;
        let names = own.getattr("__dict__")?.call_method0("keys")?;
        let all = slf
            .py()
            .import("builtins")?
            .call_method1("list", (names,))?;
        for (name, _) in FIGURES {
            all.call_method1("append", (name,))?;
        }
        Ok(all)
    }

    /// Events in order of time: name, time \[s\], joint.
    #[getter]
    fn events<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        tree(py, &self.shot.events)
    }

    /// Where every joule went \[J\], by name of the element.
    #[getter]
    fn ledger<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyDict>> {
        let all = PyDict::new(py);
        for (name, joules) in self.shot.ledger.entries() {
            all.set_item(name, joules)?;
        }
        Ok(all)
    }

    /// What became of each joint of the loop, in its order.
    #[getter]
    fn joints<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        tree(py, &joints(&self.rig, &self.shot))
    }

    /// Loads at which weld, stud and sheet break.
    #[getter]
    fn holds<'py>(&self, py: Python<'py>) -> PyResult<Bound<'py, PyAny>> {
        tree(py, &self.shot.holds)
    }

    /// Why the verdict is what it is, in sentences; without what takes further shots, which `report` has.
    #[getter]
    fn reasons(&self, py: Python) -> PyResult<Vec<String>> {
        let depth = Depth {
            band: false,
            remedies: false,
        };
        py.detach(|| Ok(Reasons::of(&self.assessed(depth)?).all()))
    }

    /// All that `arcplunge fire --json` writes. The band and, where the weld is not sound, the remedies take some hundred shots
    /// each.
    #[pyo3(signature = (*, band = true, remedies = true, threads = None))]
    fn report<'py>(
        &self,
        py: Python<'py>,
        band: bool,
        remedies: bool,
        threads: Option<Bound<'py, PyAny>>,
    ) -> PyResult<Bound<'py, PyDict>> {
        let asked = Asked {
            threads: threads.as_ref(),
            progress: None,
            total: 0,
        };
        let depth = Depth { band, remedies };
        let assessed = watched(py, &asked, |_| self.assessed(depth))??;
        document(py, arcplunge_report::json::json(&assessed))
    }

    /// To another process goes the case, which gives the same shot there.
    fn __reduce__<'py>(&self, py: Python<'py>) -> PyResult<(Bound<'py, PyAny>, (Py<Case>,))> {
        let fire = py.import("arcplunge")?.getattr("fire")?;
        Ok((fire, (self.case.clone_ref(py),)))
    }

    fn __repr__(&self) -> String {
        let figures = &self.shot.figures;
        let verdict = self.verdict().unwrap_or("discharge test");
        let arc = figures.arc_energy_J.map_or(String::new(), |energy| {
            format!(", {energy:.1} J in the arc")
        });
        let stored = figures.stored_energy_J;
        format!("<arcplunge.Shot: {verdict}, {stored:.0} J stored{arc}>")
    }
}
