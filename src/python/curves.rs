//! The curves of one shot as columns.

use arcplunge_core::simulation::fire::{Settings, Workspace, fire};
use arcplunge_core::simulation::rig::Rig;
use arcplunge_core::simulation::trace::{rows, usual_interval};
use arcplunge_report::table::{columns, is_last};
use numpy::PyArray1;
use pyo3::prelude::*;
use pyo3::types::{PyDict, PyList};

use crate::case::Case;
use crate::error::refused;
use crate::shot::failed;

/// Most rows of a trace.
const MOST_ROWS: f64 = 1e6;

/// The columns of the curves, a row each `interval` \[s\] and one right after each event, or one on both sides of it.
#[pyfunction]
#[pyo3(signature = (case, interval, both_sides))]
pub fn curves<'py>(
    py: Python<'py>,
    case: &Case,
    interval: Option<f64>,
    both_sides: bool,
) -> PyResult<Bound<'py, PyDict>> {
    let rig = Rig::new(&case.resolved.case);
    let (settings, mut work) = (Settings::default(), Workspace::default());
    let shot = py.detach(|| fire(&rig, &settings, &mut work));
    let shot = shot.map_err(failed)?;
    let every = interval.unwrap_or_else(|| usual_interval(shot.length()));
    let told = |why: &str| refused(py, "t", Some(every.to_string()), why, None);
    if !(1e-9..=1.0).contains(&every) {
        return Err(told("an interval is from 1 ns to 1 s"));
    }
    if shot.length() / every > MOST_ROWS {
        return Err(told("the interval gives more than a million rows"));
    }
    let all = py.detach(|| rows(&rig, &settings, &shot, every, &mut work));
    let all = all.map_err(failed)?;
    let pairs = all.iter().enumerate().map(|(n, row)| (row, all.get(n + 1)));
    let kept: Vec<_> = pairs
        .filter(|(row, next)| both_sides || is_last(row, *next))
        .map(|(row, _)| row)
        .collect();
    let out = PyDict::new(py);
    let column = |values: Vec<f64>| PyArray1::from_vec(py, values);
    out.set_item("time_s", column(kept.iter().map(|r| r.time_s).collect()))?;
    let phases = kept.iter().map(|row| row.phase.name());
    out.set_item("phase", PyList::new(py, phases.collect::<Vec<_>>())?)?;
    for one in columns(rig.circuit.earths) {
        let values = kept.iter().map(|row| one.of(row)).collect();
        out.set_item(&one.name, column(values))?;
    }
    Ok(out)
}
