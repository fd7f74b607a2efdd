//! Earth leads and arc blow: one shot, what pushes the melt aside in its arc, and how far.

mod remedies;

pub use crate::simulation::fields::{Place, polar};
pub use remedies::{NOTED, Remedy, Trial, is_worn, trials};

use crate::case::Case;
use crate::physics::blow::{Plane, Vector, push};
use crate::physics::rim::{Bare, Rim};
use crate::simulation::discharge::discharge;
use crate::simulation::events::Phase;
use crate::simulation::fields::fields;
use crate::simulation::fire::{Settings, Workspace, fire};
use crate::simulation::integrator::IntegrationError;
use crate::simulation::rig::{MAX_EARTHS, Rig, lane};
use crate::simulation::sample::{Sample, Sampler};
use crate::simulation::shot::Shot;
use crate::simulation::verdict::Verdict;

/// Samples of the arc among which the largest current is looked for.
const ARC_ROWS: f64 = 500.0;

/// Most samples of the whole record, where it is much longer than the arc.
const MOST_ROWS: f64 = 50_000.0;

/// Drift below which there is nothing to tell \[m\]: far below any melt's thickness.
pub const NOTHING: f64 = 0.05e-6;

/// Most fill of the rim that is told: without bound where there is nothing to fill.
pub const MOST: f64 = 99.0;

/// A shot's arc blow.
#[derive(Debug, Clone, PartialEq)]
pub struct Blow {
    /// The shot itself, on which the blow acts back in nothing.
    pub shot: Shot,
    /// Each earth lead's charge up to the current's end \[C\].
    pub charges: Vec<f64>,
    /// Time the flux densities are given at \[s\]: the largest current in the arc, or in the whole shot
    /// where there is no arc; `None` without current.
    pub time: Option<f64>,
    /// The sheet's currents, then the earth leads, by number; the gun lead last.
    pub sources: Vec<Source>,
    /// Current density in the arc then \[A/m²\]; 0 without an arc.
    pub current_density: f64,
    /// The face over the sheet, out of square or not.
    pub face: Rim,
}

/// One thing that makes a field.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Source {
    /// Where its current runs.
    pub place: Place,
    /// Flux density at the stud's face at [`Blow::time`] \[T\].
    pub field: Vector,
    /// Its share of the drift \[m\]; `None` without an arc.
    pub drift: Option<Plane>,
}

impl Blow {
    /// Flux density at the stud's face, all sources together \[T\].
    pub fn field(&self) -> Vector {
        let sum = |c: usize| self.sources.iter().map(|s| s.field[c]).sum();
        [sum(0), sum(1), sum(2)]
    }

    /// Drift of the melt up to the arc's end \[m\]; `None` without an arc.
    pub fn drift(&self) -> Option<Plane> {
        self.sources
            .iter()
            .map(|s| s.drift)
            .try_fold([0.0; 2], |sum, d| d.map(|d| [sum[0] + d[0], sum[1] + d[1]]))
    }

    /// Whether the weld is sound, arc blow included.
    pub fn is_sound(&self) -> bool {
        self.shot.verdict == Some(Verdict::Sound)
    }

    /// Size of the drift \[m\]; `None` without an arc.
    pub fn distance(&self) -> Option<f64> {
        self.drift().map(|d| d[0].hypot(d[1]))
    }

    /// Direction of a noticeable drift \[rad\].
    pub fn heading(&self) -> Option<f64> {
        let (distance, angle) = polar(self.drift()?);
        (distance >= NOTHING).then_some(angle)
    }

    /// Fill of a square rim, and the drift without one that is not noticeable \[m\].
    fn moved(&self) -> Option<(f64, Plane)> {
        let drift = self.drift()?;
        let noticed = drift[0].hypot(drift[1]) >= NOTHING;
        let fill = self.shot.figures.fill_ratio?;
        Some((fill, if noticed { drift } else { [0.0; 2] }))
    }

    /// Fill of the rim at an angle counterclockwise from x \[rad\], by drift and tilt; at most [`MOST`], as there may be
    /// nothing to fill.
    pub fn rim(&self, angle: f64) -> Option<f64> {
        let (fill, drift) = self.moved()?;
        Some(self.face.fill_at(fill, drift, angle).min(MOST))
    }

    /// Least fill of the rim.
    pub fn weakest(&self) -> Option<f64> {
        let (fill, drift) = self.moved()?;
        Some(self.face.of(fill, drift).least)
    }

    /// Where that is, counterclockwise from x \[rad\]; `None` where the rim is even all round.
    pub fn weakest_at(&self) -> Option<f64> {
        let (fill, drift) = self.moved()?;
        self.face.of(fill, drift).least_at
    }

    /// Where the rim lacks melt.
    pub fn bare(&self) -> Option<Bare> {
        let (fill, drift) = self.moved()?;
        Some(self.face.bare(fill, drift))
    }

    /// Least fill of the rim by the tilt alone, without any drift.
    pub fn undrifted(&self) -> Option<f64> {
        let (fill, _) = self.moved()?;
        Some(self.face.of(fill, [0.0; 2]).least)
    }

    /// Each earth lead's share of the charge; 0 without current.
    pub fn share(&self, earth: usize) -> f64 {
        let sum: f64 = self.charges.iter().sum();
        if sum > 0.0 {
            self.charges[earth] / sum
        } else {
            0.0
        }
    }

    /// The source that drives the drift most: the largest share along it.
    pub fn culprit(&self) -> Option<Place> {
        let heading = self.heading()?;
        let along = |s: &Source| {
            s.drift
                .map_or(0.0, |d| d[0] * heading.cos() + d[1] * heading.sin())
        };
        let most = self
            .sources
            .iter()
            .max_by(|a, b| along(a).total_cmp(&along(b)));
        most.map(|s| s.place)
    }
}

/// Fires a case and follows the push on its melt.
///
/// # Errors
/// When the integration fails.
pub fn blow(
    case: &Case,
    settings: &Settings,
    work: &mut Workspace,
) -> Result<Blow, IntegrationError> {
    let rig = Rig::new(case);
    let shot = fire(&rig, settings, work)?;
    blow_of(case, &rig, shot, settings, work)
}

/// Follows the push on the melt of a shot that `rig`, the case's own, has fired with these settings.
///
/// # Errors
/// When the integration fails.
pub fn blow_of(
    case: &Case,
    rig: &Rig,
    shot: Shot,
    settings: &Settings,
    work: &mut Workspace,
) -> Result<Blow, IntegrationError> {
    let length = shot.length();
    let every = match shot.figures.arc_time_s {
        Some(arc) if arc > 0.0 => (arc / ARC_ROWS).max(length / MOST_ROWS),
        _ => length / ARC_ROWS,
    };
    let (mut any, mut arc) = (None, None);
    let mut look = |sample: Sample| {
        larger(&mut any, sample);
        if sample.phase == Phase::Arc {
            larger(&mut arc, sample);
        }
    };
    let mut sampler = Sampler::new(every, shot.figures.freeze_s, &mut look);
    let found = &mut work.discharge;
    discharge(rig, settings.tolerance, found, Some(&mut sampler))?;
    let charges = found.end.sums.earth_charge[..rig.circuit.earths].to_vec();
    let moments = shot.moments;
    let peak = arc.or(any);
    let area = rig.stud.flange_area;
    let sources = fields(case)
        .into_iter()
        .map(|(place, per_ampere)| {
            let lane = lane(place);
            let current = peak.map_or(0.0, |sample| lanes(&sample)[lane]);
            // J·B/ρ = i/A·(field per ampere)·(own current)/ρ: the integral over time is a moment.
            let moment = moments.map(|m| m[lane] / (area * case.stud.metal.density_liquid));
            Source {
                place,
                field: per_ampere.map(|f| f * current),
                drift: moment.map(|m| push(1.0, per_ampere).map(|p| p * m)),
            }
        })
        .collect();
    Ok(Blow {
        charges,
        time: peak.map(|sample| sample.t),
        sources,
        current_density: arc.map_or(0.0, |sample| sample.current / area),
        face: rig.stud.rim,
        shot,
    })
}

/// Keeps the sample with the larger current above zero, of two alike the later.
fn larger(kept: &mut Option<Sample>, sample: Sample) {
    let least = kept.map_or(f64::MIN_POSITIVE, |kept| kept.current);
    if sample.current >= least {
        *kept = Some(sample);
    }
}

/// Currents of the earth leads, and of the gun lead behind them \[A\].
fn lanes(sample: &Sample) -> [f64; MAX_EARTHS + 1] {
    let mut all = [sample.current; MAX_EARTHS + 1];
    all[..MAX_EARTHS].copy_from_slice(&sample.earths);
    all
}

#[cfg(test)]
mod tests;
