//! A fit for programs: one JSON object, SI throughout.

use serde::Serialize;
use serde_json::{Map, Value, json};

use super::remarks::remarks;
use super::values::unit;
use crate::envelope;
use arcplunge_core::study::fit::{Fit, Setup};

/// Where the measured current comes from.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[allow(non_snake_case)] // units included
pub struct Source {
    /// Name of the file.
    pub file: String,
    /// SHA-256 of its bytes.
    pub sha256: String,
    /// Column of the time, by name or number.
    pub time: String,
    /// Unit of the time.
    pub time_unit: String,
    /// Column of the current, by name or number.
    pub current: String,
    /// Current per unit of the file \[A\].
    pub scale_A: f64,
    /// The stretch of time that is fitted; `None` for all.
    pub within: Option<String>,
}

/// The fit as JSON text, with a closing line feed.
///
/// # Errors
/// When a number cannot be written, which finite figures never bring about.
pub fn json(setup: &Setup, fit: &Fit, source: &Source) -> serde_json::Result<String> {
    let values: Vec<Value> = fit
        .values
        .iter()
        .enumerate()
        .map(|(k, v)| {
            let key = setup.free.get(k).map(|f| f.number.dimension.si());
            json!({
                "key": v.name,
                "unit": key.unwrap_or(unit(&v.name)),
                "start": v.start,
                "value": v.value,
                "standard_error": v.error,
                "at_end_of_range": v.at_bound,
                "value_in_case": v.in_case,
            })
        })
        .collect();
    let confused: Vec<Value> = fit
        .confusions
        .iter()
        .map(|c| json!({ "keys": [c.first, c.second], "correlation": c.correlation }))
        .collect();
    let mut out = Map::new();
    out.insert("trace".into(), serde_json::to_value(source)?);
    out.insert("rows".into(), setup.trace.time.len().into());
    out.insert("values".into(), values.into());
    out.insert("correlation".into(), json!(fit.correlation));
    out.insert("not_told_apart".into(), confused.into());
    out.insert("trigger_s".into(), fit.trigger.into());
    out.insert("offset_A".into(), setup.trace.offset.into());
    out.insert("noise_A".into(), json!(setup.trace.quiet.map(|q| q.noise)));
    out.insert(
        "noise_memory_rows".into(),
        json!(setup.trace.quiet.map(|q| q.memory)),
    );
    out.insert("rms_before_A".into(), fit.rms[0].into());
    out.insert("rms_after_A".into(), fit.rms[1].into());
    out.insert("rms_case_A".into(), fit.case_rms.into());
    out.insert("reduced_chi2".into(), json!(fit.chi2));
    out.insert("memory_rows".into(), fit.memory.into());
    out.insert("merged_rows".into(), setup.trace.merged.into());
    out.insert("clipped_rows".into(), setup.trace.clipped.into());
    out.insert("rows_beyond".into(), setup.trace.beyond.into());
    out.insert("fitted".into(), fit.failed.is_none().into());
    out.insert("settled".into(), fit.settled.into());
    let other = fit.other.as_ref().map(|other| {
        let names = fit.values.iter().map(|v| v.name.clone());
        let values = other.values.iter().map(|x| json!(x));
        let values: Map<String, Value> = names.zip(values).collect();
        json!({ "values": values, "rms_A": other.rms })
    });
    out.insert("other_minimum".into(), json!(other));
    out.insert("remarks".into(), json!(remarks(setup, fit)));
    out.insert("case".into(), json!(fit.case));
    envelope::text(&out)
}
