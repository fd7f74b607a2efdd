//! What a fit found as a document.

use super::remarks::remarks;
use super::values::{in_trace, name, shown, spread, unit};
use crate::cautions;
use crate::document::{Blocks, Cell, Document, Table, Tone};
use crate::format::{engineering, milliseconds, percent};
use arcplunge_core::study::fit::{Fit, Fitted, Setup};

/// Share of the squared error of a value, and deviations from its place, from which on a key that was held is listed.
const NOTABLE: f64 = 0.05;
const MOVED: f64 = 1.0;

/// A sum of shares above which they must overlap, rounding apart.
const ALL: f64 = 1.01;

/// Most keys listed that were held.
const LISTED: usize = 8;

/// The document of a fit.
pub fn document(setup: &Setup, fit: &Fit) -> Document {
    let mut document = Document::of(setup.case());
    let b = &mut document.blocks;
    let [before, after] = fit.rms().map(|r| engineering(r, "A"));
    let (word, tone) = match fit.failed {
        None => ("fitted", Tone::Good),
        Some(_) => ("not fitted", Tone::Wrong),
    };
    let keys = match setup.free.len() {
        1 => "One key".to_string(),
        n => format!("{n} keys"),
    };
    let rows: usize = setup.records.iter().map(|r| r.trace.time.len()).sum();
    let traces = match setup.records.len() {
        1 => String::new(),
        n => format!("{n} traces, "),
    };
    let said = format!(
        "{keys}, {traces}{rows} rows: residual current reduced from {before} to {after} (rms)."
    );
    b.verdict((word.to_string(), tone), word.len() + 3, said);
    b.list(remarks(setup, fit));
    b.gap();
    values(b, setup, fit);
    held(b, setup, fit);
    correlations(b, setup, fit);
    b.gap();
    b.say(covers(setup));
    cautions::end(b);
    document
}

/// What the standard errors hold.
fn covers(setup: &Setup) -> &'static str {
    if setup.known.is_empty() {
        return "Standard errors assume a correct model, a straight baseline and exact values of all other keys; they \
                include the autocorrelation of the residuals.";
    }
    "Standard errors include noise and its autocorrelation, the spread of the keys that are held and that of the probe; \
     \"noise alone\" is what they would be if those were exact. They assume a correct model and a straight baseline."
}

fn values(b: &mut Blocks, setup: &Setup, fit: &Fit) {
    let head = [
        "key",
        "in the case",
        "fitted",
        "standard error",
        "noise alone",
    ];
    let mut table = Table::new("   {:<24} {:>11} {:>11}   {:<14} {}", head, 1);
    for (k, v) in fit.values.iter().enumerate() {
        let number = setup.free.get(k).map(|f| &f.number);
        let text = |x: f64| match number {
            Some(number) => shown(number, x),
            // What rounds to none has no sign.
            None if v.name == "trigger" && x.abs() < 5e-7 => milliseconds(0.0),
            None if v.name == "trigger" => milliseconds(x),
            None => engineering(x, unit(&v.name)),
        };
        let size = |error: f64| match number {
            Some(number) => spread(number, v.value, error),
            None => engineering(error, unit(&v.name)),
        };
        let error = match v.error {
            None if v.at_bound => "fixed at range end".to_string(),
            None => "undetermined".to_string(),
            Some(error) => size(error),
        };
        let alone = v.noise_error.map_or(String::new(), size);
        let start = setup.free.get(k).map_or(String::new(), |f| text(f.given));
        table.row([name(setup, v), start, text(v.value), error, alone]);
    }
    b.table(table);
}

/// The keys that were held and matter: how well they are known, what fits best, and whose error they make.
fn held(b: &mut Blocks, setup: &Setup, fit: &Fit) {
    let keys = setup.free.len();
    let most = |shares: &[f64]| -> Option<(usize, f64)> {
        let shares = shares.iter().take(keys).copied().enumerate();
        shares
            .filter(|(k, _)| fit.values[*k].error.is_some())
            .max_by(|a, b| a.1.total_cmp(&b.1))
    };
    let mut all: Vec<_> = fit.held.iter().map(|h| (h, most(&h.shares))).collect();
    let share = |most: &Option<(usize, f64)>| most.map_or(0.0, |(_, share)| share);
    all.retain(|(h, most)| share(most) >= NOTABLE || h.away().abs() >= MOVED);
    all.sort_by(|a, b| share(&b.1).total_cmp(&share(&a.1)));
    all.truncate(LISTED);
    if all.is_empty() {
        return;
    }
    let overlap = (0..keys).any(|k| fit.held.iter().map(|h| h.shares[k]).sum::<f64>() > ALL);
    b.gap();
    let head = ["held by its spread", "spread", "fits best", "squared error"];
    let mut table = Table::new("   {:<27} {:>10}  {:>12}   {}", head, 1);
    for (h, most) in all {
        let number = h.number();
        let part = match most {
            Some((k, share)) if share >= NOTABLE => {
                format!("{} of {}", percent(share), short(&fit.values[k]))
            }
            _ => String::new(),
        };
        table.row([
            in_trace(setup, &h.name, h.record),
            spread(number, h.mean, h.deviation),
            shown(number, h.value),
            part,
        ]);
    }
    b.table(table);
    if overlap {
        b.note("A share is what would go if that key alone were exact. What two of them can tell, either takes away: shares overlap, and add up to more than all.");
    }
}

/// The last word of a key.
fn short(v: &Fitted) -> &str {
    v.name.rsplit('.').next().unwrap_or(&v.name)
}

/// The lower half of the correlations; the heads stand below it.
fn correlations(b: &mut Blocks, setup: &Setup, fit: &Fit) {
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
        table.cells(std::iter::once(name(setup, v)).chain(row));
    }
    let heads = others
        .iter()
        .map(|v| short(v).chars().take(7).collect::<String>());
    table.cells(std::iter::once(String::new()).chain(heads));
    b.table(table);
}
