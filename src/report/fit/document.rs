//! What a fit found as a document.

use super::remarks::remarks;
use super::values::{name, shown, spread, unit};
use crate::cautions::SCREEN;
use crate::document::{Blocks, Cell, Document, Table, Tone};
use crate::format::{engineering, milliseconds};
use arcplunge_core::study::fit::{Fit, Setup};

/// The document of a fit.
pub fn document(setup: &Setup, fit: &Fit) -> Document {
    let mut document = Document::of(&setup.case);
    let b = &mut document.blocks;
    let [before, after] = fit.rms.map(|r| engineering(r, "A"));
    let (word, tone) = match fit.failed {
        None => ("fitted", Tone::Good),
        Some(_) => ("not fitted", Tone::Wrong),
    };
    let keys = match setup.free.len() {
        1 => "One key".to_string(),
        n => format!("{n} keys"),
    };
    let rows = setup.trace.time.len();
    let said =
        format!("{keys}, {rows} rows: residual current reduced from {before} to {after} (rms).");
    b.verdict((word.to_string(), tone), word.len() + 3, said);
    b.list(remarks(setup, fit));
    b.gap();
    values(b, setup, fit);
    correlations(b, fit);
    b.gap();
    b.say(
        "Standard errors assume a correct model and a straight baseline; they include the autocorrelation of \
         the residuals, not errors of the model itself.",
    );
    b.say(SCREEN);
    document
}

fn values(b: &mut Blocks, setup: &Setup, fit: &Fit) {
    let head = ["key", "in the case", "fitted", "standard error"];
    let mut table = Table::new("   {:<26} {:>14} {:>14}   {}", head, 1);
    for (k, v) in fit.values.iter().enumerate() {
        let (free, unit) = (setup.free.get(k), unit(&v.name));
        let text = |x: f64| match free {
            Some(free) => shown(free, x),
            // What rounds to none has no sign.
            None if v.name == "trigger" && x.abs() < 5e-7 => milliseconds(0.0),
            None if v.name == "trigger" => milliseconds(x),
            None => engineering(x, unit),
        };
        let error = match (v.error, free) {
            (None, _) if v.at_bound => "fixed, end of range".to_string(),
            (None, _) => "undetermined".to_string(),
            (Some(e), Some(free)) => spread(free, v.value, e),
            (Some(e), None) => engineering(e, unit),
        };
        let start = free.map_or(String::new(), |f| text(f.given));
        table.row([name(&v.name).to_string(), start, text(v.value), error]);
    }
    b.table(table);
}

/// The lower half of the correlations; the heads stand below it.
fn correlations(b: &mut Blocks, fit: &Fit) {
    let Some((_, others)) = fit.values.split_last().filter(|(_, o)| !o.is_empty()) else {
        return;
    };
    b.gap();
    let layout = format!("   {{:<26}}{}", " {:>7}".repeat(others.len()));
    let mut head = vec![Cell::from("correlation of the errors")];
    head.resize(1 + others.len(), Cell::default());
    let mut table = Table::of(layout, head, 1);
    for (a, v) in fit.values.iter().enumerate().skip(1) {
        let row = (0..a).map(|b| format!("{:.3}", fit.correlation[a][b]));
        table.cells(std::iter::once(name(&v.name).to_string()).chain(row));
    }
    let heads = others.iter().map(|v| {
        let last = v.name.rsplit('.').next().unwrap_or("");
        last.chars().take(7).collect::<String>()
    });
    table.cells(std::iter::once(String::new()).chain(heads));
    b.table(table);
}
