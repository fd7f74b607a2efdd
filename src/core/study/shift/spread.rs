//! What scatters on top of a shift: the studs and the rig from weld to weld, and the model's own constants.

use std::sync::atomic::{AtomicBool, Ordering};

use super::run::Run;
use super::state::State;
use crate::case::Case;
use crate::simulation::fire::{Settings, Workspace, fire};
use crate::simulation::rig::Rig;
use crate::simulation::verdict::Verdict;
use crate::study::band::{Range, cases, counts, is_borderline, others, range};
use crate::study::batch::in_order;
use crate::study::points::{Points, Sampling};
use crate::study::scatter::Scatter;
use crate::study::scatter::draw::Draw;

/// Welds of a shift that are fired with their values drawn.
pub const SAMPLES: usize = 1024;

/// Places along the shift at which the band is fired, at most.
const STATIONS: usize = 9;

/// Fill by which a weld may lie off the line between two places until it becomes one itself.
const BENT: f64 = 0.01;

/// A weld fired with its values drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sample {
    /// Its number in the shift, from 0.
    pub weld: usize,
    /// What came of it; `None` for a discharge test.
    pub verdict: Option<Verdict>,
}

/// Fires `samples` welds evenly spread over a run, each with the rig as it was then and its own values drawn. What
/// is no valid case, or cannot be fired, is left out; so is what is left once `cancelled` is set.
pub fn scatter(
    case: &Case,
    draws: &[Draw],
    samples: usize,
    seed: u64,
    run: &Run,
    cancelled: &AtomicBool,
) -> Vec<Sample> {
    let count = run.welds.len();
    let study = Scatter {
        base: case.clone(),
        draws: draws.to_vec(),
        dependence: None,
        points: Points {
            sampling: Sampling::Sobol,
            seed,
        },
        shots: samples,
        settings: Settings::frozen(),
    };
    let one = |work: &mut Workspace, n: usize| {
        if cancelled.load(Ordering::Relaxed) {
            return None;
        }
        let weld = (n * count) / samples;
        let case = study.case(&study.values(shuffled(n, samples))).ok()?;
        let verdict = fired(&case, &run.states[weld], work)?.verdict;
        Some(Sample { weld, verdict })
    };
    in_order(0..samples, one).flatten().collect()
}

/// Takes the points of the sequence in another order than that of the welds, for both are even in stretches.
fn shuffled(n: usize, all: usize) -> usize {
    // Coprime to any power of two, and large against a stretch.
    (n * 2_654_435_761) % all.max(1)
}

fn fired(case: &Case, state: &State, work: &mut Workspace) -> Option<crate::Shot> {
    let mut rig = Rig::new(case);
    state.put_on(&mut rig);
    fire(&rig, &Settings::frozen(), work).ok()
}

/// The band of the weld at a place of the shift.
#[derive(Debug, Clone, PartialEq)]
pub struct Station {
    /// Number of the weld, from 0.
    pub weld: usize,
    /// 5th and 95th percentile of the fill.
    pub fill: Range,
    /// Shots with each verdict that came.
    pub verdicts: Vec<(Verdict, usize)>,
}

impl Station {
    /// Shots fired.
    pub fn shots(&self) -> usize {
        self.verdicts.iter().map(|(_, n)| n).sum()
    }

    /// Whether too many of them have another verdict than the weld's `own`.
    pub fn is_borderline(&self, own: Verdict) -> bool {
        is_borderline(others(&self.verdicts, own), self.shots())
    }
}

/// The band of the fill along a run; empty where nothing fills, and once `cancelled` is set.
pub fn band(case: &Case, run: &Run, cancelled: &AtomicBool) -> Vec<Station> {
    let station = |weld: usize| {
        if cancelled.load(Ordering::Relaxed) {
            return None;
        }
        let state = run.states.get(weld)?;
        let shots = in_order(cases(case), |work: &mut Workspace, case: Case| {
            let shot = fired(&case, state, work)?;
            Some((shot.figures.fill_ratio, shot.verdict?))
        });
        let shots: Vec<_> = shots.flatten().collect();
        let verdicts: Vec<Verdict> = shots.iter().map(|(_, verdict)| *verdict).collect();
        Some(Station {
            weld,
            fill: range(shots.iter().filter_map(|(fill, _)| *fill).collect())?,
            verdicts: counts(&verdicts),
        })
    };
    places(run).into_iter().filter_map(station).collect()
}

/// The ends of a run, and where its fill bends most.
fn places(run: &Run) -> Vec<usize> {
    let fill = |n: usize| run.welds[n].fill().unwrap_or(0.0);
    let Some(last) = run.welds.len().checked_sub(1) else {
        return Vec::new();
    };
    let mut places = vec![0, last];
    places.dedup();
    while places.len() < STATIONS {
        let off = |n: usize| {
            let after = places
                .partition_point(|p| *p < n)
                .clamp(1, places.len() - 1);
            let [a, b] = [places[after - 1], places[after]];
            let share = (n - a) as f64 / (b - a).max(1) as f64;
            (fill(n) - fill(a) - share * (fill(b) - fill(a))).abs()
        };
        if places.len() < 2 {
            break;
        }
        let bent = (0..=last).map(|n| (n, off(n)));
        match bent.max_by(|a, b| a.1.total_cmp(&b.1)) {
            Some((n, off)) if off > BENT => {
                let at = places.partition_point(|p| *p < n);
                places.insert(at, n);
            }
            _ => break,
        }
    }
    places
}
