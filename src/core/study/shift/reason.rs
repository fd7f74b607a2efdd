//! Why a weld late in a shift is not sound: what of the rig, put back to how it began, helps most.

use super::fired::{Figure, Fired};
use super::shots::Shots;
use super::state::{GUN, SHEET, State, VOLTAGE};
use crate::case::joint_id::{JointId, MAX_EARTHS};
use crate::simulation::fire::{Settings, Workspace, fire};
use crate::simulation::integrator::IntegrationError;
use crate::simulation::verdict::Verdict;

/// What has changed since the shift began.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reason {
    /// It was so from the first weld on.
    Itself,
    /// The bank had not reached its voltage.
    Voltage,
    /// The leads are warm.
    Leads,
    /// A joint is warm or worn.
    Joint(JointId),
    /// The sheet is warm.
    Sheet,
    /// No single change: all of them together.
    Together,
}

/// Why the weld of `state` is not what the first one, of `first`, was.
///
/// # Errors
/// When an integration fails.
pub fn reason(
    shots: &Shots,
    first: &State,
    state: &State,
    shot: &Fired,
) -> Result<Reason, IntegrationError> {
    let mut work = Workspace::default();
    let mut fired = |state: &State| {
        let rig = shots.rig_at(state);
        fire(&rig, &Settings::frozen(), &mut work).map(|shot| Fired::of(&rig, &shot))
    };
    let before = fired(first)?;
    if before.verdict != Some(Verdict::Sound) {
        return Ok(Reason::Itself);
    }
    let earths = shots.rig().circuit.earths;
    let mut changes: Vec<(Reason, State)> = Vec::new();
    let mut change = |reason: Reason, places: &[usize]| {
        let mut back = *state;
        places.iter().for_each(|k| back.0[*k] = first.0[*k]);
        if back != *state {
            changes.push((reason, back));
        }
    };
    change(Reason::Voltage, &[VOLTAGE]);
    let leads: Vec<usize> = (0..MAX_EARTHS).map(State::earth).chain([GUN]).collect();
    change(Reason::Leads, &leads);
    change(Reason::Sheet, &[SHEET]);
    for id in JointId::all(earths) {
        change(Reason::Joint(id), &State::joint(id));
    }
    let mut best = (Reason::Together, 0.0);
    for (reason, back) in changes {
        let helped = fired(&back)?;
        let sound = helped.verdict == Some(Verdict::Sound);
        let closer = nearness(&helped, &before) - nearness(shot, &before);
        let gain = closer + if sound { 1e3 } else { 0.0 };
        if gain > best.1 {
            best = (reason, gain);
        }
    }
    Ok(best.0)
}

/// How near a shot is to another, by fill, vapour and melt; nearer is larger.
fn nearness(a: &Fired, b: &Fired) -> f64 {
    let apart = |f: Figure, scale: f64| {
        let d = (a.figure(f) - b.figure(f)).abs() / scale;
        if d.is_finite() { d } else { 10.0 }
    };
    -(apart(Figure::Fill, 1.0) + apart(Figure::Vapour, 0.1) + apart(Figure::SheetMelt, 1e-4))
}
