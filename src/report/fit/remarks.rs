//! Cautions about a fit.

use super::values::{name, shown};
use crate::format::{engineering, milliseconds, significant};
use crate::joints;
use arcplunge_core::study::fit::{Confusion, Failed, Fit, Other, SAME_KEY, Setup};

/// Squared residuals over the noise from which on the model does not explain the trace.
const UNEXPLAINED: f64 = 2.0;

/// Autocorrelation time \[rows\] worth mentioning: errors a fifth wider.
const MEMORY: f64 = 1.5;

/// Ratio of the residual's autocorrelation time to that of the noise before the rise from which they differ, and rows of that
/// noise, over the memory, that must show it; no fewer do where that noise has hardly any.
const REMEMBERS: f64 = 4.0;
const HARDLY: f64 = 3.0;

/// Ratio of the peaks from which on the scale is doubted.
const SCALE: f64 = 3.0;

/// Mean of the tail, in its deviations and over the peak, from which on the baseline drifts.
const DRIFTS: f64 = 4.0;
const OFF: f64 = 2e-3;

/// Cautions about the values.
pub fn remarks(setup: &Setup, fit: &Fit) -> Vec<String> {
    let mut out = Vec::new();
    out.extend(scale(setup));
    out.extend(fit.failed.map(failed));
    out.extend(fit.confusions.iter().map(|c| confusion(setup, c)));
    if !fit.settled {
        out.push("The search stopped before it converged: the values are the best so far. Fit fewer keys, or start closer.".into());
    }
    out.extend(fit.other.as_ref().map(|o| other(setup, fit, o)));
    let keys = setup.free.iter().map(|free| free.address.to_string());
    out.extend(joints::varied(keys));
    held(setup, fit, &mut out);
    rows(setup, &mut out);
    if fit.memory >= MEMORY {
        out.push(format!(
            "The residuals are autocorrelated over {} rows; errors are widened by a factor of {}.",
            significant(fit.memory, 2),
            significant(fit.memory.sqrt(), 2)
        ));
    }
    out.extend(left_over(setup, fit));
    out.extend(baseline(setup, fit));
    out
}

fn scale(setup: &Setup) -> Option<String> {
    let [trace, computed] = setup.peaks;
    (!(1.0 / SCALE..=SCALE).contains(&(trace / computed))).then(|| {
        format!(
            "The trace has a peak of {}, the current of the case one of {}: is --scale right?",
            engineering(trace, "A"),
            engineering(computed, "A")
        )
    })
}

fn failed(why: Failed) -> String {
    let why = match why {
        Failed::Baseline => "the baseline reached an end of its range",
        Failed::LeftOver => {
            "the residual is far above the noise, and not small against the current"
        }
    };
    format!(
        "The fit failed: {why}. Scale, time unit, column or case are wrong, or the wrong keys are fitted. Do \
         not use the values."
    )
}

/// Another minimum, with trigger and what it leaves.
fn other(setup: &Setup, fit: &Fit, other: &Other) -> String {
    let list: Vec<String> = fit
        .values
        .iter()
        .zip(&other.values)
        .enumerate()
        .filter_map(|(k, (v, x))| match setup.free.get(k) {
            Some(free) => Some(format!("{} = {}", free.name, shown(free, *x))),
            None if v.name == "trigger" => Some(format!("trigger at {}", milliseconds(*x))),
            None => None,
        })
        .collect();
    format!(
        "Another set of values explains the trace nearly as well: {}; its residual is {} (rms). Give ranges \
         that exclude one of them.",
        list.join(", "),
        engineering(other.rms, "A")
    )
}

/// Values that the trace does not give, and what the fitted case has in their place.
fn held(setup: &Setup, fit: &Fit, out: &mut Vec<String>) {
    let mut loose = false;
    for (v, free) in fit.values.iter().zip(&setup.free) {
        let Some(written) = v.in_case.filter(|_| v.error.is_none() && !v.at_bound) else {
            continue;
        };
        loose = true;
        let has = if written == v.start { "keeps" } else { "has" };
        out.push(format!(
            "The trace does not determine {}: the fitted case {has} {}.",
            v.name,
            shown(free, written)
        ));
    }
    if fit.case_worse {
        out.push(format!(
            "The fitted case has a residual of {} (rms), more than the fit itself: the values it keeps do not suit the trace.",
            engineering(fit.case_rms, "A")
        ));
    } else if loose {
        out.push(format!(
            "The others were fitted again with these values: the fitted case has a residual of {} (rms).",
            engineering(fit.case_rms, "A")
        ));
    }
    for v in fit.values.iter().filter(|v| v.at_bound) {
        out.push(format!(
            "{} reached an end of its range and is fixed there; the other errors assume that value. The true \
             value may lie beyond, or this is the wrong key to fit.",
            name(&v.name)
        ));
    }
}

/// Rows that were not taken as they stand.
fn rows(setup: &Setup, out: &mut Vec<String>) {
    let trace = &setup.trace;
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
fn left_over(setup: &Setup, fit: &Fit) -> Option<String> {
    let Some(quiet) = setup.trace.quiet else {
        return Some("The trace has no quiet rows before the rise: neither offset nor noise could be determined.".into());
    };
    let Some(chi2) = fit.chi2 else {
        return Some("The rows before the rise are all equal: they give the offset, but no noise to compare with.".into());
    };
    let noise = engineering(quiet.noise, "A");
    if chi2 > UNEXPLAINED {
        return Some(format!(
            "The residual is {} times the noise before the rise ({noise}): the model with these keys does not \
             explain the whole trace. Fit another key, or look for something missing in the case.",
            significant(chi2.sqrt(), 2)
        ));
    }
    let shows = quiet.memory < HARDLY || quiet.rows as f64 > REMEMBERS * fit.memory;
    if shows && fit.memory > REMEMBERS * quiet.memory {
        return Some(format!(
            "The residual is {} times the noise before the rise ({noise}), but it is autocorrelated over {} \
             rows, that noise over {}: it is not noise. The model or the scale of the trace is slightly off, \
             and the errors do not cover that.",
            significant(chi2.sqrt(), 3),
            significant(fit.memory, 2),
            significant(quiet.memory, 2)
        ));
    }
    Some(if chi2 > fit.chi2_limit {
        format!(
            "The residual is {} times the noise before the rise ({noise}).",
            significant(chi2.sqrt(), 3)
        )
    } else {
        "The residual does not exceed the noise before the rise.".into()
    })
}

/// Offset and drift of the baseline.
fn baseline(setup: &Setup, fit: &Fit) -> Vec<String> {
    let trace = &setup.trace;
    let mut out = Vec::new();
    if trace.offset != 0.0 {
        let offset = engineering(trace.offset, "A");
        out.push(format!("An offset of {offset} was subtracted."));
    }
    if let (false, Some(quiet), Some(tail)) = (setup.drift, trace.quiet, trace.tail) {
        let rows = 1.0 / quiet.rows as f64 + 1.0 / tail.rows as f64;
        let deviation = quiet.noise * (quiet.memory * rows).sqrt();
        if tail.mean.abs() > DRIFTS * deviation && tail.mean.abs() > OFF * setup.peaks[0] {
            out.push(format!(
                "After the current the trace is offset by {} from the rows before it: the baseline drifts, and \
                 the errors do not cover that. Fit the whole trace, so that the drift is fitted too.",
                engineering(tail.mean, "A")
            ));
        }
    }
    let drift = fit.values.iter().find(|v| v.name == "drift");
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

fn confusion(setup: &Setup, c: &Confusion) -> String {
    let (a, b, r) = (&c.first, &c.second, c.correlation);
    if r.abs() > SAME_KEY {
        let unit = |name: &String| {
            let free = setup.free.iter().find(|f| f.name == *name);
            free.map(|f| f.number.dimension)
        };
        // Keys of two units have no sum.
        let what = match (unit(a), unit(b)) {
            (Some(a), Some(b)) if a == b && r < 0.0 => "their sum",
            (Some(a), Some(b)) if a == b => "their difference",
            _ => "a combination of them",
        };
        return format!(
            "The current alone cannot distinguish {a} and {b}: only {what} is determined. Fix one of them, or \
             measure the voltage across it."
        );
    }
    format!(
        "{a} and {b} are hard to distinguish (correlation {r:.3}): one compensates for an error of the other."
    )
}
