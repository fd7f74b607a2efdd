//! A shift for programs: one JSON object, SI throughout.

use serde_json::{Value, json};

use super::words::part;
use crate::envelope;
use arcplunge_core::simulation::joints::joints;
use arcplunge_core::simulation::rig::Rig;
use arcplunge_core::simulation::verdict::Verdict;
use arcplunge_core::study::intervals::Share;
use arcplunge_core::study::shift::Shift;
use arcplunge_core::study::shift::fastest::Bound;
use arcplunge_core::study::shift::reason::Reason;
use arcplunge_core::study::shift::weld::{Limit, Weld};

/// The JSON text, with a closing line feed.
///
/// # Errors
/// When a number cannot be written, which finite figures never bring about.
pub fn json(shift: &Shift) -> serde_json::Result<String> {
    envelope::text(&value(shift)?)
}

/// The same without version, command and cautions.
///
/// # Errors
/// As [`json()`].
pub fn value(shift: &Shift) -> serde_json::Result<Value> {
    let (run, charge) = (&shift.run, &shift.charge);
    let breaks = shift.plan.breaks.iter();
    let breaks = breaks.map(|b| json!({"at_s": b.at, "length_s": b.length}));
    let parts = run.parts.all().iter().enumerate().map(|(n, p)| {
        let [taken, given] = run.parts.account(n);
        json!({
            "part": part(*p), "end_K": run.parts.temperature(n), "highest_K": run.highest.get(n),
            "taken_J": taken, "given_J": given,
        })
    });
    // Nothing is sampled in a run of one rig: its shares have no intervals.
    let own: Value = shares(run.welds.iter().map(Weld::verdict))
        .map(|(v, s)| json!({"verdict": v, "count": s.count, "share": s.share}))
        .collect();
    let drawn: Value = shares(shift.samples.iter().map(|s| s.verdict))
        .map(|(v, s)| json!({"verdict": v, "count": s.count, "share": s.share, "low": s.low, "high": s.high}))
        .collect();
    let a = &run.account;
    let band = shift.band.iter();
    let band = band.map(|s| {
        let verdicts = s
            .verdicts
            .iter()
            .map(|(v, n)| json!({"verdict": v, "count": n}));
        json!({"weld": s.weld + 1, "fill_ratio": s.fill, "verdicts": verdicts.collect::<Vec<_>>()})
    });
    let bank = shift.bank.iter().map(|aged| {
        json!({
            "shots": aged.shots, "life_used": aged.used, "capacitance_F": aged.capacitance,
            "esr_ohm": aged.esr, "voltage_V": aged.voltage,
        })
    });
    let first_bad = shift.first_bad.map(|(n, why)| {
        let weld = &run.welds[n];
        json!({
            "weld": n + 1, "time_s": weld.time, "verdict": weld.verdict(), "cause": weld.cause(),
            "reason": reason(why),
        })
    });
    Ok(json!({
        "welds": shift.plan.welds,
        "pace_per_s": shift.plan.pace,
        "breaks": breaks.collect::<Vec<_>>(),
        "length_s": run.welds.last().map(|w| w.time),
        "first_joints": joints(&Rig::new(&shift.case), &shift.first),
        "first_not_sound": first_bad,
        "fastest": {
            "pace_per_s": shift.fastest.pace,
            "limit": bound(shift.fastest.bound),
            "even_at": shift.fastest.even_at.map(|(pace, n)| json!({"pace_per_s": pace, "weld": n + 1})),
        },
        "not_ready": run.welds.iter().filter(|w| !w.is_ready).count(),
        "lowest_voltage_V": run.welds.iter().map(|w| w.voltage).fold(f64::INFINITY, f64::min),
        "charge": {
            "empty_to_ready_s": charge.first_ready, "ready_s": charge.ready, "full_s": charge.full,
            "mains_W": charge.mains_power, "mains_A": charge.mains_current,
            "below_60_V_s": charge.bleed,
        },
        "temperatures": parts.collect::<Vec<_>>(),
        "junction_highest_K": run.junction,
        "verdicts": own,
        "verdicts_with_scatter": (!shift.samples.is_empty()).then_some(drawn),
        "band": band.collect::<Vec<_>>(),
        "energy_J": {
            "mains": a.mains, "charger": a.charger, "welds": a.work, "light": a.light,
            "to_room": a.to_room, "held": a.held, "left_in_bank": a.left_in_bank,
        },
        "chuck_welds": shift.chuck.map(|c| json!({"low": c.low, "median": c.median, "high": c.high})),
        "bank": bank.collect::<Vec<_>>(),
        "shots_fired": shift.fired,
        "interpolation_error": shift.worst,
        "case": serde_json::to_value(&shift.case)?,
    }))
}

/// Shares of the verdicts that came.
fn shares(all: impl Iterator<Item = Option<Verdict>>) -> impl Iterator<Item = (Verdict, Share)> {
    let all: Vec<Verdict> = all.flatten().collect();
    Verdict::ALL.into_iter().filter_map(move |v| {
        let count = all.iter().filter(|x| **x == v).count() as u64;
        let share = Share::of(count, all.len() as u64).filter(|s| s.count > 0)?;
        Some((v, share))
    })
}

fn bound(bound: Bound) -> Value {
    match bound {
        Bound::Charger => "charger".into(),
        Bound::Part(limit) => match limit {
            Limit::Conductor => "lead".into(),
            Limit::Joint => "joint".into(),
            Limit::Core => "bank".into(),
            Limit::Junction => "switch".into(),
        },
        Bound::Weld(why) => format!("weld: {}", reason(why)).into(),
        Bound::Nothing => Value::Null,
    }
}

fn reason(reason: Reason) -> String {
    match reason {
        Reason::Itself => "first weld".into(),
        Reason::Voltage => "voltage".into(),
        Reason::Leads => "leads".into(),
        Reason::Joint(id) => id.key(),
        Reason::Sheet => "sheet".into(),
        Reason::Together => "together".into(),
    }
}
