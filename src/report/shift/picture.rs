//! A shift as a picture: voltage reached, temperatures and fill over the welds, and a strip of the verdicts.

use super::curves::{POINTS, kept, pauses, stretches};
use super::strip;
use super::words::{headline, how};
use crate::plot::Size;
use crate::plot::axis::Unit;
use crate::plot::canvas::Canvas;
use crate::plot::events::Label;
use crate::plot::figure::{Band, Figure};
use crate::plot::panel::{Axis, Panel, Series, Side};
use crate::plot::text::clean;
use crate::plot::theme::{self, Stroke};
use crate::sweep::look::look;
use crate::title;
use arcplunge_core::simulation::verdict::Verdict;
use arcplunge_core::study::shift::Shift;
use arcplunge_core::study::shift::weld::Weld;

/// Height of the strip below the panels \[px\].
const STRIP: u32 = 92;

/// The picture.
pub fn svg(shift: &Shift) -> String {
    draw(shift, Size::default())
}

/// The same, low enough to share a sheet of paper.
pub fn svg_low(shift: &Shift) -> String {
    let size = Size {
        height: 620,
        ..Size::default()
    };
    draw(shift, size)
}

fn draw(shift: &Shift, size: Size) -> String {
    let figure = figure(shift);
    let mut canvas = Canvas::new(size.width, size.height + STRIP);
    let (frames, _) = figure.paint(&mut canvas, size);
    if let Some(frame) = frames.last() {
        strip::draw(&mut canvas, shift, frame, f64::from(size.height));
    }
    canvas.finish(&clean(&figure.title), &clean(&figure.description))
}

fn figure(shift: &Shift) -> Figure {
    let (word, sentence) = headline(shift);
    let (title, about) = title::heading(&shift.case);
    let count = shift.run.welds.len();
    let panels = vec![voltage(shift), temperatures(shift), fill(shift)];
    Figure {
        description: format!("{title} {}. {word}: {sentence}", how(shift)),
        lines: about
            .into_iter()
            .chain([how(shift), format!("{word} · {sentence}")])
            .collect(),
        title,
        axis: "weld".into(),
        unit: Unit::plain(""),
        range: (1.0, count.max(2) as f64),
        bands: bands(shift),
        events: breaks(shift),
        panels,
    }
}

/// A curve over the welds, thinned out.
fn curve(shift: &Shift, of: impl Fn(&Weld) -> Option<f64>) -> Vec<(f64, f64)> {
    let point = |n: usize| Some(((n + 1) as f64, of(&shift.run.welds[n])?));
    kept(shift, POINTS).into_iter().filter_map(point).collect()
}

fn series(name: &str, stroke: Stroke, points: Vec<(f64, f64)>) -> Series {
    Series {
        name: name.to_string(),
        side: Side::Left,
        stroke,
        points,
    }
}

fn panel(quantity: &'static str, unit: Unit, series: Vec<Series>, weight: f64) -> Panel {
    Panel {
        left: Axis { quantity, unit },
        right: None,
        note: series
            .iter()
            .all(|s| s.points.is_empty())
            .then(|| format!("no {quantity}")),
        series,
        mark: None,
        legend: true,
        weight,
    }
}

fn voltage(shift: &Shift) -> Panel {
    let set = shift.case.bank.voltage;
    let volts = Unit {
        symbol: "V",
        usual: 0,
    };
    let all = vec![
        series("set", theme::BEHIND, curve(shift, |_| Some(set))),
        series(
            "voltage reached",
            theme::CURRENT,
            curve(shift, |w| Some(w.voltage)),
        ),
    ];
    panel("voltage", volts, all, 0.7)
}

fn temperatures(shift: &Shift) -> Panel {
    const JOINT: Stroke = Stroke::solid(theme::PURPLE, theme::PURPLE, 2.0).dashed(10.0, 3.0);
    const CORE: Stroke = Stroke::solid(theme::GREEN, theme::GREEN_TEXT, 2.0).dashed(4.0, 3.0);
    const JUNCTION: Stroke = Stroke::solid(theme::GREY, theme::SOFT, 1.6).dashed(2.5, 2.5);
    const COPPER: Stroke = Stroke::solid(theme::ALARM, theme::ALARM_TEXT, 2.4);
    const JACKET: Stroke = Stroke::solid(theme::AMBER, theme::AMBER_TEXT, 2.0);
    let celsius = |t: f64| Some(t - 273.15);
    let all = vec![
        series(
            "switch junction",
            JUNCTION,
            curve(shift, |w| celsius(w.junction)),
        ),
        series(
            "copper of a lead",
            COPPER,
            curve(shift, |w| celsius(w.conductor)),
        ),
        series("jacket", JACKET, curve(shift, |w| celsius(w.jacket))),
        series("hottest joint", JOINT, curve(shift, |w| celsius(w.joint))),
        series("bank", CORE, curve(shift, |w| celsius(w.core))),
    ];
    panel("temperature", Unit::plain("°C"), all, 1.4)
}

fn fill(shift: &Shift) -> Panel {
    const EDGE: Stroke = Stroke::solid(theme::HAIR, theme::SOFT, 1.2).dashed(6.0, 4.0);
    let edge = |end: usize| {
        let stations = shift.band.iter();
        stations
            .map(|s| ((s.weld + 1) as f64, s.fill[end]))
            .collect::<Vec<_>>()
    };
    let mut all = Vec::new();
    if !shift.band.is_empty() {
        all.push(series("band, 5 to 95 %", EDGE, edge(1)));
        all.push(series("", EDGE, edge(0)));
    }
    all.push(series("fill", theme::GAP, curve(shift, Weld::fill)));
    panel("fill", Unit::plain(""), all, 1.0)
}

/// Stretches of one verdict.
fn bands(shift: &Shift) -> Vec<Band> {
    let band = |(verdict, first, last): (Option<Verdict>, usize, usize)| Band {
        name: verdict.map_or("", |v| v.name()),
        tint: look(verdict).1,
        range: (first as f64 + 0.5, last as f64 + 1.5),
    };
    let mut bands: Vec<Band> = stretches(shift).into_iter().map(band).collect();
    // Verdicts that come and go would leave no room for their names.
    if bands.len() > 6 {
        bands.iter_mut().for_each(|band| band.name = "");
    }
    bands
}

/// Pauses, at the first weld after them.
fn breaks(shift: &Shift) -> Vec<Label> {
    let label = |(n, name): (usize, String)| Label {
        at: (n + 1) as f64,
        name,
    };
    pauses(shift).into_iter().map(label).collect()
}
