//! Cautions about a fit.

use super::traces;
use super::values::{in_trace, name, shown, spread};
use crate::format::{engineering, milliseconds, percent, significant};
use crate::joints;
use arcplunge_core::study::fit::{Confusion, Failed, Fit, Other, SAME_KEY, Setup};

/// Deviations from its place in the case from which on a key that was held is doubted.
const DOUBTED: f64 = 3.0;

/// Share of the squared error of a key that is worth a word.
const MOSTLY: f64 = 0.5;

/// Standard errors from which on a key has changed from one trace to another.
const CHANGED: f64 = 3.0;

/// Cautions about the values.
pub fn remarks(setup: &Setup, fit: &Fit) -> Vec<String> {
    let mut out = Vec::new();
    out.extend(traces::scale(setup));
    out.extend(fit.failed.map(failed));
    out.extend(fit.confusions.iter().map(|c| confusion(setup, fit, c)));
    if !fit.settled {
        out.push("The search stopped before it converged: the values are the best so far. Fit fewer keys, or start closer.".into());
    }
    out.extend(fit.other.as_ref().map(|o| other(setup, fit, o)));
    out.extend(changes(setup, fit));
    let keys = setup.free.iter().map(|free| free.address.to_string());
    out.extend(joints::varied(keys));
    loose(setup, fit, &mut out);
    held(setup, fit, &mut out);
    traces::remarks(setup, fit, &mut out);
    out
}

/// What changed between the first trace and each other.
fn changes(setup: &Setup, fit: &Fit) -> Vec<String> {
    let mut out = Vec::new();
    for (a, first) in setup.free.iter().enumerate() {
        let others = setup.free.iter().enumerate();
        let same = others.filter(|(_, o)| o.name == first.name && o.record > first.record);
        for (b, other) in same.filter(|_| first.record == Some(0)) {
            let Some((change, error)) = fit.change(a, b) else {
                continue;
            };
            let number = &first.number;
            let from = fit.values[a].value;
            let [size, error_text] = [change, error].map(|x| spread(number, from, x));
            let to = other.record.map_or(0, |r| r + 1);
            out.push(if change.abs() < CHANGED * error {
                format!(
                    "{} is the same in traces 1 and {to} as far as they tell: it differs by {size}, with a standard error of {error_text}.",
                    first.name
                )
            } else {
                let word = if change > 0.0 { "rose" } else { "fell" };
                format!(
                    "{} {word} by {size} from trace 1 to trace {to}, with a standard error of {error_text}: it has drifted.",
                    first.name
                )
            });
        }
    }
    out
}

/// Keys that are held: which make the errors, and which do not suit the trace.
fn held(setup: &Setup, fit: &Fit, out: &mut Vec<String>) {
    for h in fit.held.iter().filter(|h| h.away().abs() >= DOUBTED) {
        let number = h.number();
        out.push(format!(
            "The trace fits best with {} = {}, {} times its spread away from the {} of the case: check that value, or \
             what measured the trace.",
            in_trace(setup, &h.name, h.record),
            shown(number, h.value),
            significant(h.away().abs(), 2),
            shown(number, h.mean)
        ));
    }
    for (k, v) in fit.values.iter().take(setup.free.len()).enumerate() {
        let most = fit
            .held
            .iter()
            .max_by(|a, b| a.shares[k].total_cmp(&b.shares[k]));
        let Some((h, error)) = most.filter(|h| h.shares[k] >= MOSTLY).zip(v.error) else {
            continue;
        };
        let (number, known) = (&setup.free[k].number, h.number());
        out.push(format!(
            "{} of the squared error of {} is due to {}, known to {}: with that exact it would be {}, not {}.",
            percent(h.shares[k]),
            name(setup, v),
            in_trace(setup, &h.name, h.record),
            spread(known, h.mean, h.deviation),
            spread(number, v.value, error * (1.0 - h.shares[k]).max(0.0).sqrt()),
            spread(number, v.value, error)
        ));
    }
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
            Some(free) => Some(format!("{} = {}", name(setup, v), shown(&free.number, *x))),
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
fn loose(setup: &Setup, fit: &Fit, out: &mut Vec<String>) {
    let mut loose = false;
    for (v, free) in fit.values.iter().zip(&setup.free) {
        let Some(written) = v.in_case.filter(|_| v.error.is_none() && !v.at_bound) else {
            continue;
        };
        loose = true;
        let has = if written == v.start { "keeps" } else { "has" };
        out.push(format!(
            "The trace does not determine {}: the fitted case {has} {}.",
            name(setup, v),
            shown(&free.number, written)
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
            name(setup, v)
        ));
    }
}

fn confusion(setup: &Setup, fit: &Fit, c: &Confusion) -> String {
    let [a, b] = [c.first, c.second].map(|k| name(setup, &fit.values[k]));
    let r = c.correlation;
    if r.abs() > SAME_KEY {
        let unit = |k: usize| setup.free.get(k).map(|f| f.number.dimension);
        // Keys of two units have no sum.
        let what = match (unit(c.first), unit(c.second)) {
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
