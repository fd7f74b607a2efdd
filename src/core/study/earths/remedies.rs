//! What might help, tried: each remedy is a case of its own, fired and compared by its verdict, its weakest fill and its
//! drift.

use std::f64::consts::{FRAC_PI_2, PI, TAU};

use rayon::prelude::*;

use super::{Blow, NOTHING, Place, blow, polar};
use crate::case::Case;
use crate::case::catalogue;
use crate::case::check::check;
use crate::case::keys::MOST_EARTHS;
use crate::case::model::Earth;
use crate::physics::blow::Plane;
use crate::simulation::fire::{Settings, Workspace};
use crate::simulation::integrator::IntegrationError;

/// A change of the case; places are seen from the stud \[m\].
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Remedy {
    /// The tool held square. Where it is tilted, all others are tried with it square.
    Squared,
    /// A second lead and clamp like this one, tight where this one [`is_worn`], at the mirrored place.
    Mirrored {
        /// Earth lead that is copied, counted from 0.
        like: usize,
        /// Place of the new clamp \[m\].
        at: Plane,
    },
    /// A further lead and clamp like this one, tight where this one [`is_worn`], where that serves best.
    Added {
        /// Earth lead that is copied, counted from 0.
        like: usize,
        /// Place of the new clamp \[m\].
        at: Plane,
    },
    /// This clamp moved to where it does least.
    Moved {
        /// Earth lead whose clamp is moved, counted from 0.
        earth: usize,
        /// Its new place \[m\].
        at: Plane,
    },
    /// All earth leads as short as the shortest and as thick as the thickest.
    Alike,
    /// Every terminal and clamp of the earth leads as tight as the catalogue has them.
    Tight,
    /// The gun lead led straight up.
    LeadUp,
    /// The tool turned about its axis, its lead to this side \[rad\].
    Turned {
        /// New value of `lead.direction` \[rad\].
        direction: f64,
    },
}

/// A remedy, tried.
#[derive(Debug, Clone, PartialEq)]
pub struct Trial {
    /// What was changed.
    pub remedy: Remedy,
    /// Arc blow with that change.
    pub blow: Blow,
}

/// Directions tried round the stud.
const HOURS: usize = 12;
/// Distances tried, over that of the clamp.
const DISTANCES: [f64; 3] = [1.0, 2.0, 0.5];

/// Gain of the weakest fill that is one.
pub const NOTED: f64 = 5e-4;

/// Tries what may help against the drift of `before`, the best first: what gives a sound weld, of these what mends a loose
/// joint if the weld was not sound, then what the weakest side lacks least with, then what drifts least.
///
/// Kept is what lessens the drift and leaves a sound weld sound, and what mends a loose joint, whatever that does.
/// Nothing is tried where there is no arc, or no noticeable drift. A tilted tool is squared first, which stands at the head
/// where it helps, and the others are tried and ranked beside that: no clamp is to be set against a tilt.
///
/// # Errors
/// When the integration of a shot gives up.
pub fn trials(case: &Case, before: &Blow) -> Result<Vec<Trial>, IntegrationError> {
    if case.tool.tilt == 0.0 || before.heading().is_none() {
        return with_square(case, before);
    }
    let square = apply(case, Remedy::Squared);
    let blow = blow(&square, &Settings::default(), &mut Workspace::default())?;
    let mut all = with_square(&square, &blow)?;
    let gain = blow.weakest().unwrap_or(0.0) - before.weakest().unwrap_or(0.0);
    if gain > NOTED || (blow.is_sound() && !before.is_sound()) {
        let remedy = Remedy::Squared;
        all.insert(0, Trial { remedy, blow });
    }
    Ok(all)
}

/// The trials of a case whose tool is square.
fn with_square(case: &Case, before: &Blow) -> Result<Vec<Trial>, IntegrationError> {
    let (Some(drift), Some(_)) = (before.distance(), before.heading()) else {
        return Ok(Vec::new());
    };
    let settings = Settings::default();
    let loose = case.earths.iter().any(is_worn);
    // Where a weld is not sound, what may be the cause is mended before the rest.
    let first = loose && !before.is_sound();
    let fired: Result<Vec<Trial>, IntegrationError> = candidates(case, before)
        .into_par_iter()
        .filter_map(|remedy| {
            let case = apply(case, remedy);
            check(&case).is_empty().then_some((remedy, case))
        })
        .map_init(Workspace::default, |work, (remedy, case)| {
            let blow = blow(&case, &settings, work)?;
            Ok(Trial { remedy, blow })
        })
        .collect();
    let helps = |trial: &Trial| {
        // Without an arc there is no drift, and no weld either.
        let Some(new) = trial.blow.distance() else {
            return false;
        };
        let spoils = before.is_sound() && !trial.blow.is_sound();
        let mends = loose && trial.remedy == Remedy::Tight;
        mends || (new < drift - NOTHING && !spoils)
    };
    let mut best: Vec<Trial> = Vec::new();
    for trial in fired?.into_iter().filter(helps) {
        let kind = std::mem::discriminant(&trial.remedy);
        match best
            .iter_mut()
            .find(|t| std::mem::discriminant(&t.remedy) == kind)
        {
            Some(old) if rank(old, first) <= rank(&trial, first) => {}
            Some(old) => *old = trial,
            None => best.push(trial),
        }
    }
    drop_repeats(&mut best);
    // Stable: among equals the simpler remedy, listed first, stays first.
    best.sort_by_key(|trial| rank(trial, first));
    Ok(best)
}

/// Place of a remedy among the others, the best lowest: whether its weld is not sound, whether it is another than tight
/// joints where these come first, what the weakest side lacks and the drift, both in whole steps of what is noticeable.
///
/// Beyond a whole rim a greater fill is no better than less drift: it comes from more current as well.
fn rank(trial: &Trial, tight_first: bool) -> (bool, bool, u64, u64) {
    let blow = &trial.blow;
    let sound = blow.is_sound();
    let lacks = (1.0 - blow.weakest().unwrap_or(0.0)).max(0.0);
    let drift = blow.distance().unwrap_or(f64::MAX);
    (
        !sound,
        !(sound && tight_first && trial.remedy == Remedy::Tight),
        (lacks / NOTED) as u64,
        (drift / NOTHING) as u64,
    )
}

/// An added clamp that is the mirrored one is said once.
fn drop_repeats(best: &mut Vec<Trial>) {
    let place = |wanted: fn(&Remedy) -> bool, best: &[Trial]| {
        let found = best.iter().find(|t| wanted(&t.remedy));
        found.map(|t| rank(t, false))
    };
    let mirrored = place(|r| matches!(r, Remedy::Mirrored { .. }), best);
    let added = place(|r| matches!(r, Remedy::Added { .. }), best);
    if let (Some(mirrored), Some(added)) = (mirrored, added)
        && added >= mirrored
    {
        best.retain(|t| !matches!(t.remedy, Remedy::Added { .. }));
    }
}

/// The clamp whose share in the drift is the largest.
fn worst(case: &Case, before: &Blow) -> usize {
    if let Some(Place::Sheet(k) | Place::EarthLead(k)) = before.culprit() {
        return k;
    }
    let size = |k: usize| {
        let of = |s: &&super::Source| s.place == Place::Sheet(k);
        let drift = before.sources.iter().find(of).and_then(|s| s.drift);
        drift.map_or(0.0, |d| d[0].hypot(d[1]))
    };
    (0..case.earths.len())
        .max_by(|a, b| size(*a).total_cmp(&size(*b)))
        .unwrap_or(0)
}

fn candidates(case: &Case, before: &Blow) -> Vec<Remedy> {
    let like = worst(case, before);
    let at = case.earths[like].at;
    let (distance, angle) = polar(at);
    let mut all = Vec::new();
    if case.lead.elevation < FRAC_PI_2 {
        all.push(Remedy::LeadUp);
        all.extend((1..HOURS).map(|n| Remedy::Turned {
            direction: (case.lead.direction + TAU * n as f64 / HOURS as f64) % TAU,
        }));
    }
    let first = &case.earths[0];
    let same = |e: &Earth| (e.length, e.section) == (first.length, first.section);
    if !case.earths.iter().all(same) {
        all.push(Remedy::Alike);
    }
    all.push(Remedy::Tight);
    let room = case.earths.len() < MOST_EARTHS;
    if room {
        let at = at.map(|c| -c);
        all.push(Remedy::Mirrored { like, at });
    }
    for factor in DISTANCES {
        // Of equals the first one stays: its own side for a clamp moved, the far side for one more.
        let around = |from: f64, n: usize| {
            let (sin, cos) = (from + TAU * n as f64 / HOURS as f64).sin_cos();
            [distance * factor * cos, distance * factor * sin]
        };
        for n in 0..HOURS {
            let at = around(angle, n);
            all.push(Remedy::Moved { earth: like, at });
            if room {
                let at = around(angle + PI, n);
                all.push(Remedy::Added { like, at });
            }
        }
    }
    all
}

/// Whether a joint of the lead is worn, loose or apart, so that a new lead like it is given tight ones.
pub fn is_worn(earth: &Earth) -> bool {
    let worn = catalogue::joint("worn").resistance;
    [&earth.terminal, &earth.clamp]
        .into_iter()
        .any(|joint| joint.resistance >= worn || joint.contact().starts_parted())
}

fn tighten(earth: &mut Earth) {
    earth.terminal = catalogue::joint("tight");
    earth.clamp = catalogue::joint("tight");
}

pub(super) fn apply(case: &Case, remedy: Remedy) -> Case {
    let mut case = case.clone();
    match remedy {
        Remedy::Squared => case.tool.tilt = 0.0,
        Remedy::Mirrored { like, at } | Remedy::Added { like, at } => {
            let mut earth = case.earths[like].clone();
            earth.at = at;
            if is_worn(&earth) {
                tighten(&mut earth);
            }
            case.earths.push(earth);
        }
        Remedy::Moved { earth, at } => case.earths[earth].at = at,
        Remedy::Alike => {
            let lengths = case.earths.iter().map(|e| e.length);
            let sections = case.earths.iter().map(|e| e.section);
            let (length, section) = (
                lengths.fold(f64::MAX, f64::min),
                sections.fold(0.0, f64::max),
            );
            for earth in &mut case.earths {
                (earth.length, earth.section) = (length, section);
            }
        }
        Remedy::Tight => {
            case.earths.iter_mut().for_each(tighten);
        }
        Remedy::LeadUp => case.lead.elevation = FRAC_PI_2,
        Remedy::Turned { direction } => case.lead.direction = direction,
    }
    case
}
