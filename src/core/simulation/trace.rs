//! The curves of a shot: rows at even times, and one on each side of every event.

use serde::Serialize;

use super::discharge::{Discharge, End, discharge};
use super::events::Phase;
use super::fire::{Settings, Workspace, fire};
use super::heat_solver::{MeltKnot, Until};
use super::integrator::{IntegrationError, hermite};
use super::rig::{MAX_EARTHS, Rig};
use super::sample::{Sample, Sampler};
use super::shot::Shot;
use super::squeeze_flow::{SqueezeKnot, knot_at};
use crate::case::joint_id::PerJoint;
use crate::physics::ROOM;

/// One row, SI.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[allow(non_snake_case)] // the names of the CSV file, units included
pub struct Row {
    /// Time from the trigger \[s\].
    pub time_s: f64,
    /// Phase.
    pub phase: Phase,
    /// Total current \[A\].
    pub current_A: f64,
    /// Bank voltage \[V\].
    pub bank_V: f64,
    /// Voltage across the weld \[V\].
    pub weld_V: f64,
    /// Gap between flange and sheet \[m\].
    pub gap_m: f64,
    /// Speed of the stud \[m/s\].
    pub speed_m_per_s: f64,
    /// Melt on the stud's face \[m\].
    pub melt_stud_m: f64,
    /// Melt on the sheet's face \[m\].
    pub melt_sheet_m: f64,
    /// Current of each earth \[A\].
    pub earths_A: [f64; MAX_EARTHS],
    /// Voltage across each joint \[V\].
    pub joints_V: PerJoint<f64>,
    /// Temperature of the pip, as long as it stands \[K\].
    pub pip_K: Option<f64>,
    /// Temperature of the faces of stud and sheet \[K\].
    pub faces_K: [f64; 2],
}

impl Row {
    /// Power in the weld \[W\].
    pub fn weld_power(&self) -> f64 {
        self.weld_V * self.current_A
    }
}

/// A shot with its curves.
#[derive(Debug, Clone, PartialEq)]
pub struct Trace {
    /// Figures, events and balances.
    pub shot: Shot,
    /// Its curves, in order of time.
    pub rows: Vec<Row>,
}

/// Record kept after the last event, over the time up to it.
const TAIL: f64 = 0.04;

/// Record where nothing happens \[s\].
const SHORTEST: f64 = 1e-3;

/// Time between rows where nothing else is asked for \[s\].
const USUAL: f64 = 2e-6;

/// Most rows then.
const MOST_ROWS: f64 = 5e4;

/// Time between rows that suits a record of this length where nothing else is asked for \[s\]: 2 µs, more for a long one.
pub fn usual_interval(length: f64) -> f64 {
    USUAL.max(length / MOST_ROWS)
}

/// Fires a shot and records a row each `every` \[s\].
///
/// # Errors
/// When the integration fails.
pub fn trace(
    rig: &Rig,
    settings: &Settings,
    every: f64,
    work: &mut Workspace,
) -> Result<Trace, IntegrationError> {
    let shot = fire(rig, settings, work)?;
    let rows = rows(rig, settings, &shot, every, work)?;
    Ok(Trace { shot, rows })
}

/// Rows each `every` \[s\] of a shot that this rig has fired with these settings.
///
/// The shot tells when its joint freezes and how long its record is; it is fired anew to take the rows.
///
/// # Errors
/// When the integration fails.
pub fn rows(
    rig: &Rig,
    settings: &Settings,
    shot: &Shot,
    every: f64,
    work: &mut Workspace,
) -> Result<Vec<Row>, IntegrationError> {
    let mut rows = Vec::new();
    each_row(rig, settings, shot, every, work, &mut |row| rows.push(row))?;
    Ok(rows)
}

/// As [`rows`], one at a time, so that a long record takes no memory.
///
/// # Errors
/// When the integration fails.
pub fn each_row(
    rig: &Rig,
    settings: &Settings,
    shot: &Shot,
    every: f64,
    work: &mut Workspace,
    each: &mut dyn FnMut(Row),
) -> Result<(), IntegrationError> {
    // No row shows what comes after the freezing.
    let settings = Settings {
        until: Until::Frozen,
        ..*settings
    };
    fire(rig, &settings, work)?;
    // Melt and squeeze are known from here on; the discharge once more gives the rows in order.
    let Workspace {
        discharge: found,
        melt,
        forge,
    } = work;
    let mut each = |s: Sample| each(row(rig, &s, shot, (melt, forge)));
    let mut sampler = Sampler::new(every, shot.figures.freeze_s, &mut each);
    discharge(rig, settings.tolerance, found, Some(&mut sampler))?;
    rest(rig, shot, found, &mut sampler);
    Ok(())
}

/// Rows after the current's end.
fn rest(rig: &Rig, shot: &Shot, d: &Discharge, sampler: &mut Sampler<'_>) {
    let (start, from) = (d.end.t, (d.end.travel, d.end.speed));
    let last = shot.figures.freeze_s.map_or(start, |f| f.max(start));
    let open = rig.stud.open_travel();
    let touch = rig.stud.touch_travel();
    let (phase, end, flying) = match d.how {
        End::StillFlowing => return, // the record ended with the current still flowing
        End::NeverTouched => {
            let stop = rig.stud.flight.time_to_rest(from.0, from.1);
            (
                Phase::Approach,
                if stop.is_finite() {
                    stop.max(SHORTEST)
                } else {
                    SHORTEST
                },
                true,
            )
        }
        End::NeverConducted => (Phase::Rest, start + SHORTEST, false),
        End::Stopped => (Phase::Rest, last * (1.0 + TAIL), d.arc_out.is_some()),
    };
    sampler.free_flight(phase, start, end, d.end.bank, |t| {
        if !flying {
            return (open - from.0, 0.0);
        }
        let (x, w) = rig.stud.flight.at(from.0, from.1, t - start);
        if x < touch {
            (open - x, w)
        } else {
            (open - touch, 0.0)
        }
    });
}

fn row(rig: &Rig, s: &Sample, shot: &Shot, (melt, forge): (&[MeltKnot], &[SqueezeKnot])) -> Row {
    let knot = knot_at(melt, s.t);
    let depths = knot.map_or([0.0; 2], |knot| knot.melt);
    let landed = shot.figures.touchdown_s.is_some();
    let frozen_later = shot.figures.freeze_s.is_some_and(|f| s.t <= f);
    let after_touchdown = landed && matches!(s.phase, Phase::Forge | Phase::Rest);
    Row {
        time_s: s.t,
        phase: if s.phase == Phase::Rest && landed && frozen_later {
            Phase::Forge
        } else {
            s.phase
        },
        current_A: s.current,
        bank_V: s.bank,
        weld_V: s.weld,
        gap_m: s.gap,
        speed_m_per_s: if after_touchdown {
            forge_speed(forge, s.t)
        } else {
            s.speed
        },
        melt_stud_m: depths[0],
        melt_sheet_m: depths[1],
        earths_A: s.earths,
        joints_V: s.joints,
        pip_K: matches!(s.phase, Phase::Approach | Phase::Fuse)
            .then(|| rig.stud.pip.enthalpy.temperature(s.pip_enthalpy)),
        faces_K: knot.map_or([ROOM; 2], |knot| knot.face),
    }
}

/// Speed \[m/s\] during the squeeze.
fn forge_speed(knots: &[SqueezeKnot], t: f64) -> f64 {
    let k = knots.partition_point(|knot| knot.t <= t);
    match (k.checked_sub(1).map(|k| knots[k]), knots.get(k)) {
        (Some(a), Some(b)) => {
            let h = b.t - a.t;
            hermite([a.speed, a.rate], [b.speed, b.rate], h, (t - a.t) / h).max(0.0)
        }
        _ => 0.0,
    }
}
