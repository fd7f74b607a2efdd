//! What a fit found, on a terminal.

use super::remarks::{name, remarks};
use crate::cautions::SCREEN;
use crate::format::{engineering, milliseconds};
use crate::terminal::Sheet;
use arcplunge_core::case::quantity::number;
use arcplunge_core::study::fit::{Fit, Free, Setup};

/// The page. Colour only where asked for.
pub fn page(setup: &Setup, fit: &Fit, color: bool) -> String {
    let mut sheet = Sheet::new(color);
    sheet.heading(&setup.case);
    let [before, after] = fit.rms.map(|r| engineering(r, "A"));
    let (word, code) = match fit.failed {
        None => ("fitted", "1;32"),
        Some(_) => ("not fitted", "1;31"),
    };
    let indent = word.len() + 3;
    let word = sheet.paint(word, code);
    let said = format!(
        "{} to {} rows: what is left of the current fell from {before} to {after} (rms).",
        match setup.free.len() {
            1 => "One key".to_string(),
            n => format!("{n} keys"),
        },
        setup.trace.time.len()
    );
    sheet.indented(&said, &format!("{word}   "), indent);
    for remark in remarks(setup, fit) {
        sheet.indented(&remark, "  - ", 4);
    }
    sheet.line("");
    sheet.line(format!(
        "   {:<26} {:>14} {:>14}   {}",
        "key", "in the case", "fitted", "standard error"
    ));
    for (k, v) in fit.values.iter().enumerate() {
        let unit = unit(&v.name);
        let text = |x: f64| match setup.free.get(k) {
            Some(free) => shown(free, x),
            // What rounds to none has no sign.
            None if v.name == "trigger" && x.abs() < 5e-7 => milliseconds(0.0),
            None if v.name == "trigger" => milliseconds(x),
            None => engineering(x, unit),
        };
        let error = match (v.error, setup.free.get(k)) {
            (None, _) if v.at_bound => "held, end of range".to_string(),
            (None, _) => "not settled".to_string(),
            (Some(e), Some(free)) => spread(free, v.value, e),
            (Some(e), None) => engineering(e, unit),
        };
        let start = setup.free.get(k).map_or(String::new(), |f| text(f.given));
        sheet.line(format!(
            "   {:<26} {start:>14} {:>14}   {error}",
            name(&v.name),
            text(v.value)
        ));
    }
    correlations(&mut sheet, fit);
    sheet.line("");
    sheet.paragraph(
        "Standard errors hold if the model is right and the baseline straight; the memory of what is left is in \
         them, an error of the model itself is not.",
    );
    sheet.paragraph(SCREEN);
    sheet.text
}

/// Unit \[SI\] of an unknown that is no key.
pub(super) fn unit(name: &str) -> &'static str {
    match name {
        "offset" => "A",
        "drift" => "A/s",
        _ => "s",
    }
}

/// Number and unit of a value as the case writes it.
fn parts(free: &Free, x: f64) -> (f64, String) {
    let text = free.text(x);
    let (number, unit) = text.split_once(' ').unwrap_or((&text, ""));
    (number.parse().unwrap_or(x), unit.to_string())
}

/// A value to four digits in its own unit.
pub(super) fn shown(free: &Free, x: f64) -> String {
    let (value, unit) = parts(free, x);
    format!("{} {unit}", number(value, 4))
        .trim_end()
        .to_string()
}

/// An error to two digits in the unit of its value; a difference, so that a unit with another zero has no say.
fn spread(free: &Free, value: f64, error: f64) -> String {
    let ((a, unit), (b, _)) = (parts(free, value), parts(free, value + error));
    format!("{} {unit}", number((b - a).abs(), 2))
        .trim_end()
        .to_string()
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
        sheet.line(format!("   {:<26}{row}", name(&v.name)));
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
