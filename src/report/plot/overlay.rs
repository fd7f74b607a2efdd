//! Variations over their base: curves in front of the base's grey ones, ledgers as bars below.

use super::Size;
use super::axis::Unit;
use super::bars::{self, Bar, parts};
use super::canvas::Canvas;
use super::figure::Figure;
use super::panel::{Axis, Panel, Series, Side};
use super::shot::{AMPERE, GAP, MELT, SECOND, WATT};
use super::smooth::smooth;
use super::span::shown;
use super::text::clean;
use super::theme::{self, Stroke};
use crate::cycle::events::Phase;
use crate::cycle::trace::{Row, Trace};
use crate::cycle::verdict::Cause;
use crate::report::title::what;
use crate::study::contrast::Fired;

/// Most variations in one drawing.
pub const MOST: usize = theme::IN_FRONT.len();

/// Size of the curves [px].
const CURVES: Size = Size {
    width: 1000,
    height: 900,
};

/// Margins of the bars [px].
const SIDES: (f64, f64) = (58.0, 942.0);

/// A weld and its curves.
pub type Shown<'a> = (&'a Fired, &'a Trace);

/// Draws base and variations, at most [`MOST`] of them; more are left out.
pub fn svg(base: Shown, others: &[Shown]) -> String {
    let others = &others[..others.len().min(MOST)];
    let welds: Vec<Shown> = std::iter::once(base).chain(others.iter().copied()).collect();
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
    let figure = figure(&welds);
    figure.paint(&mut canvas, CURVES);
    bars::paint(&mut canvas, &bars, SIDES, f64::from(CURVES.height));
    canvas.finish(&clean(&figure.title), &clean(&figure.description))
}

fn figure(welds: &[Shown]) -> Figure {
    let base = welds[0].0;
    let own = clean(&base.case.title);
    let (title, mut lines) = if own.is_empty() {
        (what(&base.case), Vec::new())
    } else {
        (own, vec![what(&base.case)])
    };
    let verdicts: Vec<String> = welds
        .iter()
        .map(|(s, _)| {
            let verdict = s.shot.verdict.map_or("discharge test", |v| v.name());
            format!("{}: {verdict}", s.name)
        })
        .collect();
    lines.push(verdicts.join("; "));
    let end = welds.iter().map(|(_, t)| shown(t).1).fold(0.0, f64::max);
    let mut panels = vec![panel(welds, "current", AMPERE, |t| points(&t.rows, |r| r.current_A))];
    let test = |(_, t): &Shown| t.shot.cause == Cause::DischargeTest;
    if !welds.iter().all(test) {
        panels.push(panel(welds, "gap", GAP, |t| points(&t.rows, |r| r.gap_m)));
        panels.push(panel(welds, "melt in the sheet", MELT, |t| {
            smooth(&points(&t.rows, |r| r.melt_sheet_m))
        }));
        panels.push(panel(welds, "arc power", WATT, |t| {
            let arc: Vec<Row> = t.rows.iter().filter(|r| r.phase == Phase::Arc).copied().collect();
            points(&arc, Row::weld_power)
        }));
    }
    Figure {
        description: lines.join(" "),
        title,
        lines,
        axis: "time from trigger",
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
    let stroke = |k: usize| -> Stroke {
        k.checked_sub(1)
            .map_or(theme::BEHIND, |k| theme::IN_FRONT[k % MOST])
    };
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
    }
}
