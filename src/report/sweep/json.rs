//! The rows of a sweep for programs: one JSON object, SI throughout.

use serde_json::{Map, Value, json};

use crate::envelope;
use crate::provenance::Study;
use arcplunge_core::study::sweep::{Outcome, Row, Sweep};

/// The rows as JSON text, with a closing line feed.
///
/// # Errors
/// When a number cannot be written, which finite figures never bring about.
pub fn json(sweep: &Sweep, rows: &[Row]) -> serde_json::Result<String> {
    let row = |row: &Row| {
        let keys = sweep.vary.iter().map(|v| v.address.to_string());
        told(
            keys.zip(row.values.iter().map(|v| json!(v))).collect(),
            &row.outcome,
        )
    };
    envelope::text(&json!({
        "rows": rows.iter().map(row).collect::<Vec<_>>(),
        "case": &sweep.base,
    }))
}

/// A row with these values of its keys.
pub(super) fn told(values: Map<String, Value>, outcome: &Outcome) -> Value {
    match outcome {
        Outcome::Shot {
            figures,
            verdict,
            cause,
            ..
        } => json!({
            "values": values, "verdict": verdict.map(|v| v.name()), "cause": cause.name(),
            "note": null, "figures": figures
        }),
        Outcome::None(why) => json!({
            "values": values, "verdict": null, "cause": null, "note": why, "figures": null
        }),
    }
}

/// All that decides the rows of a sweep.
///
/// # Errors
/// When a number cannot be written, which finite figures never bring about.
pub fn study(sweep: &Sweep) -> serde_json::Result<Study> {
    let vary = sweep.vary.iter().enumerate().map(|(k, v)| {
        let of = json!({ "order": k + 1, "from": v.from, "to": v.to, "count": v.count });
        (v.address.to_string(), of)
    });
    let vary: serde_json::Map<String, serde_json::Value> = vary.collect();
    Ok(Study::new("sweep", &sweep.base)?.with("vary", vary))
}
