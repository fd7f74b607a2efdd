//! A dial for programs: one JSON object, SI throughout.

use serde_json::{Value, json};

use super::found::Found;
use super::value::is_mark;
use super::words::{nowhere, sheet};
use crate::chance;
use crate::envelope;
use crate::pairs::remarks_of;
use arcplunge_core::case::keys::scale_of;
use arcplunge_core::simulation::verdict::Verdict;
use arcplunge_core::study::dial::{Dial, Limit, Nowhere, Reached, Window};
use arcplunge_core::study::range::Vary;

/// The result as JSON text, with a closing line feed.
///
/// # Errors
/// When a number cannot be written, which finite figures never bring about.
pub fn json(dial: &Dial, found: &Found) -> serde_json::Result<String> {
    let mut out = answer(dial, found)?;
    let searched = |(k, vary): (usize, &Vary)| {
        let [from, to] = dial.ends(k);
        json!({"key": vary.address.to_string(), "from": from, "to": to})
    };
    let turned = dial.turned().iter().enumerate();
    let rest = json!({
        "searched": turned.map(searched).collect::<Vec<_>>(),
        "remarks": remarks_of(dial.base()),
        "case": serde_json::to_value(dial.base())?,
    });
    if let (Some(out), Value::Object(rest)) = (out.as_object_mut(), rest) {
        out.extend(rest);
    }
    envelope::text(&out)
}

/// What was asked, and what came of it.
fn answer(dial: &Dial, found: &Found) -> serde_json::Result<Value> {
    let key = |k: usize| dial.turned()[k].address.to_string();
    // Null outside the scale; keys without a scale are not there.
    let marks = |values: &[f64]| -> Value {
        let mark = |(k, value): (usize, &f64)| {
            let scale = scale_of(dial.base(), &key(k)).filter(|_| !is_mark(&dial.turned()[k]))?;
            Some((key(k), json!(scale.mark(*value))))
        };
        values.iter().enumerate().filter_map(mark).collect()
    };
    let window = |k: usize, w: &Window| {
        let end = |limit: Limit| match limit {
            Limit::Range => json!("range"),
            Limit::NoCase => json!("no-case"),
            Limit::Verdict(verdict, cause) => {
                json!({"verdict": verdict.map(Verdict::name), "cause": cause.name()})
            }
        };
        json!({
            "key": key(k), "low": w.low, "high": w.high,
            "margin": dial.by_ratio(k).then(|| w.margin()), "half_width": w.half(),
            "below": end(w.below), "above": end(w.above), "now": dial.now(k),
        })
    };
    let reached =
        |goal: Value, values: &[f64], windows: Option<Vec<Value>>| -> serde_json::Result<Value> {
            let by_key = values.iter().enumerate().map(|(k, v)| (key(k), json!(v)));
            let shot = dial.fire(values);
            let mut out = json!({
                "goal": goal, "reached": true,
                "values": by_key.collect::<Value>(), "marks": marks(values),
                "verdict": shot.verdict().map(Verdict::name),
                "figures": serde_json::to_value(shot.figures())?,
                "warning": sheet(dial, values),
                "chance": dial.chance(values).map(chance::json),
                "chance_now": dial.chance_now().map(chance::json),
            });
            if let Some(windows) = windows {
                out["windows"] = windows.into();
            }
            Ok(out)
        };
    match found {
        Found::Window(w) => reached(json!("sound"), &[w.value], Some(vec![window(0, &w.window)])),
        Found::Pair(pair) => {
            let windows = vec![window(0, &pair.windows[0]), window(1, &pair.windows[1])];
            let mut out = reached(json!("sound"), &pair.at, Some(windows))?;
            let off = |k: usize| (key(k), json!(pair.off(dial, k)));
            out["margin"] = json!(pair.margin);
            out["off_together"] = [off(0), off(1)].into_iter().collect();
            Ok(out)
        }
        Found::Nowhere(why) => Ok(missed(dial, why)),
        Found::Figure(name, goal, Reached::At(value)) => {
            reached(json!({*name: goal}), &[*value], None)
        }
        Found::Figure(name, goal, Reached::Between([least, most])) => Ok(json!({
            "goal": {*name: goal}, "reached": false,
            "least": {"value": least.0, "at": least.1}, "most": {"value": most.0, "at": most.1},
        })),
        Found::Figure(name, goal, Reached::Never) => {
            Ok(json!({"goal": {*name: goal}, "reached": false}))
        }
    }
}

/// Why nothing is sound, and what comes nearest.
fn missed(dial: &Dial, why: &Nowhere) -> Value {
    let key = |k: usize| dial.turned()[k].address.to_string();
    let (reason, help) = nowhere(why, dial.turned());
    let best = why.best.map(|(at, fill, vapour)| {
        let turned = 0..dial.turned().len();
        let values: Value = turned.map(|k| (key(k), json!(at[k]))).collect();
        json!({"values": values, "fill_ratio": fill, "rim_fill_min": why.least, "vapour_share": vapour})
    });
    let voltages = why.voltages.as_ref().map(|found| {
        let held = found.held.iter().enumerate();
        let held: Value = held
            .filter_map(|(k, v)| v.map(|v| (key(k), json!(v))))
            .collect();
        json!({"low": found.range[0], "high": found.range[1], "values": held})
    });
    json!({
        "goal": "sound", "reached": false, "reason": reason, "remedy": help, "best": best,
        "sound_voltages_V": voltages,
    })
}
