//! A fit for programs: one JSON object, SI throughout.

use serde_json::{Map, Value, json};

use super::remarks::remarks;
use crate::report::cautions;
use crate::study::fit::{Fit, Setup};

/// The fit as JSON.
pub fn json(setup: &Setup, fit: &Fit) -> Value {
    let values: Vec<Value> = fit
        .values
        .iter()
        .enumerate()
        .map(|(k, v)| {
            let other = if v.name == "offset" { "A" } else { "s" };
            let unit = setup.free.get(k).map_or(other, |f| f.number.dimension.si());
            json!({
                "key": v.name,
                "unit": unit,
                "start": v.start,
                "value": v.value,
                "standard_error": v.error,
                "at_end_of_range": v.at_bound,
            })
        })
        .collect();
    let correlation: Vec<Vec<f64>> = fit
        .correlation
        .row_iter()
        .map(|r| r.iter().copied().collect())
        .collect();
    let confused: Vec<Value> = fit
        .confusions
        .iter()
        .map(|c| json!({ "keys": [c.first, c.second], "correlation": c.correlation }))
        .collect();
    let mut out = Map::new();
    out.insert("version".into(), env!("CARGO_PKG_VERSION").into());
    out.insert("rows".into(), setup.trace.time.len().into());
    out.insert("values".into(), values.into());
    out.insert("correlation".into(), json!(correlation));
    out.insert("not_told_apart".into(), confused.into());
    out.insert("trigger_s".into(), fit.trigger.into());
    out.insert("offset_A".into(), setup.trace.offset.into());
    out.insert("noise_A".into(), json!(setup.trace.quiet.map(|q| q.noise)));
    out.insert("rms_before_A".into(), fit.rms[0].into());
    out.insert("rms_after_A".into(), fit.rms[1].into());
    out.insert("reduced_chi2".into(), json!(fit.chi2));
    out.insert("memory_rows".into(), fit.memory.into());
    out.insert("clipped_rows".into(), setup.trace.clipped.into());
    out.insert("rows_beyond".into(), setup.trace.beyond.into());
    out.insert("settled".into(), fit.settled.into());
    out.insert("other_minimum".into(), json!(fit.other));
    out.insert("remarks".into(), json!(remarks(setup, fit)));
    out.insert("case".into(), json!(fit.case));
    out.insert("cautions".into(), json!(cautions::all()));
    Value::Object(out)
}
