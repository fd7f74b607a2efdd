//! Cautions about the traces themselves: rows left out, noise, baseline.

use crate::format::{engineering, grouped, significant};
use arcplunge_core::study::fit::{Fit, Fitted, Record, Seen, Setup};

/// Squared residuals over the noise from which on the model does not explain the trace.
const UNEXPLAINED: f64 = 2.0;

/// Autocorrelation time \[rows\] worth mentioning: errors a fifth wider.
const MEMORY: f64 = 1.5;

/// Ratio of the residual's autocorrelation time to that of the noise before the rise from which they differ, and rows of that
/// noise, over the memory, that must show it; no fewer do where that noise has hardly any.
const REMEMBERS: f64 = 4.0;
const HARDLY: f64 = 3.0;

/// Mean of the tail, in its deviations and over the peak, from which on the baseline drifts.
const DRIFTS: f64 = 4.0;
const OFF: f64 = 2e-3;

/// A step of the digitizer over the noise from which on it is told: below, noise blurs it.
const COARSE: f64 = 1.0;

/// Peaks of trace and case that are far apart.
pub fn scale(setup: &Setup) -> Vec<String> {
    let wrong = setup.records.iter().filter(|record| record.apart());
    let said = wrong.map(|record| {
        let [trace, computed] = record.peaks.map(|peak| engineering(peak, "A"));
        format!("The trace has a peak of {trace}, the current of the case one of {computed}: is --scale right?")
    });
    said.collect()
}

/// Cautions about each trace, by its number where there are several.
pub(super) fn remarks(setup: &Setup, fit: &Fit, out: &mut Vec<String>) {
    for (r, (record, seen)) in setup.records.iter().zip(&fit.seen).enumerate() {
        let mut said = Vec::new();
        rows(record, &mut said);
        if seen.memory >= MEMORY {
            said.push(format!(
                "The residuals are autocorrelated over {} rows; errors are widened by a factor of {}.",
                significant(seen.memory, 2),
                significant(seen.memory.sqrt(), 2)
            ));
        }
        said.extend(step(record));
        said.extend(left_over(record, seen));
        let own: Vec<&Fitted> = fit.values.iter().filter(|v| v.record == Some(r)).collect();
        said.extend(baseline(record, &own));
        out.extend(said.into_iter().map(|text| match setup.records.len() {
            1 => text,
            _ => format!("Trace {}: {text}", r + 1),
        }));
    }
}

/// Steps of the digitizer that noise does not blur.
fn step(record: &Record) -> Option<String> {
    let trace = &record.trace;
    let noise = trace.quiet?.noise * (trace.averaged as f64).sqrt();
    (trace.quantum > COARSE * noise).then(|| {
        format!(
            "The current is digitised in steps of {}, more than its noise: each row counts with the error of a step, \
             {} (a step over √12).",
            engineering(trace.quantum, "A"),
            engineering(trace.quantum / 12f64.sqrt(), "A")
        )
    })
}

/// Rows that were not taken as they stand.
fn rows(record: &Record, out: &mut Vec<String>) {
    let trace = &record.trace;
    if trace.averaged > 1 {
        out.push(format!(
            "The file has more rows than a fit can use: {} rows each were averaged; the noise is that of the means.",
            grouped(trace.averaged as f64)
        ));
    }
    if trace.over_range > 0 {
        out.push(format!(
            "{} rows with a mark for over-range in place of a number were excluded. Record with more headroom.",
            trace.over_range
        ));
    }
    if trace.thousands > 0 {
        out.push(format!(
            "{} numbers were read with their thousands set apart, as in \"1,234.5\".",
            trace.thousands
        ));
    }
    if !trace.beside.is_empty() {
        let columns: Vec<String> = trace.beside.iter().map(|k| (k + 1).to_string()).collect();
        out.push(format!(
            "Columns with notes beside the first rows were skipped: {}.",
            columns.join(", ")
        ));
    }
    if trace.clipped > 0 {
        out.push(format!(
            "The trace is clipped at full scale: {} rows were excluded. Record with more headroom.",
            trace.clipped
        ));
    }
    if trace.beyond > 0 {
        out.push(format!(
            "{} rows long before or after the current were excluded.",
            trace.beyond
        ));
    }
    if trace.merged > 0 {
        out.push(format!(
            "{} rows with the same time as the row before were averaged with it.",
            trace.merged
        ));
    }
}

/// What is left, beside the noise before the rise.
fn left_over(record: &Record, seen: &Seen) -> Option<String> {
    if record.noiseless(seen.rms[1]) {
        return Some("The trace has no noise, as if it were computed: each row counts with an error of 10⁻⁵ of the peak, as no probe has less.".into());
    }
    let trace = &record.trace;
    let Some(quiet) = trace.quiet else {
        return Some("The trace has no quiet rows before the rise: neither offset nor noise could be determined.".into());
    };
    let Some(chi2) = seen.chi2 else {
        return Some("The rows before the rise are all equal: they give the offset, but no noise to compare with.".into());
    };
    let noise = engineering(quiet.noise.max(trace.row_quantum()), "A");
    if chi2 > UNEXPLAINED {
        return Some(format!(
            "The residual is {} times the noise before the rise ({noise}): the model with these keys does not \
             explain the whole trace. Fit another key, or look for something missing in the case.",
            significant(chi2.sqrt(), 2)
        ));
    }
    let shows = quiet.memory < HARDLY || quiet.rows as f64 > REMEMBERS * seen.memory;
    if shows && seen.memory > REMEMBERS * quiet.memory {
        return Some(format!(
            "The residual is {} times the noise before the rise ({noise}), but it is autocorrelated over {} \
             rows, that noise over {}: it is not noise. The model or the scale of the trace is slightly off, \
             and the errors do not cover that.",
            significant(chi2.sqrt(), 3),
            significant(seen.memory, 2),
            significant(quiet.memory, 2)
        ));
    }
    Some(if chi2 > seen.chi2_limit {
        format!(
            "The residual is {} times the noise before the rise ({noise}).",
            significant(chi2.sqrt(), 3)
        )
    } else {
        "The residual does not exceed the noise before the rise.".into()
    })
}

/// Offset and drift of the baseline.
fn baseline(record: &Record, values: &[&Fitted]) -> Vec<String> {
    let trace = &record.trace;
    let mut out = Vec::new();
    if trace.offset != 0.0 {
        let offset = engineering(trace.offset, "A");
        out.push(format!("An offset of {offset} was subtracted."));
    }
    if let (false, Some(quiet), Some(tail)) = (record.drift, trace.quiet, trace.tail) {
        let rows = 1.0 / quiet.rows as f64 + 1.0 / tail.rows as f64;
        let deviation = quiet.noise * (quiet.memory * rows).sqrt();
        if tail.mean.abs() > DRIFTS * deviation && tail.mean.abs() > OFF * record.peaks[0] {
            out.push(format!(
                "After the current the trace is offset by {} from the rows before it: the baseline drifts, and \
                 the errors do not cover that. Fit the whole trace, so that the drift is fitted too.",
                engineering(tail.mean, "A")
            ));
        }
    }
    let drift = values.iter().find(|v| v.name == "drift");
    if let Some((value, error)) = drift.and_then(|v| Some((v.value, v.error?)))
        && value.abs() > DRIFTS * error
    {
        out.push(format!(
            "The baseline drifts by {} over the current; the drift was fitted too.",
            engineering(value * trace.width, "A")
        ));
    }
    out
}
