//! The share of welds that are not sound where it is too small to be counted, and what such a weld would be.

use std::iter::zip;

use super::batch::in_order;
use super::intervals::{RareShare, mean_of};
use super::scatter::Scatter;
use super::subset::{Run, Sample, run};
use crate::simulation::fire::{Workspace, fire};
use crate::simulation::nearest::distances;
use crate::simulation::rig::Rig;
use crate::simulation::shot::Shot;
use crate::simulation::verdict::{Cause, Verdict};

/// Independent runs, whose spread gives the interval.
pub const RUNS: usize = 16;

/// Least share that can be told.
const LEAST: f64 = 1e-12;

/// What was found.
#[derive(Debug, Clone, PartialEq)]
pub struct Rare {
    /// Share that is not sound; `None` where it is below what can be told, 10⁻¹².
    pub share: Option<RareShare>,
    /// Shots fired.
    pub shots: usize,
    /// Shares of the causes among the welds that are not sound, the most frequent first.
    pub causes: Vec<(Cause, f64)>,
    /// The most likely weld that is not sound, of those fired.
    pub nearest: Option<Nearest>,
}

/// A weld that is not sound.
#[derive(Debug, Clone, PartialEq)]
pub struct Nearest {
    /// What decided its verdict.
    pub cause: Cause,
    /// Value of each drawn key \[SI\] and its normal score: standard deviations off the middle, of a normal spread.
    pub values: Vec<(f64, f64)>,
}

/// Looks for the share of a scattered weld that is not sound; `scatter.shots` are the shots of a level of all runs. `each` is
/// told of each run that is done, and may stop the search.
///
/// `None` when it was stopped.
pub fn rare(scatter: &Scatter, mut each: impl FnMut() -> bool) -> Option<Rare> {
    let search = |work: &mut Workspace, number: u64| {
        let limit = |scores: &[f64]| judged(scatter, scores, work);
        let (samples, seed) = (scatter.shots / RUNS, scatter.points.seed);
        run(scatter.dimensions(), samples, (seed, number), limit)
    };
    let mut runs: Vec<Run<Cause>> = Vec::new();
    for run in in_order(0..RUNS as u64, search) {
        runs.push(run);
        if !each() {
            return None;
        }
    }
    let shares: Vec<f64> = runs.iter().map(|run| run.probability).collect();
    Some(Rare {
        share: mean_of(&shares).filter(|found| found.share >= LEAST),
        shots: runs.iter().map(|run| run.evaluations).sum(),
        causes: causes(&runs),
        nearest: nearest(scatter, &runs),
    })
}

/// Margin and cause of the weld at these scores.
fn judged(scatter: &Scatter, scores: &[f64], work: &mut Workspace) -> (f64, Cause) {
    // What is no case is no weld that anyone makes: it counts as sound and far off.
    let Ok(case) = scatter.case(&scatter.values_at(scores)) else {
        return (f64::INFINITY, Cause::Filled);
    };
    let rig = Rig::new(&case);
    match fire(&rig, &scatter.settings, work) {
        Ok(shot) => (margin(&rig, &shot), shot.cause),
        Err(_) => (f64::INFINITY, Cause::Filled),
    }
}

/// How far a weld is from not being sound: above zero for a sound one, at most zero for any other.
pub fn margin(rig: &Rig, shot: &Shot) -> f64 {
    let margins = distances(rig, &shot.figures).map(|near| near.margin);
    let least = margins.fold(f64::INFINITY, f64::min);
    match shot.verdict {
        Some(Verdict::Sound) => least.max(f64::MIN_POSITIVE),
        _ => least.min(0.0),
    }
}

fn causes(runs: &[Run<Cause>]) -> Vec<(Cause, f64)> {
    let all: f64 = runs.iter().map(|run| run.probability).sum();
    let mut causes: Vec<(Cause, f64)> = Vec::new();
    for run in runs {
        let weight = run.probability / all / run.failures.len().max(1) as f64;
        for failure in &run.failures {
            match causes.iter_mut().find(|(cause, _)| *cause == failure.tag) {
                Some((_, share)) => *share += weight,
                None => causes.push((failure.tag, weight)),
            }
        }
    }
    causes.sort_by(|a, b| b.1.total_cmp(&a.1));
    causes
}

fn nearest(scatter: &Scatter, runs: &[Run<Cause>]) -> Option<Nearest> {
    let far = |sample: &&Sample<Cause>| sample.scores.iter().map(|z| z * z).sum::<f64>();
    let failures = runs.iter().flat_map(|run| &run.failures);
    let found = failures.min_by(|a, b| far(a).total_cmp(&far(b)))?;
    let values = scatter.values_at(&found.scores);
    let scores = scatter.mixed(&found.scores);
    Some(Nearest {
        cause: found.tag,
        values: zip(values, scores).collect(),
    })
}
