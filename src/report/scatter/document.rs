//! A scattered weld as a document: shares of the verdicts, quantiles, what moves the fill, what was drawn.

use super::words::{counted, how, movers};
use crate::document::{Blocks, Cell, Document, Style, Table, Tone, WIDTH};
use crate::quantity::{label, scale, short, text};
use crate::{cautions, verdict};
use arcplunge_core::simulation::verdict::{Cause, Verdict};
use arcplunge_core::study::intervals::Share;
use arcplunge_core::study::points::Sampling;
use arcplunge_core::study::scatter::Scatter;
use arcplunge_core::study::scatter::boxes::Boxes;
use arcplunge_core::study::scatter::summary::Summary;

/// Most keys listed as movers.
const MOVERS: usize = 8;

/// Columns of a bar and of a figure's name.
const BAR: usize = 20;
const NAME: usize = 22;

/// A correlation below this may well be none.
const WEAK: f64 = 0.05;

/// How the intervals were made, of single shots, of independent ones and of studs in boxes.
const SINGLE: &str = "Intervals of shares come from the scatter of blocks of 512 shots, and are Wilson's where too few blocks or welds tell; \
    those of quantiles go by rank, as if shots were independent, which is too wide for Sobol points. None covers what the model leaves out.";
const INDEPENDENT: &str = "Intervals of shares are Wilson's, those of quantiles go by rank. None covers what the model leaves out.";
const BOXED: &str = "Intervals take whole boxes as their units: they come from the scatter of the boxes, and are those of studs all alike in a box \
    where fewer than 8 boxes or 10 welds tell. None covers what the model leaves out.";

/// The document of a scatter; `show` are the figures told.
pub fn document(scatter: &Scatter, summary: &Summary, show: &[&'static str]) -> Document {
    let mut document = Document::of(&scatter.base);
    let b = &mut document.blocks;
    b.say(format!("{}, 95 % intervals", how(scatter, summary)));
    b.gap();
    verdicts(b, summary);
    if summary.no_case > 0 {
        let why = summary.no_case_why.as_deref().unwrap_or_default();
        let count = counted(summary.no_case);
        b.say(format!("{count} more samples are not valid cases: {why}"));
        b.gap();
    }
    if let Some(boxes) = &summary.boxes {
        b.say(in_boxes(boxes));
        b.gap();
    }
    figures(b, summary, show);
    if let Some(first) = show.first() {
        moves(b, scatter, summary, first);
    }
    // Before the last table, or the cautions would stand alone on a second sheet.
    b.on_paper(cautions::dangers);
    drawn(b, scatter);
    b.gap();
    b.say(match &summary.boxes {
        None if scatter.points.sampling == Sampling::Random => INDEPENDENT,
        None => SINGLE,
        Some(_) => BOXED,
    });
    cautions::screen(b, None);
    document
}

/// How unlike the boxes are.
fn in_boxes(boxes: &Boxes) -> String {
    let found = [0.5, 0.95, 1.0].map(|share| boxes.quantile(share));
    let [Some(median), Some(most), Some(worst)] = found else {
        return format!("boxes of {} studs: too few shots for one", boxes.size);
    };
    format!(
        "{} boxes of {} studs: half have at most {median} welds that are not sound, 95 % at most {most}, the worst {worst}",
        counted(boxes.count()),
        boxes.size
    )
}

fn verdicts(b: &mut Blocks, summary: &Summary) {
    let Some(reject) = summary.reject() else {
        b.note("discharge test: no weld to judge");
        b.gap();
        return;
    };
    let head = ["verdict", "shots", "share", "interval", ""].map(|head| Cell::both("", head));
    let mut table = Table::new("   {:<13}{:>11} {:>9}  {:<18}  {}", head, 1);
    table.style = Style::Bars;
    let row = |name: &str, tone: Tone, share: Share, bar: Cell| {
        [
            Cell::toned(name, tone),
            counted(share.count).into(),
            part(share.share).into(),
            format!("{} to {}", bare(share.low), part(share.high)).into(),
            bar,
        ]
    };
    for v in Verdict::ALL {
        if let Some(share) = summary.share(v) {
            let (name, tone) = verdict::word(Some(v));
            table.row(row(name, tone, share, Cell::bar(share.share, BAR)));
        }
    }
    table.row(row("not sound", Tone::Plain, reject, Cell::default()));
    b.table(table);
    b.gap();
    let rejects: Vec<String> = summary
        .causes()
        .into_iter()
        .filter(|(cause, _)| *cause != Cause::Filled)
        .take(4)
        .map(|(cause, n)| format!("{} {}", cause.name(), counted(n)))
        .collect();
    if !rejects.is_empty() {
        b.say(format!("why not sound: {}", rejects.join(", ")));
        b.gap();
    }
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

/// Quantiles of the figures, and below each its interval.
fn figures(b: &mut Blocks, summary: &Summary, show: &[&'static str]) {
    let head = ["figures", "5 %", "median", "95 %"];
    let mut table = Table::new(format!("   {{:<{NAME}}} {{:<17}} {{:<17}} {{}}"), head, 1);
    for name in show {
        let found = [0.05, 0.5, 0.95].map(|share| summary.quantile(name, share));
        let values = found.map(|q| q.map_or("–".into(), |q| text(name, Some(q.value))));
        let ends = found.map(|q| {
            q.map_or(String::new(), |q| match q.low.zip(q.high) {
                Some((low, high)) => span(name, q.value, low, high),
                None if summary.boxes.is_some() => "too few boxes".into(),
                None => "too few shots".into(),
            })
        });
        let word = match label(name) {
            long if long.len() > NAME => short(name),
            label => label,
        };
        table.cells(std::iter::once(word.to_string()).chain(values));
        table.cells(std::iter::once(String::new()).chain(ends));
    }
    b.table(table);
    b.gap();
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

fn moves(b: &mut Blocks, scatter: &Scatter, summary: &Summary, figure: &'static str) {
    let all = movers(summary, figure);
    if all.is_empty() {
        return;
    }
    let name = label(figure);
    let head = format!("what influences the {name} most (rank correlation)");
    let mut table = Table::new("   {:<34} {}  {}", [head.as_str(), "", ""], 1);
    table.style = Style::Bars;
    let strong = all.iter().filter(|(_, r)| r.abs() >= WEAK).take(MOVERS);
    for (k, r) in strong {
        let sign = if *r < 0.0 { '−' } else { '+' };
        table.row([
            scatter.draws[*k].address().to_string().into(),
            format!("{sign}{:.2}", r.abs()).into(),
            Cell::bar(r.abs(), BAR),
        ]);
    }
    b.table(table);
    b.gap();
}

fn drawn(b: &mut Blocks, scatter: &Scatter) {
    let keys = scatter.draws.iter().map(|d| d.address().to_string());
    let keys: Vec<String> = keys.collect();
    let lengths = keys.iter().map(|k| k.chars().count());
    let wide = lengths.max().unwrap_or(0).max(5);
    let layout = format!("   {{:<{wide}}}  {{:<12}} {{}}");
    let mut table = Table::new(layout, ["drawn", "about", "spread"], 9);
    for (key, draw) in keys.into_iter().zip(&scatter.draws) {
        let own = if draw.tolerance.usual { "" } else { ", own" };
        let spread = draw.tolerance.spread.words(&draw.number) + own;
        let about = draw.text();
        let length = 3 + wide + 2 + about.chars().count().max(12) + 1 + spread.chars().count();
        if length <= WIDTH {
            table.row([key, about, spread]);
        } else {
            table.row([key, about]);
            table.row([format!("   {spread}")]);
        }
    }
    b.table(table);
    if let Some(dependence) = &scatter.dependence {
        let name = |k: usize| scatter.draws[k].address().to_string();
        for ([i, j], coefficient) in &dependence.pairs {
            b.note(format!(
                "{} and {} correlated, {coefficient}",
                name(*i),
                name(*j)
            ));
        }
        if let Some(size) = dependence.batch_size() {
            b.note(format!("boxes of {size} studs, shot after shot"));
        }
    }
    if scatter.draws.iter().any(|d| d.tolerance.usual) {
        b.note("spreads not marked own: arcplunge catalogue tolerances");
    }
}
