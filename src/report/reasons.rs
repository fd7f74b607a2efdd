//! Why the weld came out as it did: cause, figure, remedy, in that order.

use super::format::{engineering, milliseconds, percent, significant};
use super::joints::since;
use super::pairs::remarks_of;
use super::title::deciding;
use crate::case::Case;
use crate::cycle::joints::{JointHeat, Spot, joints};
use crate::cycle::rig::Rig;
use crate::cycle::shot::Shot;
use crate::cycle::verdict::Cause;
use crate::physics::joint::{MELTING_VOLTAGE, SOFTENING_VOLTAGE};

/// Share of the stored energy from which a lead is worth a sentence.
const COSTLY: f64 = 0.25;

/// Share from which a joint that only softens is worth one.
const NOTED: f64 = 0.01;

/// The reasons, most telling first.
pub fn reasons(case: &Case, rig: &Rig, shot: &Shot) -> Vec<String> {
    let mut out = vec![deciding(case, shot)];
    out.extend(remarks_of(case).into_iter().map(String::from));
    let stored = shot.figures.stored_energy_J;
    let mut hot: Vec<JointHeat> = joints(rig, shot)
        .into_iter()
        .filter(|j| match j.spot {
            Spot::Cool => false,
            Spot::Softens => j.energy_J > NOTED * stored,
            Spot::Melts => true,
        })
        .collect();
    hot.sort_by(|a, b| b.energy_J.total_cmp(&a.energy_J));
    out.extend(hot.iter().map(|j| joint(j, stored)));
    out.extend(advice(case, rig, shot));
    out
}

/// What stands behind the verdict besides burning joints, and what helps.
pub fn advice(case: &Case, rig: &Rig, shot: &Shot) -> Vec<String> {
    let mut out = Vec::new();
    match shot.cause {
        Cause::Underfilled => out.extend(underfilled(case, shot)),
        Cause::ArcOut => out.extend(arc_out(rig, shot)),
        Cause::BoiledOff => out.push(
            "Bring the stud down sooner (stronger spring, lighter slide) or lower the voltage.".into(),
        ),
        Cause::MeltedThrough => out.push(
            "Use a thicker sheet, a shorter arc (stronger spring) or a lower voltage.".into(),
        ),
        Cause::NoIgnition => out.push(no_ignition(rig, shot)),
        Cause::Stub => out.push(
            "The spring is too strong for this pip, or the current rises too slowly: less spring \
             force, shorter leads, more voltage."
                .into(),
        ),
        Cause::NeverTouched if rig.stud.flight.push <= 0.0 => out.push(
            "Spring and weight do not overcome the slide's friction: free the slide or set more \
             spring force."
                .into(),
        ),
        Cause::NeverTouched => out.push(
            "The spring slackens before the lift is used up: set less lift, more spring force or a \
             softer spring."
                .into(),
        ),
        Cause::NeverConducted => out.push("Charge the bank higher, or mend the sparking joint.".into()),
        Cause::ArcEndless => out.push(
            "Spring and weight do not carry the stud down: free the slide or set more spring force."
                .into(),
        ),
        Cause::Filled | Cause::DischargeTest | Cause::RecordEnded => {}
    }
    if matches!(
        shot.cause,
        Cause::Underfilled | Cause::NoIgnition | Cause::Stub
    ) {
        out.extend(leads(rig, shot));
    }
    out.extend(mark(case, rig));
    out
}

fn joint(j: &JointHeat, stored: f64) -> String {
    let took = format!(
        "The {} took {}, {} of the bank.",
        j.name,
        engineering(j.energy_J, "J"),
        percent(j.energy_J / stored)
    );
    match j.spot {
        Spot::Melts => format!(
            "{took} Copper melts at {MELTING_VOLTAGE} V; this contact reached {} V, so it burns{}. \
             Clean the contact, seat it, turn it home.",
            significant(j.peak_V, 2),
            j.melts_from_s
                .map_or(String::new(), |_| format!(" from {} on", since(j)))
        ),
        _ => format!(
            "{took} It reached {} V; copper softens at {SOFTENING_VOLTAGE} V. Clean it before it gets worse.",
            significant(j.peak_V, 2)
        ),
    }
}

/// What the wedge lacks, and where the energy went instead.
fn underfilled(case: &Case, shot: &Shot) -> Vec<String> {
    let v = &shot.volumes;
    let f = &shot.figures;
    let mm3 = |x: f64| significant(x * 1e9, 2);
    let mut out = vec![format!(
        "The space under the cone needs {} mm³; the squeeze brought {} mm³, the pip {} mm³, and {} mm³ \
         boiled away.",
        mm3(v.space),
        mm3(v.squeezed),
        mm3(v.pip),
        mm3(v.vapour)
    )];
    if let Some(arc) = f.arc_energy_J {
        out.push(format!(
            "Of {} stored, {} ({}) reached the arc. More voltage or less loss on the way lifts the fill.",
            engineering(f.stored_energy_J, "J"),
            engineering(arc, "J"),
            percent(arc / f.stored_energy_J)
        ));
    }
    if case.tool.tilt > case.stud.cone {
        out.push("The tool stands tilted by more than the cone: one side of the rim meets first. Square it.".into());
    }
    out
}

fn arc_out(rig: &Rig, shot: &Shot) -> Vec<String> {
    let (Some(ignition), Some(gap)) = (shot.figures.ignition_s, shot.figures.gap_at_ignition_m)
    else {
        return Vec::new();
    };
    // Where the stud would have come down, had the arc lasted.
    let s = &rig.stud;
    let travel = s.open_travel() - gap;
    let Some(lands) = s.flight.time_to(travel, 0.0, s.touch_travel()) else {
        return vec![
            "The spring slackens before the stud is down: it would never have landed. Set more spring \
             force."
                .into(),
        ];
    };
    vec![format!(
        "The stud needs until about {} to come down. Set more spring force, a lighter slide or more \
         capacitance.",
        milliseconds(ignition + lands)
    )]
}

fn no_ignition(rig: &Rig, shot: &Shot) -> String {
    let burst = rig.stud.pip.burst * rig.stud.pip.mass;
    format!(
        "The pip needs about {} to burst and got {} in all. More voltage, shorter leads or a thinner pip.",
        engineering(burst, "J"),
        engineering(shot.ledger.pip, "J")
    )
}

/// Leads that take a large share.
fn leads(rig: &Rig, shot: &Shot) -> Option<String> {
    let l = &shot.ledger;
    let earths: f64 = l.earths.iter().take(rig.earths).map(|e| e[0]).sum();
    let share = (l.gun_lead + earths) / shot.figures.stored_energy_J;
    (share > COSTLY).then(|| {
        format!(
            "The leads took {}, {} of the bank: shorter or thicker leads give it to the arc.",
            engineering(l.gun_lead + earths, "J"),
            percent(share)
        )
    })
}

/// What a centre mark does to the timing.
fn mark(case: &Case, rig: &Rig) -> Option<String> {
    case.sheet
        .centre_mark
        .filter(|_| case.stud.bolted.is_none())?;
    let s = &rig.stud;
    Some(format!(
        "The centre mark swallows {} of the pip: the arc starts from a gap of {} instead of {}, and {} mm³ \
         of melt go into the hole. Mark by scribing or a template.",
        engineering(s.sink, "m"),
        engineering(s.start_gap(), "m"),
        engineering(s.pip_length, "m"),
        significant(s.recess * 1e9, 2)
    ))
}
