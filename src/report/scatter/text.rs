//! A scattered weld on a terminal: shares of the verdicts, quantiles, what moves the fill.

use super::{counted, how, movers};
use crate::cautions::SCREEN;
use crate::format::bar;
use crate::quantity::{scale, text, words};
use crate::terminal::{Sheet, WIDTH, verdict};
use arcplunge_core::simulation::verdict::{Cause, Verdict};
use arcplunge_core::study::intervals::Share;
use arcplunge_core::study::scatter::Scatter;
use arcplunge_core::study::scatter::summary::Summary;

/// Most keys listed as movers.
const MOVERS: usize = 8;

/// Columns of a bar, of a figure's name, of a quantile.
const BAR: usize = 20;
const NAME: usize = 22;
const CELL: usize = 17;

/// A correlation below this may well be none.
const WEAK: f64 = 0.05;

/// The page. Colour only where asked for.
pub fn page(scatter: &Scatter, summary: &Summary, show: &[&'static str], color: bool) -> String {
    let mut sheet = Sheet::new(color);
    sheet.heading(&scatter.base);
    sheet.paragraph(&format!("{}, 95 % intervals", how(scatter, summary)));
    sheet.line("");
    verdicts(summary, &mut sheet);
    if summary.no_case > 0 {
        let why = summary.no_case_why.as_deref().unwrap_or_default();
        sheet.paragraph(&format!(
            "{} more draws make no case, as: {why}",
            counted(summary.no_case)
        ));
        sheet.line("");
    }
    figures(summary, show, &mut sheet);
    if let Some(first) = show.first() {
        moves(scatter, summary, first, &mut sheet);
    }
    drawn(scatter, &mut sheet);
    sheet.line("");
    sheet.paragraph(
        "Shares: Wilson's intervals; quantiles: intervals by rank. Both are made for independent \
         shots and are wide for Sobol points, and neither knows what the model leaves out.",
    );
    sheet.paragraph(SCREEN);
    sheet.cautions();
    sheet.text
}

fn verdicts(summary: &Summary, sheet: &mut Sheet) {
    let Some(reject) = summary.reject() else {
        sheet.line("   discharge test: no weld to judge");
        sheet.line("");
        return;
    };
    for v in Verdict::ALL {
        if let Some(share) = summary.share(v) {
            let (name, code) = verdict(Some(v));
            let padded = format!("{name:<13}");
            let name = sheet.paint(&padded, code);
            let line = row(share);
            sheet.line(format!("   {name}{line}  {}", bar(share.share, BAR)));
        }
    }
    sheet.line(format!("   {:<13}{}", "not sound", row(reject)));
    sheet.line("");
    let rejects: Vec<String> = summary
        .causes()
        .into_iter()
        .filter(|(cause, _)| *cause != Cause::Filled)
        .take(4)
        .map(|(cause, n)| format!("{} {}", cause.name(), counted(n)))
        .collect();
    if !rejects.is_empty() {
        sheet.paragraph(&format!("why not sound: {}", rejects.join(", ")));
        sheet.line("");
    }
}

fn row(share: Share) -> String {
    format!(
        "{:>11} {:>9}  {:<18}",
        counted(share.count),
        part(share.share),
        format!("{} to {}", bare(share.low), part(share.high))
    )
}

/// A share in per cent, to three digits and at most three decimals.
fn part(share: f64) -> String {
    format!("{} %", bare(share))
}

fn bare(share: f64) -> String {
    let p = 100.0 * share;
    let digits = match p {
        p if p <= 0.0 => return "0".into(),
        p if p >= 99.9995 => return "100".into(),
        p if p >= 99.0 => 3,
        p if p >= 10.0 => 1,
        p if p >= 0.1 => 2,
        _ => 3,
    };
    format!("{p:.digits$}")
}

fn figures(summary: &Summary, show: &[&'static str], sheet: &mut Sheet) {
    let head = ["5 %", "median", "95 %"].map(|h| format!("{h:<CELL$}"));
    sheet.line(format!("   {:<NAME$} {}", "figures", head.join(" ")));
    for name in show {
        let Some(sketch) = summary.figure(name) else {
            continue;
        };
        let shares = [0.05, 0.5, 0.95];
        let found = shares.map(|share| sketch.quantile(share));
        let values = found.map(|q| q.map_or("–".into(), |q| text(name, Some(q.value))));
        let ends = found.map(|q| {
            q.map_or(String::new(), |q| match q.low.zip(q.high) {
                Some((low, high)) => span(name, q.value, low, high),
                None => "too few shots".into(),
            })
        });
        let named = words(name);
        let word = if named.name.len() > NAME {
            named.short
        } else {
            named.name
        };
        let line = |first: &str, cells: [String; 3]| {
            let cells = cells.map(|cell| format!("{cell:<CELL$}"));
            format!("   {first:<NAME$} {}", cells.join(" "))
        };
        sheet.line(line(word, values).trim_end());
        sheet.line(line("", ends).trim_end());
    }
    sheet.line("");
}

/// An interval, which may lie askew about its value: `139 to 141`, in the unit of the value, to a digit more than tells
/// its ends apart.
fn span(name: &'static str, value: f64, low: f64, high: f64) -> String {
    let (scale, zero) = scale(name, value);
    let [low, high] = [low, high].map(|end| (end - zero) / scale);
    // Two digits of the width.
    let width = (high - low).abs();
    let digits = match width {
        w if w > 0.0 => (1.0 - w.log10().floor()).clamp(0.0, 6.0) as usize,
        _ => 2,
    };
    format!("{low:.digits$} to {high:.digits$}").replace('-', "−")
}

fn moves(scatter: &Scatter, summary: &Summary, figure: &'static str, sheet: &mut Sheet) {
    let all = movers(summary, figure);
    if all.is_empty() {
        return;
    }
    sheet.line(format!(
        "   what moves the {} most (rank correlation)",
        words(figure).name
    ));
    let strong = all.iter().filter(|(_, r)| r.abs() >= WEAK).take(MOVERS);
    for (k, r) in strong {
        let key = scatter.draws[*k].address().to_string();
        let sign = if *r < 0.0 { '−' } else { '+' };
        sheet.line(format!(
            "   {key:<34} {sign}{:.2}  {}",
            r.abs(),
            bar(r.abs(), BAR)
        ));
    }
    sheet.line("");
}

fn drawn(scatter: &Scatter, sheet: &mut Sheet) {
    let keys = scatter.draws.iter().map(|d| d.address().to_string());
    let keys: Vec<String> = keys.collect();
    let wide = keys
        .iter()
        .map(|k| k.chars().count())
        .max()
        .unwrap_or(0)
        .max(5);
    sheet.line(format!("   {:<wide$}  {:<12} spread", "drawn", "about"));
    for (key, draw) in keys.iter().zip(&scatter.draws) {
        let spread = draw.tolerance.spread.words(&draw.number);
        let own = if draw.tolerance.usual { "" } else { ", own" };
        let head = format!("   {key:<wide$}  {:<12} ", draw.text());
        if head.chars().count() + spread.chars().count() + own.len() <= WIDTH {
            sheet.line(format!("{head}{spread}{own}"));
        } else {
            sheet.line(&head);
            sheet.line(format!("      {spread}{own}"));
        }
    }
    if scatter.draws.iter().any(|d| d.tolerance.usual) {
        sheet.line("   spreads not marked own: arcplunge catalogue tolerances");
    }
}
