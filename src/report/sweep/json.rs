//! The rows of a sweep for programs: one JSON object, SI throughout.

use serde_json::{Map, Value, json};

use crate::envelope;
use arcplunge_core::study::sweep::{Outcome, Row, Sweep};

/// The rows as JSON text, with a closing line feed.
///
/// # Errors
/// When a number cannot be written, which finite figures never bring about.
pub fn json(sweep: &Sweep, rows: &[Row]) -> serde_json::Result<String> {
    let row = |row: &Row| {
        let keys = sweep.vary.iter().map(|v| v.address.to_string());
        let values: Map<String, Value> = keys.zip(row.values.iter().map(|v| json!(v))).collect();
        match &row.outcome {
            Outcome::Shot {
                figures,
                verdict,
                cause,
            } => {
                json!({"values": values, "verdict": verdict.map(|v| v.name()), "cause": cause.name(),
                        "note": null, "figures": figures})
            }
            Outcome::None(why) => {
                json!({"values": values, "verdict": null, "cause": null, "note": why,
                                         "figures": null})
            }
        }
    };
    envelope::text(&json!({
        "rows": rows.iter().map(row).collect::<Vec<_>>(),
        "case": &sweep.base,
    }))
}
