//! A fit for programs: one JSON object, SI throughout.

use serde::Serialize;
use serde_json::{Map, Value, json};

use super::remarks::remarks;
use super::values::unit;
use crate::envelope;
use arcplunge_core::study::fit::{Fit, Record, Seen, Setup};

/// Where a measured discharge comes from.
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
    /// Current per unit of the file, as asked for.
    pub scale: String,
    /// The same \[A\].
    pub scale_A: f64,
    /// Column of the voltage at the weld, by name or number; `None` where none is used.
    pub voltage: Option<String>,
    /// Voltage per unit of the file \[V\].
    pub voltage_scale_V: Option<f64>,
    /// The stretch of time that is fitted; `None` for all.
    pub within: Option<String>,
}

/// The fit as JSON text, with a closing line feed; `sources` are those of the traces, in their order. What belongs to a
/// trace stands at the top for the first, and under `more_traces` for the others.
///
/// # Errors
/// When a number cannot be written, which finite figures never bring about.
pub fn json(setup: &Setup, fit: &Fit, sources: &[Source]) -> serde_json::Result<String> {
    let mut traces = setup.records.iter().zip(&fit.seen).zip(sources);
    let mut traces = traces
        .by_ref()
        .map(|((record, seen), source)| trace(record, seen, source));
    let mut out = traces.next().transpose()?.unwrap_or_default();
    let more: Vec<Value> = traces
        .map(|more| more.map(Value::Object))
        .collect::<Result<_, _>>()?;
    if !more.is_empty() {
        out.insert("more_traces".into(), more.into());
    }
    out.insert("values".into(), values(setup, fit));
    out.insert("held".into(), held(fit));
    out.insert("correlation".into(), json!(fit.correlation));
    let confused: Vec<Value> = fit
        .confusions
        .iter()
        .map(|c| {
            let keys = [c.first, c.second].map(|k| &fit.values[k].name);
            json!({ "keys": keys, "correlation": c.correlation })
        })
        .collect();
    out.insert("not_told_apart".into(), confused.into());
    out.insert("rms_case_A".into(), fit.case_rms.into());
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
    out.insert("case".into(), json!(fit.cases[0]));
    envelope::text(&out)
}

/// What belongs to one trace.
fn trace(record: &Record, seen: &Seen, source: &Source) -> serde_json::Result<Map<String, Value>> {
    let trace = &record.trace;
    let mut out = Map::new();
    out.insert("trace".into(), serde_json::to_value(source)?);
    out.insert("rows".into(), trace.time.len().into());
    out.insert("rows_averaged".into(), trace.averaged.into());
    out.insert("trigger_s".into(), seen.trigger.into());
    out.insert("offset_A".into(), trace.offset.into());
    out.insert("noise_A".into(), json!(trace.quiet.map(|q| q.noise)));
    out.insert("quantum_A".into(), trace.quantum.into());
    let memory = trace.quiet.map(|q| q.memory);
    out.insert("noise_memory_rows".into(), json!(memory));
    out.insert("rms_before_A".into(), seen.rms[0].into());
    out.insert("rms_after_A".into(), seen.rms[1].into());
    out.insert("rms_voltage_V".into(), json!(seen.voltage_rms));
    out.insert("reduced_chi2".into(), json!(seen.chi2));
    out.insert("memory_rows".into(), seen.memory.into());
    out.insert("merged_rows".into(), trace.merged.into());
    out.insert("clipped_rows".into(), trace.clipped.into());
    out.insert("over_range_rows".into(), trace.over_range.into());
    out.insert("rows_beyond".into(), trace.beyond.into());
    Ok(out)
}

fn values(setup: &Setup, fit: &Fit) -> Value {
    let values = fit.values.iter().enumerate().map(|(k, v)| {
        let key = setup.free.get(k).map(|f| f.number.dimension.si());
        json!({
            "key": v.name,
            "trace": v.record.map(|r| r + 1),
            "unit": key.unwrap_or(unit(&v.name)),
            "start": v.start,
            "value": v.value,
            "standard_error": v.error,
            "noise_error": v.noise_error,
            "at_end_of_range": v.at_bound,
            "value_in_case": v.in_case,
        })
    });
    values.collect()
}

/// Keys that were held by their spreads.
fn held(fit: &Fit) -> Value {
    let held = fit.held.iter().map(|h| {
        json!({
            "key": h.name,
            "trace": h.record.map(|r| r + 1),
            "unit": format!("{}{}", h.number().dimension.si(), h.over),
            "value_in_case": h.mean,
            "spread": h.deviation,
            "value": h.value,
            "standard_error": h.error,
            "shares": h.shares,
        })
    });
    held.collect()
}
