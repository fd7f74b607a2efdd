//! A chart for programs: one JSON object, SI throughout.

use serde_json::{Value, json};

use super::cells::{short, thin};
use super::groups::method_name;
use crate::chance;
use crate::dial::{limit_name, nowhere};
use crate::envelope;
use crate::pairs::remarks;
use arcplunge_core::case::Case;
use arcplunge_core::case::keys::scale_of;
use arcplunge_core::study::chart::{Answer, Chart, KEYS, Line};
use arcplunge_core::study::dial::Window;
use arcplunge_core::study::range::Vary;

/// The chart as JSON text, with a closing line feed.
///
/// # Errors
/// When a number cannot be written, which finite figures never bring about.
pub fn json(chart: &Chart) -> serde_json::Result<String> {
    let range = |v: &Vary| json!({"key": v.address.to_string(), "from": v.from, "to": v.to});
    let lines = chart.lines.iter().map(|l| line(chart, l));
    envelope::text(&json!({
        "one_spring_N": chart.one_spring,
        "searched": chart.ranges.iter().map(range).collect::<Vec<_>>(),
        "lines": lines.collect::<serde_json::Result<Vec<_>>>()?,
        "case": serde_json::to_value(&chart.base)?,
    }))
}

fn line(chart: &Chart, line: &Line) -> serde_json::Result<Value> {
    let job = &line.job;
    let mut out = json!({
        "stud": job.size,
        "stud_metal": job.stud_metal,
        "sheet_metal": job.sheet_metal,
        "method": method_name(job.method),
        "remarks": remarks(&job.stud_metal, &job.sheet_metal, job.method),
        "warning": thin(chart, line),
        "sound": matches!(line.answer, Answer::Sound(_)),
    });
    let more = answer(&chart.base, &line.answer)?;
    if let (Some(out), Value::Object(more)) = (out.as_object_mut(), more) {
        out.extend(more);
    }
    if let Some(own) = &line.own {
        out["own_spring"] = json!({
            "voltage_V": own.voltage, "spring_force_N": own.force, "margin": own.margin,
        });
    }
    Ok(out)
}

/// Setting, windows and figures of a rig for a stud, or why there is none.
///
/// # Errors
/// As [`json()`].
pub fn answer(base: &Case, found: &Answer) -> serde_json::Result<Value> {
    let mark = |k: usize, value| scale_of(base, KEYS[k])?.mark(value);
    Ok(match found {
        Answer::Sound(s) => json!({
            "voltage_V": s.voltage,
            "voltage_mark": mark(0, s.voltage),
            "voltages_V": window(&s.voltages),
            "spring_force_N": s.force,
            "spring_mark": mark(1, s.force),
            "spring_forces_N": window(&s.forces),
            "margin": s.margin,
            "margin_at_least": s.at_least,
            "chance": s.chance.map(chance::json),
            "figures": serde_json::to_value(s.figures)?,
        }),
        Answer::Nowhere(hard) => {
            let (reason, remedy) = nowhere(&hard.found, &hard.searched);
            let best = hard.found.best.map(|(at, fill, vapour)| {
                json!({"voltage_V": at[0], "spring_force_N": at[1],
                       "fill_ratio": fill, "rim_fill_min": hard.found.least, "vapour_share": vapour})
            });
            let larger = hard.larger.as_ref().map(|l| {
                json!({"capacitance_F": l.capacitance, "voltage_V": l.setting.voltage,
                       "spring_force_N": l.setting.force, "margin": l.setting.margin,
                       "stored_energy_J": l.setting.figures.stored_energy_J,
                       "chance": l.setting.chance.map(chance::json)})
            });
            json!({"reason": reason, "remedy": remedy, "best": best, "chance": hard.chance.map(chance::json), "larger_bank": larger})
        }
        Answer::OtherSpring | Answer::NoCase(_) => json!({
            "reason": short(found), "remedy": null, "best": null, "chance": null,
            "larger_bank": null,
        }),
    })
}

fn window(w: &Window) -> Value {
    json!({
        "low": w.low, "high": w.high, "margin": w.margin(),
        "below": limit_name(w.below), "above": limit_name(w.above),
    })
}
