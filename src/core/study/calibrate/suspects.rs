//! Welds that do not fit, and the mistake that would make each fit.

use super::Problem;
use super::likelihood::fit;
use super::sampler::Sampled;
use crate::case::Case;
use crate::case::faults::{Fault, apply, faults};
use crate::simulation::fire::Workspace;

/// Probability of not fitting from which on a weld is named.
pub const SUSPECT: f64 = 0.5;

/// Samples that a mistake is tried on.
const TRIED: usize = 24;

/// Voltages that may have been meant, over the one noted.
const VOLTAGES: [f64; 8] = [0.75, 0.8, 0.85, 0.9, 1.1, 1.15, 1.2, 1.25];

/// What may have gone wrong.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Mistake {
    /// The bank had another voltage than the one noted; which \[V\].
    Voltage(f64),
    /// A fault of the catalogue was there.
    Fault(&'static Fault),
}

/// A weld that does not fit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Suspect {
    /// Its number among the welds.
    pub weld: usize,
    /// Probability of not fitting.
    pub probability: f64,
    /// The mistake that explains it best, and how many times more probable it makes the weld; `None` where none does.
    pub mistake: Option<(Mistake, f64)>,
}

/// Times more probable that a mistake must make a weld to be named.
const NAMED: f64 = 3.0;

/// The welds that do not fit, by their probabilities of that.
pub fn suspects(problem: &Problem, sampled: &Sampled, outliers: &[f64]) -> Vec<Suspect> {
    let all = outliers.iter().enumerate();
    all.filter(|(_, probability)| **probability >= SUSPECT)
        .map(|(weld, probability)| Suspect {
            weld,
            probability: *probability,
            mistake: mistake(problem, sampled, weld),
        })
        .collect()
}

fn mistake(problem: &Problem, sampled: &Sampled, weld: usize) -> Option<(Mistake, f64)> {
    let noted = &problem.welds.cases[problem.welds.welds[weld].case];
    let own = likely(problem, sampled, weld, noted);
    let voltages = VOLTAGES.map(|over| Mistake::Voltage(over * noted.bank.voltage));
    let mistakes = faults().iter().map(Mistake::Fault).chain(voltages);
    let tried = mistakes.filter_map(|mistake| {
        let likely = likely(problem, sampled, weld, &made(noted, mistake)?);
        Some((mistake, likely / own.max(f64::MIN_POSITIVE)))
    });
    let best = tried.max_by(|a, b| a.1.total_cmp(&b.1));
    best.filter(|(_, times)| *times > NAMED)
}

/// The case with a mistake made; `None` where it cannot be.
fn made(noted: &Case, mistake: Mistake) -> Option<Case> {
    let mut case = noted.clone();
    case.bank.voltage_max = None;
    match mistake {
        Mistake::Voltage(voltage) => case.bank.voltage = voltage,
        Mistake::Fault(fault) => case = apply(&case, &[fault]).ok()?,
    }
    Some(case)
}

/// Mean probability of what was seen on a weld, had it been welded as `case`.
fn likely(problem: &Problem, sampled: &Sampled, weld: usize, case: &Case) -> f64 {
    let mut work = Workspace::default();
    let step = (sampled.particles.len() / TRIED).max(1);
    let some = sampled.particles.iter().step_by(step);
    let tried = some.len();
    let seen = &problem.welds.welds[weld].seen;
    let each = some.filter_map(|particle| {
        let case = problem.unknowns.case(case, &particle.scores)?;
        let predicted = problem.weld(&case, &mut work)?;
        let spreads = problem.of_spreads(&particle.scores);
        let spreads = problem.spreads.values(spreads);
        Some(fit(seen, &predicted, &spreads, problem.look).fitting.exp())
    });
    // What cannot be on a rig has not been seen on it.
    each.sum::<f64>() / tried.max(1) as f64
}
