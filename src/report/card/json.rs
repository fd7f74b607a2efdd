//! A card for programs: one JSON object, SI throughout.

use serde_json::{Map, Value, json};

use super::proof::{BENT, WELDS, seen};
use super::words::{mend_first, points};
use crate::chance;
use crate::chart::json::answer;
use crate::earths::words::{headline, remedy};
use crate::envelope;
use arcplunge_core::simulation::holds::BEND_TEST;
use arcplunge_core::simulation::shot::Shot;
use arcplunge_core::study::card::{Card, HELD, Screw};

/// The JSON text, with a closing line feed.
///
/// # Errors
/// When a number cannot be written, which finite figures never bring about.
pub fn json(card: &Card) -> serde_json::Result<String> {
    let (weld, asked) = (&card.weld, &card.asked);
    let found = card
        .answer
        .as_ref()
        .map(|a| answer(&weld.case, a))
        .transpose()?;
    let made_up = card.mark.answer.as_ref();
    let made_up = made_up.map(|a| answer(&weld.case, a)).transpose()?;
    let joints = card.joints.iter().map(|t| {
        let more = json!({
            "joint": t.what.joint, "state": t.what.state, "takes_J": card.taken(t),
        });
        fired(more, t.shot.as_ref())
    });
    let tilts = card.tilts.iter();
    let tilts = tilts.map(|t| fired(json!({"out_of_square_deg": t.what}), t.shot.as_ref()));
    let looks = card.looks.iter().map(|look| {
        let more = json!({
            "voltage_V": look.case.bank.voltage, "tilt_rad": look.case.tool.tilt, "seen": seen(look),
            "fill_weakest": look.blow.weakest(), "weakest_at_rad": look.blow.weakest_at(),
        });
        fired(more, Some(&look.blow.shot))
    });
    let faults = card.faults.iter().map(|t| {
        let more = json!({
            "fault": t.what.name, "about": t.what.about, "seen": t.what.seen, "remedy": t.what.remedy,
        });
        fired(more, t.shot.as_ref())
    });
    let best = card.trials.first();
    let t = &card.template;
    let template = json!({
        "guide_m": asked.guide, "hole_m": t.hole, "thickness_m": asked.template,
        "tilt_rad": t.tilt, "held_to_deg": HELD, "thickness_that_holds_m": t.thickness,
    });
    envelope::text(&json!({
        "verdict": weld.shot.verdict,
        "cause": weld.shot.cause,
        "reserve": weld.shot.reserve(),
        "nearest": weld.shot.nearest,
        "mend_first": mend_first(card),
        "points": points(card),
        "remarks": weld.shot.remarks,
        "borderline": weld.band.as_ref().map(|band| band.borderline),
        "setting": found,
        "joints": joints.collect::<Vec<_>>(),
        "polarity": weld.case.stud.polarity,
        "earths": {
            "reason": headline(&weld.case, &weld.blow).1,
            "drift_m": weld.blow.distance(), "drift_direction_rad": weld.blow.heading(),
            "best_remedy": best.map(|best| remedy(&weld.case, best.remedy)),
            "drift_then_m": best.and_then(|best| best.blow.distance()),
        },
        "tilts": tilts.collect::<Vec<_>>(),
        "mark": {
            "depth_m": card.mark.mark.depth, "angle_rad": card.mark.mark.angle,
            "without": fired(json!({}), Some(&card.mark.without)),
            "with": fired(json!({}), card.mark.with.as_ref()),
            "setting": made_up,
        },
        "template": fired(template, t.shot.as_ref()),
        "looks": looks.collect::<Vec<_>>(),
        "looked_to_V": card.highest,
        "test": {
            "welds": WELDS, "bent": BENT, "bend_deg": BEND_TEST,
            "screw": card.screw.as_ref().map(|s| screw(card, s)),
        },
        "faults": faults.collect::<Vec<_>>(),
        "chuck_welds": card.chuck.map(|c| json!({"low": c.low, "median": c.median, "high": c.high})),
        "charge": {"ready_s": card.charge.ready, "below_60_V_s": card.charge.bleed},
        "chance": card.chance.map(chance::json),
        "holds": weld.shot.holds,
        "figures": weld.shot.figures,
        "case": serde_json::to_value(&weld.case)?,
    }))
}

/// What was changed, with what came of it; null where the case cannot be changed so.
fn fired(more: Value, shot: Option<&Shot>) -> Value {
    let mut out = match more {
        Value::Object(map) => map,
        _ => Map::new(),
    };
    out.insert("verdict".into(), json!(shot.and_then(|s| s.verdict)));
    out.insert("cause".into(), json!(shot.map(|s| s.cause)));
    out.insert("reserve".into(), json!(shot.and_then(Shot::reserve)));
    out.insert("nearest".into(), json!(shot.and_then(|s| s.nearest)));
    out.insert("figures".into(), json!(shot.map(|s| &s.figures)));
    Value::Object(out)
}

fn screw(card: &Card, s: &Screw) -> Value {
    json!({
        "torque_Nm": s.torque, "force_N": s.force, "limit": s.limit,
        "share": card.asked.share, "friction": card.asked.friction,
        "thread_force_N": s.thread_force, "yield_share": s.stud.share, "yield_source": s.stud.source,
        "pitch_m": s.thread.pitch, "pitch_diameter_m": s.thread.pitch_diameter(),
        "friction_diameter_m": s.thread.friction_diameter(),
        "breaks_first": s.breaks.0, "breaks_at_N": s.breaks.1,
    })
}
