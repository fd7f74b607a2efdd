//! What a fit found, on a terminal.

use crate::report::cautions::SCREEN;
use crate::report::format::{engineering, milliseconds, significant};
use crate::report::sheet::Sheet;
use crate::study::fit::{Confusion, Fit, Fitted, Setup};

/// Squared residuals over the noise from which on the model does not explain the trace.
const UNEXPLAINED: f64 = 2.0;

/// The page. Colour only where asked for.
pub fn page(setup: &Setup, fit: &Fit, color: bool) -> String {
    let mut sheet = Sheet::new(color);
    sheet.heading(&setup.case);
    let [before, after] = fit.rms.map(|r| engineering(r, "A"));
    let word = sheet.paint("fitted", "1;32");
    let said = format!(
        "{} to {} rows: what is left of the current fell from {before} to {after} (rms).",
        match setup.free.len() {
            1 => "One key".to_string(),
            n => format!("{n} keys"),
        },
        setup.trace.time.len()
    );
    sheet.indented(&said, &format!("{word}   "), 9);
    for remark in remarks(setup, fit) {
        sheet.indented(&remark, "  - ", 4);
    }
    sheet.line("");
    sheet.line(format!(
        "   {:<26} {:>14} {:>14}   {}",
        "key", "in the case", "fitted", "standard error"
    ));
    for (k, v) in fit.values.iter().enumerate() {
        let text = |x: f64| match setup.free.get(k) {
            Some(free) => free.text(round(x)),
            None if v.name == "offset" => engineering(x, "A"),
            None => milliseconds(x),
        };
        let error = match (v.error, setup.free.get(k)) {
            (None, _) => "not settled".to_string(),
            (Some(e), Some(free)) => free.text(format!("{e:.1e}").parse().unwrap_or(e)),
            (Some(e), None) => engineering(e, if v.name == "offset" { "A" } else { "s" }),
        };
        let bound = if v.at_bound {
            ", at the end of its range"
        } else {
            ""
        };
        let start = if k < setup.free.len() {
            text(v.start)
        } else {
            String::new()
        };
        sheet.line(format!(
            "   {:<26} {start:>14} {:>14}   {error}{bound}",
            name(v),
            text(v.value)
        ));
    }
    correlations(&mut sheet, fit);
    sheet.line("");
    sheet.paragraph(
        "Standard errors hold if the model is right and what is left is noise without memory; an \
         error of the model itself is not in them.",
    );
    sheet.paragraph(SCREEN);
    sheet.text
}

fn name(v: &Fitted) -> &str {
    match v.name.as_str() {
        "trigger" => "trigger in the trace",
        "offset" => "offset left in it",
        key => key,
    }
}

/// Four digits.
fn round(x: f64) -> f64 {
    format!("{x:.3e}").parse().unwrap_or(x)
}

/// What one should know before one believes the values.
pub fn remarks(setup: &Setup, fit: &Fit) -> Vec<String> {
    let mut out: Vec<String> = fit.confusions.iter().map(confusion).collect();
    for v in fit.values.iter().filter(|v| v.at_bound) {
        out.push(format!(
            "{} ran to an end of its range: the true value may lie beyond, or the key is the wrong one to free.",
            name(v)
        ));
    }
    match fit.chi2 {
        Some(chi2) if chi2 > UNEXPLAINED => out.push(format!(
            "What is left is {} times the noise before the rise ({}): the model with these keys does not \
             explain all of the trace. Free another key, or look for what the case leaves out.",
            significant(chi2.sqrt(), 2),
            engineering(setup.trace.noise.unwrap_or(0.0), "A")
        )),
        Some(_) => out.push("What is left is no more than the noise before the rise.".into()),
        None => out.push(
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

fn confusion(c: &Confusion) -> String {
    let (a, b, r) = (&c.first, &c.second, c.correlation);
    if r.abs() > 0.9999 {
        let what = if r < 0.0 { "sum" } else { "difference" };
        return format!(
            "{a} and {b} cannot be told apart from the current alone: only their {what} is settled. Hold one \
             of them, or measure the voltage across it."
        );
    }
    format!(
        "{a} and {b} are hard to tell apart (correlation {r:.3}): an error of one is made good by the other."
    )
}

fn correlations(sheet: &mut Sheet, fit: &Fit) {
    if fit.values.len() < 2 {
        return;
    }
    sheet.line("");
    sheet.line("   correlation of the errors");
    for (a, v) in fit.values.iter().enumerate().skip(1) {
        let row: String = (0..a)
            .map(|b| format!(" {:>7.3}", fit.correlation[(a, b)]))
            .collect();
        sheet.line(format!("   {:<26}{row}", name(v)));
    }
    let heads: String = fit.values[..fit.values.len() - 1]
        .iter()
        .map(|v| {
            let short: String = v
                .name
                .rsplit('.')
                .next()
                .unwrap_or("")
                .chars()
                .take(7)
                .collect();
            format!(" {short:>7}")
        })
        .collect();
    sheet.line(format!("   {:<26}{heads}", ""));
}
