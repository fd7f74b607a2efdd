//! The settings chart of a rig: voltage and spring force for each stud and pair of metals.

mod infeasible;

#[cfg(test)]
mod tests;

pub use infeasible::{Hard, Larger};

use std::sync::atomic::{AtomicBool, Ordering};

use rayon::prelude::*;

use super::dial::range::{self, limit_of_bank};
use super::dial::{Dial, Pair, Window};
use super::range::Vary;
use super::range::turned;
use super::sweep::Outcome;
use crate::case::Case;
use crate::case::catalogue::{self, OWN};
use crate::case::check::check;
use crate::case::faults::{Fault, apply};
use crate::case::keys::scale_of;
use crate::case::model::{Metal, Method};
use crate::case::pairs::USUAL;
use crate::simulation::shot::Figures;
use crate::simulation::verdict::Verdict;

/// The keys the chart turns, in the order of a [`Window`] pair.
pub const KEYS: [&str; 2] = ["bank.voltage", "tool.spring_force"];

/// One line of a chart before it is fired.
#[derive(Debug, Clone, PartialEq)]
pub struct Job {
    /// Size of the catalogue, or "own" for the stud of the case.
    pub size: String,
    /// Metal of the stud by name; one of the case keeps the figures it has there.
    pub stud_metal: String,
    /// Metal of the sheet, likewise.
    pub sheet_metal: String,
    /// Contact or gap.
    pub method: Method,
}

/// A line of the chart.
#[derive(Debug, Clone)]
pub struct Line {
    /// What was to be welded.
    pub job: Job,
    /// What the rig can do for it.
    pub answer: Answer,
}

/// What the rig can do for a stud.
#[derive(Debug, Clone)]
pub enum Answer {
    /// Sound, and where to set the rig for it.
    Sound(Box<Setting>),
    /// Sound nowhere within the ranges searched.
    Nowhere(Box<Hard>),
    /// The stud is not a valid case with this rig; why.
    NoCase(String),
}

/// Where to set the rig, and how far off it may be.
#[derive(Debug, Clone, PartialEq)]
pub struct Setting {
    /// Charging voltage \[V\].
    pub voltage: f64,
    /// Spring force \[N\].
    pub force: f64,
    /// Sound voltages at that force.
    pub voltages: Window,
    /// Sound forces at that voltage.
    pub forces: Window,
    /// Figures of the shot at that voltage and force.
    pub figures: Figures,
}

/// The chart of a rig.
#[derive(Debug, Clone)]
pub struct Chart {
    /// The case the rig is taken from, without the faults put on.
    pub base: Case,
    /// Voltages and forces searched; of each the range counts.
    pub ranges: [Vary; 2],
    /// In the order of the jobs.
    pub lines: Vec<Line>,
}

/// The jobs of a chart: every size on every pair by every method, grouped by method and pair.
pub fn jobs(sizes: &[String], pairs: &[(String, String)], methods: &[Method]) -> Vec<Job> {
    let mut out = Vec::new();
    for method in methods {
        for (stud_metal, sheet_metal) in pairs {
            out.extend(sizes.iter().map(|size| Job {
                size: size.clone(),
                stud_metal: stud_metal.clone(),
                sheet_metal: sheet_metal.clone(),
                method: *method,
            }));
        }
    }
    out
}

/// The usual sizes of a case: those of the catalogue, and its own where it has one.
pub fn sizes(base: &Case) -> Vec<String> {
    let own = (base.stud.size == OWN).then(|| OWN.to_string());
    let known = catalogue::stud_names().into_iter().map(String::from);
    known.chain(own).collect()
}

/// The usual pairs of metals, and the one of the case.
pub fn pairs(base: &Case) -> Vec<(String, String)> {
    let mut out: Vec<(String, String)> = USUAL.map(|(a, b)| (a.into(), b.into())).to_vec();
    let own = (base.stud.metal.name.clone(), base.sheet.metal.name.clone());
    if !out.contains(&own) {
        out.insert(0, own);
    }
    out
}

/// The metal of this name: as the case has it, or else of the catalogue.
pub fn metal(base: &Case, name: &str) -> Option<Metal> {
    let own = [&base.stud.metal, &base.sheet.metal];
    let own = own.into_iter().find(|m| m.name == name);
    own.or_else(|| catalogue::find_metal(name)).cloned()
}

/// The case of a job; `None` for an unknown name.
pub fn case(base: &Case, job: &Job) -> Option<Case> {
    let mut case = base.clone();
    if job.size != OWN {
        let size = catalogue::find_stud(&job.size)?;
        case.stud.size = size.name.clone();
        case.stud.flange = size.flange;
        case.stud.pip_diameter = size.pip_diameter;
        case.stud.pip_length = size.pip_length;
    }
    case.stud.metal = metal(base, &job.stud_metal)?;
    case.sheet.metal = metal(base, &job.sheet_metal)?;
    case.tool.method = job.method;
    Some(case)
}

/// A bank or spring is seldom set to twice what it is set to now; more is asked for by name.
const UP: f64 = 2.0;

/// Where a key of the chart is searched unless told: its scale as far as the bank may be charged, or around the
/// case's value; `None` where that is not above zero.
pub fn usual_range(base: &Case, path: &str) -> Option<Vary> {
    let (address, number) = turned(base, path).ok()?;
    let most = limit_of_bank(base, path).unwrap_or(f64::INFINITY);
    let on_scale = scale_of(base, path)
        .map(|scale| scale.values())
        .map(|[from, to]| [from, to.min(most)])
        .filter(|[from, to]| from < to);
    let ends = on_scale.or_else(|| range::around(base, &address, &number, UP))?;
    Some(Vary::over(address, number, ends))
}

/// Fires the whole chart on all cores, these faults put on every line; `go_on` is called after each line, and ends the work when it
/// says so. `None` when it was ended. The lines are the same for any number of threads.
pub fn chart(
    base: &Case,
    faults: &[&Fault],
    ranges: [Vary; 2],
    jobs: Vec<Job>,
    go_on: impl Fn() -> bool + Sync,
) -> Option<Chart> {
    let stop = AtomicBool::new(false);
    let lines: Vec<Option<Line>> = jobs
        .into_par_iter()
        .map(|job| {
            if stop.load(Ordering::Relaxed) {
                return None;
            }
            let answer = answer(base, faults, &ranges, &job);
            if !go_on() {
                stop.store(true, Ordering::Relaxed);
            }
            Some(Line { job, answer })
        })
        .collect();
    let lines = lines.into_iter().collect::<Option<Vec<Line>>>()?;
    (!stop.into_inner()).then(|| Chart {
        base: base.clone(),
        ranges,
        lines,
    })
}

fn answer(base: &Case, faults: &[&Fault], ranges: &[Vary; 2], job: &Job) -> Answer {
    let Some(case) = case(base, job) else {
        return Answer::NoCase("a name is not known".into());
    };
    let case = match apply(&case, faults) {
        Ok(case) => case,
        Err(why) => return Answer::NoCase(why.to_string()),
    };
    if let Some(broken) = check(&case).first() {
        return Answer::NoCase(broken.to_string());
    }
    let dial = Dial::new(case, ranges.to_vec());
    match dial.widest() {
        Ok(pair) => match setting(&dial, pair) {
            Some(setting) => Answer::Sound(Box::new(setting)),
            None => Answer::NoCase("the window is too narrow to set".into()),
        },
        Err(found) => Answer::Nowhere(Box::new(Hard::of(&dial, ranges, found))),
    }
}

/// What to set; where a window is too narrow to be rounded into, the pair stays as found.
fn setting(dial: &Dial, (at, windows): Pair) -> Option<Setting> {
    set(dial, at, windows).or_else(|| as_found(dial, at, windows))
}

/// Puts the pair found on whole volts and newtons, or tenths of a mark, where the weld stays sound, and measures both
/// windows there.
fn set(dial: &Dial, at: [f64; 2], windows: [Window; 2]) -> Option<Setting> {
    let force = handy(dial, 1, at[1], &windows[1]);
    let voltages = around(dial, 0, force, at[0])?;
    let voltage = handy(dial, 0, voltages.middle(), &voltages);
    let forces = around(dial, 1, voltage, force)?;
    as_found(dial, [voltage, force], [voltages, forces])
}

/// A pair with its windows, if the weld is sound there.
fn as_found(dial: &Dial, at: [f64; 2], windows: [Window; 2]) -> Option<Setting> {
    let ([voltage, force], [voltages, forces]) = (at, windows);
    let Outcome::Shot {
        figures, verdict, ..
    } = dial.fire(&at)
    else {
        return None;
    };
    (verdict == Some(Verdict::Sound)).then_some(Setting {
        voltage,
        force,
        voltages,
        forces,
        figures: *figures,
    })
}

/// The window of a key that holds `value`, the other key at `other`.
fn around(dial: &Dial, key: usize, other: f64, value: f64) -> Option<Window> {
    let found = dial.windows_near(key, other, value);
    let nearest = |w: &Window| (w.low - value).max(value - w.high).max(0.0);
    found
        .into_iter()
        .min_by(|a, b| nearest(a).total_cmp(&nearest(b)))
}

/// What one would set near `value`: a tenth of a mark where there is a scale, or a whole number; `value`
/// itself where neither stays inside the window.
fn handy(dial: &Dial, key: usize, value: f64, window: &Window) -> f64 {
    let scale = scale_of(dial.base(), KEYS[key]);
    let on_scale = scale.and_then(|s| {
        let steps = (s.mark(value)? / s.step()).round();
        // A division of whole numbers is as near to 0.3 as can be; 3 × 0.1 is not.
        s.value(steps / (1.0 / s.step()).round())
    });
    let inside = |v: &f64| (window.low..=window.high).contains(v);
    let whole = Some(value.round()).filter(|_| scale.is_none());
    on_scale.or(whole).filter(inside).unwrap_or(value)
}
