//! Fires one shot: discharge, heat, squeeze, balance, verdict.

use super::discharge::{Discharge, discharge_by};
use super::events::{Event, EventName, Events, Phase, Phases};
use super::heat_solver::{Heating, MeltKnot, Until};
use super::heating::heat;
use super::holds::Holds;
use super::integrator::{IntegrationError, Own, Solver, Tolerance, Work};
use super::ledger::Ledger;
use super::mesh::Resolution;
use super::nearest::nearest;
use super::remarks::remarks;
use super::rig::Rig;
use super::shot::{Effort, Figures, Shot, Volumes};
use super::squeeze_flow::{SqueezeKnot, squeeze};
use super::verdict::judge;
use crate::case::joint_id::JointId;
use crate::physics::rim::hour_of_angle;

/// Numerical settings of a shot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Settings {
    /// Of circuit, pip and plunge.
    pub tolerance: Tolerance,
    /// Mesh and steps of the heat.
    pub resolution: Resolution,
    /// How far the heat is followed.
    pub until: Until,
}

impl Default for Settings {
    fn default() -> Self {
        Settings {
            tolerance: Tolerance::default(),
            resolution: Resolution::default(),
            until: Until::BackFace,
        }
    }
}

impl Settings {
    /// The usual ones, the heat followed until the joint is frozen and no further.
    pub fn frozen() -> Self {
        Settings {
            until: Until::Frozen,
            ..Settings::default()
        }
    }
}

/// Memory one shot leaves to the next.
#[derive(Debug, Clone, Default)]
pub struct Workspace {
    /// What the integrator found.
    pub discharge: Discharge,
    /// Melt and heat of the faces, in order of time.
    pub melt: Vec<MeltKnot>,
    /// Travel after touchdown, in order of time.
    pub forge: Vec<SqueezeKnot>,
}

/// Fires one shot.
///
/// # Errors
/// When the integration fails, which no checked case is known to cause.
pub fn fire(
    rig: &Rig,
    settings: &Settings,
    work: &mut Workspace,
) -> Result<Shot, IntegrationError> {
    fire_by(&Own, rig, settings, work)
}

/// Fires one shot whose discharge another solver integrates.
///
/// # Errors
/// When the solver fails.
pub fn fire_by(
    solver: &impl Solver,
    rig: &Rig,
    settings: &Settings,
    work: &mut Workspace,
) -> Result<Shot, IntegrationError> {
    discharge_by(solver, rig, settings.tolerance, &mut work.discharge, None)?;
    let d = &work.discharge;
    work.forge.clear();
    let heating = heat(
        rig,
        &d.arc,
        d.touchdown.is_some(),
        settings.until,
        &settings.resolution,
        &mut work.melt,
    );
    let mut effort = d.work;
    let mut closed = 0.0;
    if let Some(m) = d.touchdown {
        closed = squeeze(
            rig,
            &work.melt,
            (m.t, m.travel, m.speed),
            &mut effort,
            |knot| {
                work.forge.push(knot);
            },
        )?;
    }
    Ok(assemble(rig, d, &heating, closed, effort))
}

fn assemble(rig: &Rig, d: &Discharge, heating: &Heating, closed: f64, work: Work) -> Shot {
    let arced = d.ignition.is_some();
    let volumes = volumes(rig, heating, closed, arced);
    let arc_energy = d.arc.last().map(|k| k.energy);
    let down = d.touchdown.is_some();
    let fill = (down && volumes.space > 0.0)
        .then(|| ((volumes.squeezed + volumes.pip - volumes.vapour) / volumes.space).max(0.0));
    let rim = fill.map(|fill| rig.stud.rim.of(fill, d.moments.drift(rig)));
    let figures = Figures {
        squeeze_travel_m: arced.then_some(closed),
        fill_ratio: fill,
        rim_fill_min: rim.map(|rim| rim.least),
        rim_fill_min_at: rim.and_then(|rim| rim.least_at.map(hour_of_angle)),
        welded_share: rim.map(|rim| rim.welded_share),
        vapour_share: arc_energy.map(|e| {
            if e > 0.0 {
                heating.vapour.iter().sum::<f64>() / e
            } else {
                0.0
            }
        }),
        melt_stud_m: heating.at_touchdown.map(|m| m[0]),
        melt_sheet_m: heating.at_touchdown.map(|m| m[1]),
        melt_sheet_max_m: arced.then_some(heating.sheet_max),
        freeze_s: heating.frozen,
        cooling_rate_K_per_s: heating.cooling_rate,
        back_face_K: heating.back_face,
        ..electric_figures(rig, d, arc_energy)
    };
    let (verdict, cause) = judge(rig, &figures, rim, d);
    let ledger = Ledger::new(rig, d);
    Shot {
        figures,
        nearest: nearest(rig, &figures, verdict),
        events: events(d, rig.circuit.earths, heating.frozen),
        phases: phases(d, heating.frozen),
        ledger,
        verdict,
        cause,
        how: d.how,
        recorded: d.end.t,
        pip_left: (!arced && rig.circuit.bolted.is_none())
            .then_some(rig.stud.approach + rig.stud.pip_length - d.end.travel),
        peak_earths: d.peak_earths,
        joints: d.joints,
        volumes,
        holds: Holds::new(rig, figures.welded_share, figures.back_face_K),
        remarks: remarks(rig, &figures, d, ledger.switch),
        moments: arced.then_some(d.moments.twice),
        effort: Effort {
            evaluations: work.evaluations,
            steps: work.steps,
            rejected: work.rejected,
            heat_steps: heating.steps,
            heat_solves: heating.rounds,
            heat_unsettled: heating.unsettled,
            heat_imbalance: heating.imbalance,
        },
    }
}

/// The events of the discharge, of its joints and of the melt.
fn events(d: &Discharge, earths: usize, frozen: Option<f64>) -> Events {
    let mut out = d.events.clone();
    let mut add = |name, joint, time: Option<f64>| {
        if let Some(time_s) = time {
            let at = out.partition_point(|e| e.time_s <= time_s);
            out.insert(
                at,
                Event {
                    name,
                    time_s,
                    joint,
                },
            );
        }
    };
    for id in JointId::all(earths) {
        let record = d.joints[id];
        add(EventName::JointMelts, Some(id), record.melts_s);
        add(EventName::JointSets, Some(id), record.sets_s);
        add(EventName::JointParts, Some(id), record.parts_s);
    }
    add(EventName::Frozen, None, frozen);
    out
}

/// The phases, the forge lasting until the current has ended and the joint is frozen.
fn phases(d: &Discharge, frozen: Option<f64>) -> Phases {
    let mut out = d.phases.clone();
    if let (Some((Phase::Rest, start)), Some(frozen)) = (out.last_mut(), frozen) {
        *start = start.max(frozen);
    }
    out
}

/// Figures of circuit and plunge.
fn electric_figures(rig: &Rig, d: &Discharge, arc_energy: Option<f64>) -> Figures {
    let time = |name| d.events.iter().find(|e| e.name == name).map(|e| e.time_s);
    let arc_end = d.touchdown.or(d.arc_out);
    let start_gap = rig.stud.open_travel();
    let flowed = d.peak.0 > 0.0;
    Figures {
        stored_energy_J: rig.circuit.stored_energy(),
        peak_current_A: flowed.then_some(d.peak.0),
        time_of_peak_s: flowed.then_some(d.peak.1),
        pip_touch_s: d.pip_touch,
        pip_yield_s: d.pip_yield,
        ignition_s: d.ignition.map(|m| m.t),
        touchdown_s: d.touchdown.map(|m| m.t),
        arc_time_s: d.ignition.zip(arc_end).map(|(a, b)| b.t - a.t),
        touchdown_speed_m_per_s: d.touchdown.map(|m| m.speed),
        touchdown_current_A: d.touchdown.map(|m| m.current),
        gap_at_ignition_m: d.ignition.map(|m| start_gap - m.travel),
        action_A2s: d.end.sums.action,
        current_end_s: time(EventName::CurrentEnd),
        arc_energy_J: arc_energy,
        loop_resistance_ohm: rig.circuit.loop_resistance(),
        loop_inductance_H: rig.circuit.loop_inductance(),
        ..Figures::default()
    }
}

fn volumes(rig: &Rig, heating: &Heating, closed: f64, arced: bool) -> Volumes {
    let s = &rig.stud;
    let (space, room) = (s.rim.wedge() + s.rim.mark, s.rim.volume());
    if !arced {
        return Volumes {
            space,
            room,
            ..Volumes::default()
        };
    }
    let vapour = rig
        .faces
        .iter()
        .zip(heating.vapour)
        .map(|(f, joules)| joules / (f.density_liquid * f.vaporisation_heat));
    Volumes {
        squeezed: s.flange_area * closed,
        pip: s.pip.volume * s.pip_share * rig.faces[0].swell(),
        vapour: vapour.sum(),
        space,
        room,
    }
}
