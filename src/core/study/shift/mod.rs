//! A shift: many welds at a pace, what it does to the rig, and the rig to the welds.

pub mod charge;
pub mod fastest;
pub mod fired;
pub mod life;
pub mod parts;
pub mod plan;
pub mod reason;
pub mod run;
pub mod sheet;
pub mod shots;
pub mod spread;
pub mod state;
pub mod weld;

#[cfg(test)]
mod tests;

use std::sync::atomic::{AtomicBool, Ordering};

use crate::case::Case;
use crate::simulation::fire::{Settings, Workspace, fire};
use crate::simulation::integrator::IntegrationError;
use crate::simulation::rig::Rig;
use crate::simulation::shot::Shot;
use charge::Charge;
use fastest::Fastest;
use fired::{Element, Figure};
use life::{Aged, ChuckLife};
use plan::Plan;
use reason::Reason;
use run::{Rules, Run};
use shots::Shots;
use spread::{Sample, Station};

use super::allowance::NEVER;
use super::scatter::draw::Draw;

/// A shift with all that is asked of it.
#[derive(Debug, Clone)]
pub struct Shift {
    /// The case of its welds.
    pub case: Case,
    /// What was asked.
    pub plan: Plan,
    /// Weld by weld.
    pub run: Run,
    /// The first weld, fired.
    pub first: Shot,
    /// What the charger can do.
    pub charge: Charge,
    /// The fastest pace, and what limits it.
    pub fastest: Fastest,
    /// The first weld that is not sound, by its number from 0, and why.
    pub first_bad: Option<(usize, Reason)>,
    /// Welds fired with their values drawn; none where that was not asked for.
    pub samples: Vec<Sample>,
    /// The band of the fill along the shift; none where that was not asked for.
    pub band: Vec<Station>,
    /// Life of the chuck.
    pub chuck: Option<ChuckLife>,
    /// The bank as it ages.
    pub bank: Vec<Aged>,
    /// Shots fired for the run; the other welds are interpolated.
    pub fired: usize,
    /// Largest relative error that interpolation has come to where it was compared.
    pub worst: f64,
}

/// What takes further shots and may be left out.
#[derive(Debug, Clone, Copy)]
pub struct Extent<'a> {
    /// Values that scatter from weld to weld, and the seed of the draws; none without a scatter.
    pub scatter: Option<(&'a [Draw], u64)>,
    /// Whether the band of the model's own constants is fired.
    pub band: bool,
}

/// Runs a shift and answers what is asked of it.
///
/// # Errors
/// When an integration fails.
pub fn shift(case: &Case, plan: &Plan, extent: Extent<'_>) -> Result<Shift, IntegrationError> {
    whole(case, plan, extent, &NEVER)
}

/// The same, given up between two shots as soon as `cancelled` is set: `None` then.
///
/// # Errors
/// When an integration fails.
pub fn shift_until(
    case: &Case,
    plan: &Plan,
    extent: Extent<'_>,
    cancelled: &AtomicBool,
) -> Result<Option<Shift>, IntegrationError> {
    let shift = whole(case, plan, extent, cancelled)?;
    Ok((!cancelled.load(Ordering::Relaxed)).then_some(shift))
}

/// Runs a shift that is worth nothing once `cancelled` is set, and then soon ends.
fn whole(
    case: &Case,
    plan: &Plan,
    extent: Extent<'_>,
    cancelled: &AtomicBool,
) -> Result<Shift, IntegrationError> {
    let mut shots = Shots::new(Rig::new(case), false).until(cancelled);
    let rules = Rules {
        wear: true,
        stop: false,
    };
    let run = run::run(case, plan, rules, &mut shots)?;
    let (fired, worst) = (shots.fired, shots.worst);
    let bad = run.welds.iter().position(|weld| !weld.is_sound());
    let first_bad = match bad {
        Some(n) => {
            let why = reason::reason(&shots, &run.states[0], &run.states[n], &run.welds[n].shot)?;
            Some((n, why))
        }
        None => None,
    };
    let left = run.welds.first().map_or(0.0, |weld| {
        charge::left_voltage(&case.bank, weld.joules(Element::LeftInBank))
    });
    let charge = Charge::of(case, left);
    let peak = run
        .welds
        .first()
        .map_or(0.0, |weld| weld.shot.figure(Figure::Peak));
    let first = fire(
        &shots.rig_at(&run.states[0]),
        &Settings::frozen(),
        &mut Workspace::default(),
    )?;
    let samples = extent.scatter.map_or(Vec::new(), |(draws, seed)| {
        spread::scatter(case, draws, spread::SAMPLES, seed, &run, cancelled)
    });
    Ok(Shift {
        fastest: fastest::fastest(case, plan, &charge, &mut shots)?,
        band: if extent.band {
            spread::band(case, &run, cancelled)
        } else {
            Vec::new()
        },
        chuck: life::chuck(case, peak),
        bank: life::bank(case, &run)?,
        case: case.clone(),
        plan: plan.clone(),
        first,
        run,
        charge,
        first_bad,
        samples,
        fired,
        worst,
    })
}
