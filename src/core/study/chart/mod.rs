//! The settings chart of a rig: voltage and spring force for each stud and pair of metals.

mod infeasible;
mod one_spring;
mod tool;

#[cfg(test)]
mod tests;

pub use infeasible::{Hard, Larger};
pub use tool::tool;

use std::sync::atomic::{AtomicBool, Ordering};

use rayon::prelude::*;

use super::chance::Chance;
use super::dial::range::{self, rig_limits};
use super::dial::{Dial, Middle, Pair, Window};
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
use crate::case::tolerance::Tolerances;
use crate::simulation::shot::Figures;

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
    /// With one spring for all: the setting with a spring of its own.
    pub own: Option<Box<Setting>>,
}

/// What the rig can do for a stud.
#[derive(Debug, Clone)]
pub enum Answer {
    /// Sound, and where to set the rig for it.
    Sound(Box<Setting>),
    /// Sound nowhere within the ranges searched.
    Nowhere(Box<Hard>),
    /// Sound, but not with the one spring for all.
    OtherSpring,
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
    /// Voltage and force may be off by this share at once, either way.
    pub margin: f64,
    /// Whether that reaches an end of the range searched beyond which the weld is still sound.
    pub at_least: bool,
    /// How many welds are sound there, model, rig and stud drawn at once; `None` where it was not asked for.
    pub chance: Option<Chance>,
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
    /// The one spring force for all lines, where that was asked for \[N\].
    pub one_spring: Option<f64>,
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
    case.tool = tool(base, job.method);
    Some(case)
}

/// A bank or spring is seldom set to twice what it is set to now; more is asked for by name.
const UP: f64 = 2.0;

/// Where a key of the chart is searched unless told: its scale as far as the bank may be charged, or around the
/// case's value; `None` where that is not above zero.
pub fn usual_range(base: &Case, path: &str) -> Option<Vary> {
    let (address, number) = turned(base, path).ok()?;
    let [least, most] = rig_limits(base, path);
    let (least, most) = (least.unwrap_or(0.0), most.unwrap_or(f64::INFINITY));
    let on_scale = scale_of(base, path)
        .map(|scale| scale.values())
        .map(|[from, to]| [from.max(least), to.min(most)])
        .filter(|[from, to]| from < to);
    let ends = on_scale.or_else(|| range::around(base, &address, &number, UP))?;
    Some(Vary::over(address, number, ends))
}

/// What a chart is made of.
#[derive(Debug, Clone)]
pub struct Plan<'a> {
    /// The rig.
    pub base: &'a Case,
    /// Faults put on every line.
    pub faults: &'a [&'a Fault],
    /// Voltages and forces to search.
    pub ranges: [Vary; 2],
    /// Lines, in order.
    pub jobs: Vec<Job>,
    /// One spring force for all of them.
    pub one_spring: bool,
    /// How rig and studs scatter.
    pub tolerances: &'a Tolerances,
}

/// Fires the whole chart on all cores; `go_on` is called after each line, and ends the work when it
/// says so. `None` when it was ended. The lines are the same for any number of threads.
pub fn chart(plan: Plan, go_on: impl Fn() -> bool + Sync) -> Option<Chart> {
    let stop = AtomicBool::new(false);
    let searched: Vec<Option<Searched>> = plan
        .jobs
        .par_iter()
        .map(|job| {
            if stop.load(Ordering::Relaxed) {
                return None;
            }
            let searched = search(&plan, job);
            if !go_on() {
                stop.store(true, Ordering::Relaxed);
            }
            Some(searched)
        })
        .collect();
    let searched = searched.into_iter().collect::<Option<Vec<_>>>()?;
    if stop.into_inner() {
        return None;
    }
    let one_spring = plan
        .one_spring
        .then(|| one_spring::best(&searched, &plan.ranges[1]))
        .flatten();
    let lines = plan.jobs.into_par_iter().zip(searched);
    let lines = lines.map(|(job, searched)| searched.line(job, one_spring));
    Some(Chart {
        base: plan.base.clone(),
        one_spring,
        lines: lines.collect(),
        ranges: plan.ranges,
    })
}

/// What was found for a stud, before a setting is made of it.
enum Searched {
    /// Where it is sound.
    Sound(Box<Dial>, Box<Middle>),
    /// Nowhere.
    Not(Answer),
}

fn search(plan: &Plan, job: &Job) -> Searched {
    let no = |why: String| Searched::Not(Answer::NoCase(why));
    let Some(case) = case(plan.base, job) else {
        return no("a name is not known".into());
    };
    let case = match apply(&case, plan.faults) {
        Ok(case) => case,
        Err(why) => return no(why.to_string()),
    };
    if let Some(broken) = check(&case).first() {
        return no(broken.to_string());
    }
    searched(case, &plan.ranges, plan.tolerances)
}

fn searched(case: Case, ranges: &[Vary; 2], tolerances: &Tolerances) -> Searched {
    let dial = Dial::new(case, ranges.to_vec()).scattered(tolerances.clone());
    match dial.whole() {
        Ok(middle) => Searched::Sound(Box::new(dial), Box::new(middle)),
        Err(found) => {
            let hard = Hard::of(&dial, ranges, found);
            Searched::Not(Answer::Nowhere(Box::new(hard)))
        }
    }
}

/// What the rig of a checked case can do for its own stud, voltages and forces searched over these ranges.
pub fn answer(case: Case, ranges: &[Vary; 2], tolerances: &Tolerances) -> Answer {
    searched(case, ranges, tolerances).own()
}

impl Searched {
    /// The line of a job, with a spring of its own or the one for all \[N\].
    fn line(self, job: Job, one_spring: Option<f64>) -> Line {
        let with = match (&self, one_spring) {
            (Searched::Sound(dial, middle), Some(force)) => {
                let with = one_spring::setting(dial, middle, force);
                Some(with.map(|setting| with_chance(dial, setting)))
            }
            _ => None,
        };
        let (answer, own) = match (self.own(), with) {
            (Answer::Sound(own), Some(with)) => {
                (with.map_or(Answer::OtherSpring, Answer::Sound), Some(own))
            }
            (answer, _) => (answer, None),
        };
        Line { job, answer, own }
    }

    /// The setting with a spring of its own.
    fn own(self) -> Answer {
        match self {
            Searched::Not(answer) => answer,
            Searched::Sound(dial, middle) => match setting(&dial, &middle.pair) {
                Some(setting) => Answer::Sound(with_chance(&dial, setting)),
                None => Answer::NoCase("the window is too narrow to set".into()),
            },
        }
    }
}

fn with_chance(dial: &Dial, mut setting: Setting) -> Box<Setting> {
    setting.chance = dial.chance(&[setting.voltage, setting.force]);
    Box::new(setting)
}

/// What to set: the pair on whole volts and newtons, or tenths of a mark, where the weld stays sound, else as found.
fn setting(dial: &Dial, pair: &Pair) -> Option<Setting> {
    let near = [0, 1].map(|key| {
        let w = &pair.windows[key];
        handy(dial, key, pair.at[key], [w.low, w.high])
    });
    set(dial, pair, near).or_else(|| set(dial, pair, pair.at))
}

/// The setting at these values near a pair, if the weld is sound there.
fn set(dial: &Dial, pair: &Pair, at: [f64; 2]) -> Option<Setting> {
    let [voltages, forces] = dial.windows_at(at)?;
    let Outcome::Shot { figures, .. } = dial.fire(&at) else {
        return None;
    };
    let rounded = |key: usize| (at[key] - pair.at[key]).abs() / dial.measure(key, at[key]);
    Some(Setting {
        voltage: at[0],
        force: at[1],
        voltages,
        forces,
        margin: (pair.margin - rounded(0).max(rounded(1))).max(0.0),
        at_least: pair.at_least(dial),
        chance: None,
        figures: *figures,
    })
}

/// What one would set near `value`: a tenth of a mark where there is a scale, or a whole number; `value`
/// itself where neither stays inside the window.
fn handy(dial: &Dial, key: usize, value: f64, [low, high]: [f64; 2]) -> f64 {
    let scale = scale_of(dial.base(), KEYS[key]);
    let on_scale = scale.and_then(|s| {
        let steps = (s.mark(value)? / s.step()).round();
        // A division of whole numbers is as near to 0.3 as can be; 3 × 0.1 is not.
        s.value(steps / (1.0 / s.step()).round())
    });
    let inside = |v: &f64| (low..=high).contains(v);
    let whole = Some(value.round()).filter(|_| scale.is_none());
    on_scale.or(whole).filter(inside).unwrap_or(value)
}
