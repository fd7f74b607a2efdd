//! Studies whose result is a tree: that of the command line's JSON.

use std::collections::BTreeMap;
use std::ops::RangeInclusive;

use arcplunge_core::case::catalogue::metal_names;
use arcplunge_core::case::keys::nearest;
use arcplunge_core::simulation::fire::Settings;
use arcplunge_core::simulation::named::FIGURES;
use arcplunge_core::study::calibrate::Problem;
use arcplunge_core::study::calibrate::found::{Asked as Question, calibrate as calibrated};
use arcplunge_core::study::calibrate::sampler::{Effort, ISLANDS, NoSample};
use arcplunge_core::study::calibrate::weld::Welds;
use arcplunge_core::study::chart::{self, KEYS, Plan};
use arcplunge_core::study::dial::asked::{asked as searched, usual_step};
use arcplunge_core::study::fit::trace::Trace;
use arcplunge_core::study::points::{MOST_SOBOL, Points, Sampling};
use arcplunge_core::study::scatter::Scatter;
use arcplunge_core::study::scatter::dependence::Dependence;
use arcplunge_core::study::scatter::draw::draws as drawn;
use arcplunge_core::study::sensitivity::{Collected, SOUND};
use arcplunge_report::provenance::sha256;
use pyo3::exceptions::PyRuntimeError;
use pyo3::prelude::*;
use pyo3::types::PyDict;

use crate::case::Case;
use crate::error::{count, refused, room, wrong};
use crate::fit::{Arrays, trace};
use crate::json::document;
use crate::watch::{Asked, Watch, watched};

/// Most shots of a study, and samples of one that asks what matters.
pub const MOST_SHOTS: u64 = 1_000_000_000;
const SAMPLES: RangeInclusive<u64> = 16..=10_000_000;

/// Which values are drawn, and where.
#[derive(FromPyObject)]
#[pyo3(from_item_all)]
pub struct Draws<'py> {
    /// How many shots or samples; its bounds are those of the call.
    pub shots: Bound<'py, PyAny>,
    seed: Bound<'py, PyAny>,
    /// `sobol` or `random`.
    sampling: String,
    /// Whether the model's own uncertain figures are drawn too.
    model: bool,
}

/// A case with its spreads, to be fired that often.
pub fn scattered(py: Python, case: &Case, asked: &Draws, shots: usize) -> PyResult<Scatter> {
    let seed = count(&asked.seed, "seed", 0..=u64::MAX)?;
    let resolved = &case.resolved;
    let draws = drawn(&resolved.case, &resolved.tolerances, asked.model);
    let draws = draws.map_err(|e| wrong(py, e, None))?;
    if draws.is_empty() {
        let why = "nothing scatters: the section [tolerance] removes all spreads";
        return Err(wrong(py, why, None));
    }
    let ways = [Sampling::Sobol, Sampling::Random];
    let sampling = ways.into_iter().find(|way| way.name() == asked.sampling);
    let sampling = sampling.ok_or_else(|| {
        let near = nearest(&asked.sampling, ways.map(Sampling::name)).map(String::from);
        let given = Some(asked.sampling.clone());
        refused(py, "sampling", given, "`sobol` or `random`", near)
    })?;
    let dependence = Dependence::of(&draws, &resolved.tolerances);
    Ok(Scatter {
        dependence: dependence.map_err(|e| wrong(py, e, None))?,
        base: resolved.case.clone(),
        draws,
        points: Points { sampling, seed },
        shots,
        settings: Settings::default(),
    })
}

/// Sobol indices of figures, or of `sound`.
#[pyfunction]
#[pyo3(signature = (case, figures, draws, threads, progress))]
pub fn sensitivity<'py>(
    py: Python<'py>,
    case: &Case,
    figures: Vec<String>,
    draws: Draws<'py>,
    threads: Option<Bound<'py, PyAny>>,
    progress: Option<Bound<'py, PyAny>>,
) -> PyResult<Bound<'py, PyDict>> {
    let known = || FIGURES.iter().map(|(name, _)| *name).chain([SOUND]);
    let mut names: Vec<&'static str> = Vec::new();
    for name in &figures {
        let near = || nearest(name, known()).map(String::from);
        let own = known().find(|own| own == name);
        let why = || format!("`{name}` is no figure");
        let none = || refused(py, "figures", Some(name.clone()), why(), near());
        names.push(own.ok_or_else(none)?);
    }
    let samples = count(&draws.shots, "samples", SAMPLES)? as usize;
    // Indices are those of keys that scatter by themselves.
    let study = Scatter {
        dependence: None,
        ..scattered(py, case, &draws, samples)?
    };
    // Lists grow to twice what they hold at most.
    let values = names.len() * (study.draws.len() + 2);
    room(
        16 * samples as u128 * values as u128,
        format!("{samples} samples"),
    )?;
    // A sample takes two points.
    if study.points.sampling == Sampling::Sobol && study.draws.len() > MOST_SOBOL / 2 {
        let most = MOST_SOBOL / 2;
        let why = format!("sampling `sobol` takes at most {most} keys; `random` has no limit");
        return Err(wrong(py, why, None));
    }
    let asked = Asked {
        threads: threads.as_ref(),
        progress: progress.as_ref(),
        total: study.shots,
    };
    let found = watched(py, &asked, |watch| {
        let mut collected = Collected::new(&names, study.draws.len(), study.shots);
        for sample in study.samples(&names) {
            collected.take(&sample);
            if !watch.step() {
                break;
            }
        }
        collected.found()
    })?;
    document(
        py,
        arcplunge_report::sensitivity::json::json(&study, &found),
    )
}

/// What a calibration is asked for.
#[derive(FromPyObject)]
#[pyo3(from_item_all)]
pub struct Calibration<'py> {
    next: Bound<'py, PyAny>,
    vary: Vec<String>,
    step: Option<f64>,
    particles: Bound<'py, PyAny>,
    seed: Bound<'py, PyAny>,
}

/// Learns a rig from the table of its test welds, with the traces it names; also the calibrated case, where there is one.
#[pyfunction]
#[pyo3(signature = (case, welds, traces, asked, threads, progress))]
pub fn calibrate<'py>(
    py: Python<'py>,
    case: &Case,
    welds: &[u8],
    traces: BTreeMap<String, Arrays<'py>>,
    asked: Calibration<'py>,
    threads: Option<Bound<'py, PyAny>>,
    progress: Option<Bound<'py, PyAny>>,
) -> PyResult<(Bound<'py, PyDict>, Option<Case>)> {
    let resolved = &case.resolved;
    let base = resolved.case.clone();
    if base.stud.short_resistance.is_some() {
        let why = "a discharge test (stud.short_resistance) has no weld to learn from";
        return Err(wrong(py, why, None));
    }
    let traces = traces.into_iter().map(|(name, arrays)| {
        let read = trace(py, &arrays, &format!("trace `{name}`"))?.0;
        Ok((name, read))
    });
    let traces: BTreeMap<String, Trace> = traces.collect::<PyResult<_>>()?;
    let named = |name: &str| {
        let found = traces.get(name).cloned();
        found.ok_or_else(|| format!("`{name}` is none of the traces given"))
    };
    let read = Welds::read(welds, base.clone(), |words| case.with(words), named);
    let read = read.map_err(|e| refused(py, "welds", None, e.to_string(), e.nearest))?;
    let question = question(py, case, &asked)?;
    let problem = Problem::new(base, &resolved.tolerances, read);
    let problem = problem.map_err(|e| wrong(py, e, None))?;
    let told = Asked {
        threads: threads.as_ref(),
        progress: progress.as_ref(),
        total: 100,
    };
    let found = watched(py, &told, |watch| {
        calibrated(problem, question, |stage| watch.reach(stage.percent()))
    })?;
    let found = found.map_err(|why| match why {
        NoSample::Stopped => PyRuntimeError::new_err(why.to_string()),
        NoSample::Impossible => wrong(py, why.to_string(), None),
    })?;
    let mended = found.case().ok();
    let text = arcplunge_report::calibrate::json(&found, mended.as_ref(), &sha256(welds));
    let mended = mended.map(|case| Case::of(py, &case, &resolved.tolerances));
    Ok((document(py, text)?, mended.transpose()?))
}

fn question(py: Python, case: &Case, asked: &Calibration) -> PyResult<Question> {
    let base = &case.resolved.case;
    let vary = asked.vary.iter().map(|text| searched(base, text));
    let vary: Vec<_> = vary
        .collect::<Result<_, _>>()
        .map_err(|e| wrong(py, e.to_string(), e.nearest()))?;
    let twice = matches!(vary.as_slice(), [a, b] if a.address == b.address);
    if !(1..=2).contains(&vary.len()) || twice {
        let given = Some(asked.vary.join(", "));
        return Err(refused(py, "vary", given, "one key or two", None));
    }
    let particles = count(&asked.particles, "particles", 64..=100_000)? as usize;
    if !particles.is_multiple_of(ISLANDS) {
        let why = format!("{particles} is no multiple of {ISLANDS}");
        let given = Some(particles.to_string());
        return Err(refused(py, "particles", given, why, None));
    }
    let step = asked.step.unwrap_or_else(|| usual_step(base, &vary[0]));
    if !(step > 0.0 && step.is_finite()) {
        let why = format!("{step} is not above zero");
        return Err(refused(py, "step", Some(step.to_string()), why, None));
    }
    Ok(Question {
        step,
        vary,
        next: count(&asked.next, "next", 0..=5)? as usize,
        effort: Effort {
            particles: particles / ISLANDS,
            seed: count(&asked.seed, "seed", 0..=u64::MAX)?,
        },
        kept: None,
    })
}

/// The settings of a rig for studs of these sizes and pairs of metals, or for all the usual ones.
#[pyfunction]
#[pyo3(signature = (case, studs, pairs, one_spring, threads, progress))]
pub fn settings_chart<'py>(
    py: Python<'py>,
    case: &Case,
    studs: Option<Vec<String>>,
    pairs: Option<Vec<(String, String)>>,
    one_spring: bool,
    threads: Option<Bound<'py, PyAny>>,
    progress: Option<Bound<'py, PyAny>>,
) -> PyResult<Bound<'py, PyDict>> {
    let base = &case.resolved.case;
    if base.stud.short_resistance.is_some() {
        let why = "a discharge test (stud.short_resistance) has no weld to chart";
        return Err(wrong(py, why, None));
    }
    let known = chart::sizes(base);
    let studs = studs.unwrap_or_else(|| known.clone());
    if let Some(size) = studs.iter().find(|size| !known.contains(size)) {
        let near = nearest(size, known.iter().map(String::as_str)).map(String::from);
        let why = format!("`{size}` is no stud size");
        return Err(refused(py, "studs", Some(size.clone()), why, near));
    }
    let pairs = pairs.unwrap_or_else(|| chart::pairs(base));
    let mut metals = pairs.iter().flat_map(|(stud, sheet)| [stud, sheet]);
    if let Some(name) = metals.find(|name| chart::metal(base, name).is_none()) {
        let why = format!("`{name}` is no metal");
        let near = nearest(name, metal_names()).map(String::from);
        return Err(refused(py, "pairs", Some(name.clone()), why, near));
    }
    let range = |path: &str| {
        let found = chart::usual_range(base, path);
        found.ok_or_else(|| wrong(py, format!("{path} is not above zero"), None))
    };
    let plan = Plan {
        base,
        faults: &[],
        ranges: [range(KEYS[0])?, range(KEYS[1])?],
        jobs: chart::jobs(&studs, &pairs, &[base.tool.method]),
        one_spring,
        tolerances: &case.resolved.tolerances,
    };
    let asked = Asked {
        threads: threads.as_ref(),
        progress: progress.as_ref(),
        total: plan.jobs.len(),
    };
    let made = watched(py, &asked, |watch: &Watch| {
        chart::chart(plan, || watch.step())
    })?;
    let made = made.ok_or_else(|| PyRuntimeError::new_err("the chart was stopped"))?;
    document(py, arcplunge_report::chart::json::json(&made))
}
