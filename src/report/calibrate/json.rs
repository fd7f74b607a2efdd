//! A calibration for programs: one JSON object, SI throughout.

use serde_json::{Map, Value, json};

use super::words::{doubt, mistake};
use crate::envelope;
use arcplunge_core::case::Case;
use arcplunge_core::study::calibrate::advice::Advice;
use arcplunge_core::study::calibrate::found::Found;
use arcplunge_core::study::calibrate::settings::{Windows, middle};
use arcplunge_core::study::calibrate::suspects::Mistake;

/// The JSON text, with a closing line feed; `calibrated` is the case it leads to, where there is one.
///
/// # Errors
/// When a number cannot be written, which finite figures never bring about.
pub fn json(
    found: &Found,
    calibrated: Option<&Case>,
    welds_sha256: &str,
) -> serde_json::Result<String> {
    envelope::text(&value(found, calibrated, welds_sha256)?)
}

/// The same without version, command and cautions.
///
/// # Errors
/// As [`json()`].
pub fn value(
    found: &Found,
    calibrated: Option<&Case>,
    welds_sha256: &str,
) -> serde_json::Result<Value> {
    let unknowns = found.problem.unknowns.count();
    let percentiles =
        |[low, median, high]: [f64; 3]| json!({"p5": low, "median": median, "p95": high});
    let mut by_key = [Map::new(), Map::new()];
    for m in &found.posterior.marginals {
        let told = json!({
            "before": percentiles(m.before), "after": percentiles(m.after), "mean": m.mean,
            "deviation": m.deviation, "spread_left": m.narrowed,
        });
        by_key[usize::from(m.place >= unknowns)].insert(m.name.clone(), told);
    }
    let [keys, spreads] = by_key;
    let pairs = found.posterior.pairs.iter().map(|pair| {
        json!({
            "keys": pair.places.map(|place| found.problem.name(place)),
            "correlation": pair.correlation,
        })
    });
    let welds = found
        .problem
        .welds
        .welds
        .iter()
        .enumerate()
        .map(|(n, weld)| {
            let suspect = found.suspects.iter().find(|s| s.weld == n);
            let likely = suspect.and_then(|s| s.mistake).map(|(likely, times)| {
                let fault = match likely {
                    Mistake::Fault(fault) => Some(&fault.name),
                    Mistake::Voltage(_) => None,
                };
                json!({"words": mistake(likely), "fault": fault, "times_as_probable": times})
            });
            json!({
                "line": weld.line, "outlier": found.posterior.outliers[n], "likely_mistake": likely,
            })
        });
    let s = &found.sampled;
    Ok(json!({
        "welds_sha256": welds_sha256,
        "welds": welds.collect::<Vec<_>>(),
        "unknowns": keys,
        "spreads": spreads,
        "not_told_apart": pairs.collect::<Vec<_>>(),
        "window": {
            "key": found.asked.vary[0].address.to_string(),
            "before": window(&found.before), "after": window(&found.after),
        },
        "next": found.advice.as_ref().map(|advice| next(found, advice)),
        "sampling": {
            "particles": s.particles.len(), "seed": found.asked.effort.seed, "powers": s.powers,
            "accepted": s.accepted, "effective": s.effective, "r_hat": s.r_hat,
            "log_evidence": s.evidence, "doubt": doubt(found),
        },
        "case": serde_json::to_value(calibrated)?,
    }))
}

fn window(windows: &Windows) -> Value {
    let spread = |of: fn([f64; 2]) -> f64| {
        let found = windows.spread(of);
        found.map(|[low, median, high]| json!({"p5": low, "median": median, "p95": high}))
    };
    let best = windows.best();
    json!({
        "best": best.map(|(value, _)| value), "sound_there": best.map(|(_, share)| share),
        "low": spread(|ends| ends[0]), "high": spread(|ends| ends[1]), "middle": spread(middle),
        "rigs_with_a_window": windows.with_a_window(),
        "values": windows.values, "sound": windows.sound,
    })
}

fn next(found: &Found, advice: &Advice) -> Value {
    let welds = advice.next.iter().map(|weld| {
        let keys = found.asked.vary.iter().zip(&weld.values);
        let values: Map<String, Value> = keys
            .map(|(v, value)| (v.address.to_string(), json!(value)))
            .collect();
        let outcomes = weld.outcomes.iter().map(|m| {
            json!({
                "witness": m.outcome.0.name(), "spatter": m.outcome.1.name(),
                "probability": m.probability, "middle": m.middle.0, "deviation": m.middle.1,
            })
        });
        json!({
            "values": values, "gain_nat": weld.gain, "middle_moves": weld.moves,
            "supposed": weld.supposed.iter().map(|(witness, spatter)| json!({
                "witness": witness.name(), "spatter": spatter.name(),
            })).collect::<Vec<_>>(),
            "outcomes": outcomes.collect::<Vec<_>>(),
        })
    });
    json!({"welds": welds.collect::<Vec<_>>(), "enough": advice.enough, "step": found.asked.step})
}
