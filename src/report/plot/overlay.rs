//! Variations over their base: curves in front of the base's grey ones, ledgers as bars below.

use super::Size;
use super::axis::Unit;
use super::bars::{self, Bar, parts};
use super::canvas::{Canvas, Hold, Type};
use super::figure::{Figure, LINE, TITLE, TOP};
use super::panel::{Axis, Panel, Series, Side};
use super::shot::{AMPERE, GAP, MELT, SECOND, WATT};
use super::smooth::smooth;
use super::span::shown;
use super::text::{clean, shorten, width};
use super::theme::{self, Stroke};
use crate::title::what;
use crate::verdict::full;
use arcplunge_core::simulation::events::Phase;
use arcplunge_core::simulation::trace::{Row, Trace};
use arcplunge_core::simulation::verdict::Cause;
use arcplunge_core::study::assessment::Assessment;

/// Most variations in one drawing.
pub const MOST: usize = theme::IN_FRONT.len();

/// Size of the curves \[px\].
const CURVES: Size = Size {
    width: 1000,
    height: 900,
};

/// Margins of the bars \[px\].
const SIDES: (f64, f64) = (58.0, 942.0);

/// A weld and its curves.
pub type Shown<'a> = (&'a Assessment, &'a Trace);

/// Draws base and variations, at most [`MOST`] of them; more are left out.
pub fn svg(base: Shown, others: &[Shown]) -> String {
    let others = &others[..others.len().min(MOST)];
    let welds: Vec<Shown> = std::iter::once(base)
        .chain(others.iter().copied())
        .collect();
    let bars: Vec<Bar> = welds
        .iter()
        .map(|(fired, _)| Bar {
            name: fired.name.clone(),
            parts: parts(&fired.shot.ledger),
        })
        .collect();
    let room = SIDES.1 - SIDES.0;
    let whole = f64::from(CURVES.height) + bars::height(&bars, room);
    let mut canvas = Canvas::new(CURVES.width, whole.ceil() as u32);
    let entries = legend(&welds, room);
    let mut figure = figure(&welds);
    let first = figure.lines.len();
    figure.lines.extend(entries.iter().map(|_| String::new()));
    figure.paint(&mut canvas, CURVES);
    let top = TOP + TITLE + LINE * first as f64;
    for (n, line) in entries.iter().enumerate() {
        for entry in line {
            entry.paint(&mut canvas, top + LINE * (n as f64 + 0.5));
        }
    }
    bars::paint(&mut canvas, &bars, SIDES, f64::from(CURVES.height));
    canvas.finish(&clean(&figure.title), &clean(&figure.description))
}

/// A weld's name and verdict.
fn words((fired, _): &Shown) -> String {
    format!("{}: {}", fired.name, full(fired).0)
}

/// A line of the legend: a sample of the curve, name and verdict.
struct Entry {
    /// Left end \[px\].
    x: f64,
    stroke: Stroke,
    words: String,
}

impl Entry {
    const SAMPLE: f64 = 30.0;
    const SPACE: f64 = 6.0;

    fn paint(&self, canvas: &mut Canvas, y: f64) {
        let end = self.x + Entry::SAMPLE;
        canvas.line(&[(self.x, y), (end, y)], &self.stroke);
        let how = Type::new(theme::NAME, self.stroke.text, Hold::Start);
        canvas.text((end + Entry::SPACE, y), &self.words, how);
    }
}

/// The legend in lines that fit into `room` \[px\].
fn legend(welds: &[Shown], room: f64) -> Vec<Vec<Entry>> {
    let mut lines: Vec<Vec<Entry>> = vec![Vec::new()];
    let mut x = 0.0;
    for (k, weld) in welds.iter().enumerate() {
        let sample = Entry::SAMPLE + Entry::SPACE;
        let words = shorten(&clean(&words(weld)), theme::NAME, false, room - sample);
        let wide = sample + width(&words, theme::NAME, false) + 22.0;
        if x > 0.0 && x + wide > room {
            lines.push(Vec::new());
            x = 0.0;
        }
        if let Some(line) = lines.last_mut() {
            line.push(Entry {
                x: SIDES.0 + x,
                stroke: stroke(k),
                words,
            });
        }
        x += wide;
    }
    lines
}

/// The base behind, variations in front.
fn stroke(k: usize) -> Stroke {
    k.checked_sub(1)
        .map_or(theme::BEHIND, |k| theme::IN_FRONT[k % MOST])
}

fn figure(welds: &[Shown]) -> Figure {
    let base = welds[0].0;
    let own = clean(&base.case.title);
    let (title, lines) = if own.is_empty() {
        (what(&base.case), Vec::new())
    } else {
        (own, vec![what(&base.case)])
    };
    let end = welds.iter().map(|(_, t)| shown(t).1).fold(0.0, f64::max);
    let mut panels = vec![panel(welds, "current", AMPERE, |t| {
        points(&t.rows, |r| r.current_A)
    })];
    let test = |(_, t): &Shown| t.shot.cause == Cause::DischargeTest;
    if !welds.iter().all(test) {
        panels.push(panel(welds, "gap", GAP, |t| points(&t.rows, |r| r.gap_m)));
        panels.push(panel(welds, "melt in the sheet", MELT, |t| {
            smooth(&points(&t.rows, |r| r.melt_sheet_m))
        }));
        panels.push(panel(welds, "arc power", WATT, |t| {
            let arc: Vec<Row> = t
                .rows
                .iter()
                .filter(|r| r.phase == Phase::Arc)
                .copied()
                .collect();
            points(&arc, Row::weld_power)
        }));
    }
    Figure {
        description: welds.iter().map(words).collect::<Vec<_>>().join("; "),
        title,
        lines,
        axis: "time from trigger".into(),
        unit: SECOND,
        range: (0.0, end),
        bands: Vec::new(),
        events: Vec::new(),
        panels,
    }
}

fn points(rows: &[Row], value: impl Fn(&Row) -> f64) -> Vec<(f64, f64)> {
    rows.iter().map(|r| (r.time_s, value(r))).collect()
}

/// One quantity of all welds, the base first and so behind.
fn panel(
    welds: &[Shown],
    quantity: &'static str,
    unit: Unit,
    curve: impl Fn(&Trace) -> Vec<(f64, f64)>,
) -> Panel {
    let series: Vec<Series> = welds
        .iter()
        .enumerate()
        .map(|(k, (fired, trace))| Series {
            name: fired.name.clone(),
            side: Side::Left,
            stroke: stroke(k),
            points: curve(trace),
        })
        .filter(|s| !s.points.is_empty())
        .collect();
    let none = series.is_empty();
    Panel {
        left: Axis { quantity, unit },
        right: None,
        series,
        mark: None,
        note: none.then(|| format!("no {quantity}")),
        weight: if none { 0.3 } else { 1.0 },
        legend: false,
    }
}
