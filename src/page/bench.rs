//! The case a page was opened with, and welds made of it.

use super::wish::Weld;
use crate::case::Case;
use crate::case::faults::{self, Fault, apply};
use crate::case::read::{Resolved, Text};
use crate::cycle::fire::{Settings, Workspace, fire};
use crate::cycle::march::MarchError;
use crate::cycle::rig::Rig;
use crate::cycle::shot::Shot;
use crate::cycle::trace::{Trace, rows};
use crate::study::contrast::Fired;
use crate::study::earths::{Blow, blow_of};

/// Rows of a weld's curves; a screen shows no more.
const ROWS: f64 = 600.0;

/// The case and overrides the page was opened with.
#[derive(Debug, Clone, Default)]
pub struct Bench {
    text: Text,
    sets: Vec<String>,
}

/// A weld that has been fired.
#[derive(Debug)]
pub struct Done {
    pub resolved: Resolved,
    pub faults: Vec<&'static Fault>,
    pub rig: Rig,
    pub trace: Trace,
    pub blow: Blow,
}

impl Bench {
    /// A page's bench from the text of a case and the overrides of the command line.
    pub fn new(text: Text, sets: Vec<String>) -> Bench {
        Bench { text, sets }
    }

    /// The case of a weld.
    ///
    /// # Errors
    /// In words, as on the command line, when an override or a fault does not fit.
    pub fn case(&self, weld: &Weld) -> Result<(Resolved, Vec<&'static Fault>), String> {
        let own = Bench::default();
        let bench = if weld.demonstration { &own } else { self };
        let sets: Vec<String> = bench.sets.iter().chain(&weld.sets).cloned().collect();
        let mut resolved = bench.text.read(&sets).map_err(|d| d.render(false))?;
        let found = weld.faults.iter().map(|name| faults::find(name));
        let found: Vec<&Fault> = found
            .collect::<Result<_, _>>()
            .map_err(|e| format!("error: {e}"))?;
        resolved.case = apply(&resolved.case, &found).map_err(|e| format!("error: {e}"))?;
        Ok((resolved, found))
    }

    /// Fires a weld with its curves and its arc blow.
    ///
    /// # Errors
    /// When its case does not fit, or the integration gives up.
    pub fn fire(&self, weld: &Weld) -> Result<Done, String> {
        let (resolved, faults) = self.case(weld)?;
        let rig = Rig::new(&resolved.case);
        let (settings, mut work) = (Settings::default(), Workspace::default());
        let trace = traced(&rig, |length| length / ROWS, &mut work)?;
        let shot = trace.shot.clone();
        let blow = blow_of(&resolved.case, &rig, shot, &settings, &mut work).map_err(words)?;
        Ok(Done {
            resolved,
            faults,
            rig,
            trace,
            blow,
        })
    }

    /// Fires a weld for its figures alone.
    ///
    /// # Errors
    /// As [`Bench::fire`].
    pub fn shot(&self, weld: &Weld) -> Result<Fired, String> {
        let (resolved, faults) = self.case(weld)?;
        let rig = Rig::new(&resolved.case);
        let shot = fire(&rig, &Settings::default(), &mut Workspace::default()).map_err(words)?;
        Ok(unnamed(resolved.case, faults, rig, shot))
    }
}

/// The curves of a rig's weld; `every` gives the time between rows for the length of the record \[s\].
///
/// # Errors
/// In words, when the integration gives up.
pub fn curves(rig: &Rig, every: impl Fn(f64) -> f64) -> Result<Trace, String> {
    traced(rig, every, &mut Workspace::default())
}

fn traced(rig: &Rig, every: impl Fn(f64) -> f64, work: &mut Workspace) -> Result<Trace, String> {
    let settings = Settings::default();
    let shot = fire(rig, &settings, work).map_err(words)?;
    let rows = rows(rig, &settings, &shot, every(shot.length()), work).map_err(words)?;
    Ok(Trace { shot, rows })
}

fn words(e: MarchError) -> String {
    format!("error: {e}")
}

/// A weld as a contrast takes it, with nothing that differs.
fn unnamed(case: Case, faults: Vec<&'static Fault>, rig: Rig, shot: Shot) -> Fired {
    Fired {
        name: String::new(),
        faults,
        rig,
        shot,
        changes: Vec::new(),
        case,
    }
}

impl Done {
    /// The weld as a contrast takes it.
    pub fn fired(&self) -> Fired {
        let (case, shot) = (self.resolved.case.clone(), self.trace.shot.clone());
        unnamed(case, self.faults.clone(), self.rig.clone(), shot)
    }
}
