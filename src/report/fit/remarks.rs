//! What one should know before one believes a fit.

use super::page::shown;
use crate::report::format::{engineering, significant};
use crate::study::fit::{Confusion, Fit, Fitted, Setup};

/// Squared residuals over the noise from which on the model does not explain the trace.
const UNEXPLAINED: f64 = 2.0;

/// Memory \[rows\] from which on it is worth a word: errors a fifth wider.
const MEMORY: f64 = 1.5;

/// An unknown as the page calls it.
pub(super) fn name(v: &Fitted) -> &str {
    match v.name.as_str() {
        "trigger" => "trigger in the trace",
        "offset" => "offset left in it",
        key => key,
    }
}

/// What one should know before one believes the values.
pub fn remarks(setup: &Setup, fit: &Fit) -> Vec<String> {
    let mut out: Vec<String> = fit.confusions.iter().map(|c| confusion(setup, c)).collect();
    if !fit.settled {
        out.push("The search stopped before it came to rest: the values are the best so far. Free fewer keys, or begin nearer.".into());
    }
    if let Some(other) = &fit.other {
        let list: Vec<String> = setup
            .free
            .iter()
            .zip(other)
            .map(|(free, x)| format!("{} = {}", free.name, shown(free, *x)))
            .collect();
        out.push(format!(
            "Another set of values explains the trace nearly as well: {}. Give ranges that tell which is meant.",
            list.join(", ")
        ));
    }
    for (v, free) in fit.values.iter().zip(&setup.free) {
        if v.error.is_none() {
            out.push(format!(
                "{} is not settled by the trace: the fitted case keeps {}.",
                v.name,
                shown(free, v.start)
            ));
        }
    }
    if setup.trace.clipped > 0 {
        out.push(format!(
            "The top is flat, cut off at full scale: {} rows of it were left out. Record with more room.",
            setup.trace.clipped
        ));
    }
    if setup.trace.beyond > 0 {
        out.push(format!(
            "{} rows long before or after the current were left out.",
            setup.trace.beyond
        ));
    }
    if fit.memory >= MEMORY {
        out.push(format!(
            "What is left has a memory of {} rows; errors are widened by {}.",
            significant(fit.memory, 2),
            significant(fit.memory.sqrt(), 2)
        ));
    }
    for v in fit.values.iter().filter(|v| v.at_bound) {
        out.push(format!(
            "{} ran to an end of its range: the true value may lie beyond, or the key is the wrong one to free.",
            name(v)
        ));
    }
    let noise = setup.trace.quiet.map(|q| engineering(q.noise, "A"));
    match (noise, fit.chi2) {
        (Some(noise), Some(chi2)) if chi2 > UNEXPLAINED => out.push(format!(
            "What is left is {} times the noise before the rise ({noise}): the model with these keys does not \
             explain all of the trace. Free another key, or look for what the case leaves out.",
            significant(chi2.sqrt(), 2)
        )),
        (Some(noise), Some(chi2)) if chi2 > fit.chi2_limit => out.push(format!(
            "What is left is {} times the noise before the rise ({noise}).",
            significant(chi2.sqrt(), 3)
        )),
        (Some(_), Some(_)) => out.push("What is left is no more than the noise before the rise.".into()),
        (Some(_), None) => out.push(
            "The rows before the rise are all equal: they give the offset, but no noise to compare with.".into(),
        ),
        (None, _) => out.push(
            "The trace has no quiet stretch before the rise: neither offset nor noise could be taken from it.".into(),
        ),
    }
    if setup.trace.offset != 0.0 {
        out.push(format!(
            "An offset of {} was taken off.",
            engineering(setup.trace.offset, "A")
        ));
    }
    out
}

fn confusion(setup: &Setup, c: &Confusion) -> String {
    let (a, b, r) = (&c.first, &c.second, c.correlation);
    if r.abs() > 0.9999 {
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
            "{a} and {b} cannot be told apart from the current alone: only {what} is settled. Hold one \
             of them, or measure the voltage across it."
        );
    }
    format!(
        "{a} and {b} are hard to tell apart (correlation {r:.3}): an error of one is made good by the other."
    )
}
