//! The share of welds that are not sound where it is too small to be counted, and what such a weld would be.

use std::iter::zip;

use super::batch::in_order;
use super::intervals::{RareShare, mean_of};
use super::nearest::{length, shortest};
use super::scatter::Scatter;
use super::scatter::draw::Draw;
use super::subset::{Run, Sample, run};
use crate::case::keys::Value;
use crate::simulation::fire::{Workspace, fire};
use crate::simulation::nearest::distances;
use crate::simulation::rig::Rig;
use crate::simulation::shot::Shot;
use crate::simulation::verdict::{Cause, Verdict};

/// Independent runs, whose spread gives the interval.
pub const RUNS: usize = 16;

/// Least share that can be told.
const LEAST: f64 = 1e-12;

/// Digits to which the most likely weld is told, and with which it is not sound.
pub const DIGITS: usize = 4;

/// Scores below which a key may as well be in its middle.
const SLIGHT: f64 = 0.05;

/// By how much it is moved outwards at a time where that or rounding made it sound, and how often at most.
const OUTWARDS: f64 = 1.0005;
const MOST_MOVES: i32 = 200;

/// What was found.
#[derive(Debug, Clone, PartialEq)]
pub struct Rare {
    /// Share that is not sound; `None` where it is below what can be told, 10⁻¹².
    pub share: Option<RareShare>,
    /// Shots fired.
    pub shots: usize,
    /// Shares of the causes among the welds that are not sound, the most frequent first.
    pub causes: Vec<(Cause, f64)>,
    /// The most likely weld that is not sound, as far as one is found.
    pub nearest: Option<Nearest>,
}

/// A weld that is not sound.
#[derive(Debug, Clone, PartialEq)]
pub struct Nearest {
    /// What decided its verdict.
    pub cause: Cause,
    /// How far off the middle all scores together are.
    pub distance: f64,
    /// Value of each drawn key \[SI\], rounded to [`DIGITS`] in its unit, and its normal score: standard deviations off the
    /// middle, of a normal spread.
    pub values: Vec<(f64, f64)>,
}

/// Looks for the share of a scattered weld that is not sound; `scatter.shots` are the shots of a level of all runs. `each` is
/// told of each run that is done, and may stop the search.
///
/// `None` when it was stopped.
pub fn rare(scatter: &Scatter, mut each: impl FnMut() -> bool) -> Option<Rare> {
    let search = |work: &mut Workspace, number: u64| {
        let limit = |scores: &[f64]| judged(scatter, &scatter.values_at(scores), work);
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
    let (nearest, more) = nearest(scatter, &runs);
    let shares: Vec<f64> = runs.iter().map(|run| run.probability).collect();
    Some(Rare {
        share: mean_of(&shares).filter(|found| found.share >= LEAST),
        shots: runs.iter().map(|run| run.evaluations).sum::<usize>() + more,
        causes: causes(&runs),
        nearest,
    })
}

/// Margin and cause of the weld with these values \[SI\].
fn judged(scatter: &Scatter, values: &[f64], work: &mut Workspace) -> (f64, Cause) {
    // What is no case is no weld that anyone makes: it counts as sound and far off.
    let Ok(case) = scatter.case(values) else {
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

/// The most likely weld that is not sound, and the shots it took: the nearest failure of each run is shortened, and the
/// shortest of these is kept.
fn nearest(scatter: &Scatter, runs: &[Run<Cause>]) -> (Option<Nearest>, usize) {
    let far =
        |a: &&Sample<Cause>, b: &&Sample<Cause>| length(&a.scores).total_cmp(&length(&b.scores));
    let starts = runs
        .iter()
        .filter_map(|run| run.failures.iter().min_by(far));
    let shorten = |work: &mut Workspace, start: &Sample<Cause>| {
        let mut shots = 0;
        let scores = shortest(&start.scores, |scores| {
            shots += 1;
            judged(scatter, &scatter.values_at(scores), work).0
        });
        (scores, shots)
    };
    let found: Vec<(Vec<f64>, usize)> = in_order(starts, shorten).collect();
    let shots = found.iter().map(|(_, shots)| shots).sum();
    let scores = found.into_iter().map(|(scores, _)| scores);
    let least = scores.min_by(|a, b| length(a).total_cmp(&length(b)));
    (least.map(|scores| told(scatter, scores)), shots)
}

/// The weld at these scores with its values as they are told, moved outwards until it is not sound with these either.
fn told(scatter: &Scatter, exact: Vec<f64>) -> Nearest {
    let mut work = Workspace::default();
    let moved = |times: i32| -> Vec<f64> {
        let scale = OUTWARDS.powi(times);
        let slight = |score: &f64| {
            if score.abs() < SLIGHT {
                0.0
            } else {
                score * scale
            }
        };
        exact.iter().map(slight).collect()
    };
    let as_told = |scores: &[f64]| -> Vec<f64> {
        let values = zip(&scatter.draws, scatter.values_at(scores));
        values.map(|(draw, value)| rounded(draw, value)).collect()
    };
    let mut weld = |values: Vec<f64>, scores: &[f64]| {
        let (margin, cause) = judged(scatter, &values, &mut work);
        let weld = Nearest {
            cause,
            distance: length(scores),
            values: zip(values, scatter.mixed(scores)).collect(),
        };
        (margin <= 0.0, weld)
    };
    let found = (0..MOST_MOVES).find_map(|times| {
        let scores = moved(times);
        let (fails, weld) = weld(as_told(&scores), &scores);
        fails.then_some(weld)
    });
    found.unwrap_or_else(|| weld(scatter.values_at(&exact), &exact).1)
}

/// A value as it is told and read again; the case's own where both are told alike.
fn rounded(draw: &Draw, value: f64) -> f64 {
    let text = draw.number.short(value, DIGITS);
    if text == draw.number.short(draw.value, DIGITS) {
        return draw.value;
    }
    match draw.address().read(&text) {
        Ok(Value::Number(value)) => value,
        _ => value,
    }
}
