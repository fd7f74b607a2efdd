//! Welds to compare with, drawn in section from their figures: melt under the flange, what comes out at the rim,
//! spatter.

use super::proof::made;
use crate::format::{percent, significant, trimmed};
use crate::plot::canvas::{Canvas, Hold, Point, Type};
use crate::plot::text::clean;
use crate::plot::theme::{self, Stroke};
use crate::title::what;
use crate::verdict;
use arcplunge_core::study::card::{Card, Look};
use plotters::style::RGBColor;
use std::f64::consts::PI;

/// A weld's place, the flange in it, and the heights of things \[px\].
const PANEL: f64 = 190.0;
const HEIGHT: u32 = 214;
const RADIUS: f64 = 52.0;
const SHEET: f64 = 118.0;
const FLANGE: f64 = 14.0;
const SHANK: f64 = 62.0;

/// The gap under the rim is drawn so high \[px\].
const GAP: f64 = 13.0;
/// Most spatter that is drawn.
const DROPS: f64 = 36.0;

const METAL: RGBColor = RGBColor(0xDD, 0xDD, 0xDD);
const MELT: RGBColor = RGBColor(0x6A, 0x6A, 0x6A);

/// Draws every weld the card has.
pub fn svg(card: &Card) -> String {
    let count = card.looks.len().max(1);
    let mut canvas = Canvas::new((PANEL * count as f64) as u32, HEIGHT);
    for (n, look) in card.looks.iter().enumerate() {
        draw(&mut canvas, PANEL * n as f64, card, look);
    }
    if card.looks.is_empty() {
        let how = Type::new(theme::NAME, theme::SOFT, Hold::Middle);
        canvas.text((0.5 * PANEL, SHEET), "No weld to draw", how);
    }
    let names = card.looks.iter().map(|look| look.verdict.name());
    let names: Vec<&str> = names.collect();
    canvas.finish(
        &clean(&format!("Welds of {}", what(&card.weld.case))),
        &format!("Drawn in section: {}", names.join(", ")),
    )
}

/// A weld as it is drawn: heights under the rim, and how far the melt reaches, left and right.
struct Section {
    /// Gap under the rim \[px\].
    gap: [f64; 2],
    /// Fill there.
    fill: [f64; 2],
    /// Times the heights of the gap are enlarged over the flange's width.
    times: f64,
    /// Drawing units of a metre across \[px\].
    scale: f64,
}

impl Section {
    fn of(look: &Look) -> Section {
        let case = &look.case;
        let radius = 0.5 * case.stud.flange;
        let scale = RADIUS / radius;
        // The side with the least fill is drawn on the left.
        let least = look.blow.weakest_at().unwrap_or(PI);
        let fill = [least, least + PI].map(|at| look.blow.rim(at).unwrap_or(0.0));
        let (cone, tilt) = (case.stud.cone.tan(), case.tool.tilt.tan());
        let rise = [cone + tilt, (cone - tilt).max(0.0)].map(|slope| slope * RADIUS);
        let times = (GAP / (cone * RADIUS).max(0.1)).clamp(1.0, 10.0).floor();
        Section {
            gap: rise.map(|high| high * times),
            fill,
            times,
            scale,
        }
    }
}

fn draw(canvas: &mut Canvas, left: f64, card: &Card, look: &Look) {
    let middle = left + 0.5 * PANEL;
    let s = Section::of(look);
    let deep = (look.case.sheet.thickness * s.scale).clamp(6.0, 34.0);
    canvas.fill(
        (left + 10.0, SHEET),
        (left + PANEL - 10.0, SHEET + deep),
        METAL,
    );
    stud(canvas, middle, &s);
    for (side, sign) in [(0, -1.0), (1, 1.0)] {
        melt(canvas, middle, sign, look, &s, side);
    }
    pool(canvas, middle, look, &s, deep);
    spatter(canvas, middle, look);
    let edge = Stroke::solid(theme::INK, theme::INK, 1.2);
    canvas.line(&[(left + 10.0, SHEET), (left + PANEL - 10.0, SHEET)], &edge);
    words(canvas, middle, card, look, &s);
}

/// Flange with its cone, and the shank.
fn stud(canvas: &mut Canvas, middle: f64, s: &Section) {
    let rim = |sign: f64, gap: f64| (middle + sign * RADIUS, SHEET - gap);
    let (l, r) = (rim(-1.0, s.gap[0]), rim(1.0, s.gap[1]));
    let up = |p: Point, by: f64| (p.0, p.1 - by);
    let flange = [(middle, SHEET), r, up(r, FLANGE), up(l, FLANGE), l];
    canvas.polygon(&flange, METAL);
    let slope = (s.gap[1] - s.gap[0]) / (2.0 * RADIUS);
    let foot = |x: f64| {
        let along = (x + RADIUS) / (2.0 * RADIUS);
        SHEET - FLANGE - s.gap[0] - (s.gap[1] - s.gap[0]) * along
    };
    let half = 0.72 * RADIUS;
    let lean = slope * SHANK;
    let shank = [
        (middle - half, foot(-half)),
        (middle + half, foot(half)),
        (middle + half - lean, foot(half) - SHANK + FLANGE),
        (middle - half - lean, foot(-half) - SHANK + FLANGE),
    ];
    canvas.polygon(&shank, METAL);
    let edge = Stroke::solid(theme::HAIR, theme::SOFT, 1.0);
    let closed = |points: &[Point]| [points, &points[..1]].concat();
    canvas.line(&closed(&flange), &edge);
    canvas.line(&closed(&shank), &edge);
}

/// Melt under one side of the flange, and what comes out there.
///
/// The space under a cone grows with the cube of the radius: a fill f below 1 reaches R·f^(1/3). What is above 1 stands at
/// the rim as a fillet whose section holds its volume: h = √((f − 1)·V/(π·R)).
fn melt(canvas: &mut Canvas, middle: f64, sign: f64, look: &Look, s: &Section, side: usize) {
    let (fill, gap) = (s.fill[side], s.gap[side]);
    let reach = fill.clamp(0.0, 1.0).cbrt();
    let edge = middle + sign * RADIUS * reach;
    let wedge = [(middle, SHEET), (edge, SHEET - gap * reach), (edge, SHEET)];
    canvas.polygon(&wedge, MELT);
    let rim = middle + sign * RADIUS;
    if fill < 1.0 {
        let bare = Stroke::solid(theme::ALARM, theme::ALARM, 2.6);
        canvas.line(&[(edge, SHEET - 1.0), (rim, SHEET - 1.0)], &bare);
        return;
    }
    let radius = 0.5 * look.case.stud.flange;
    let out = (fill.min(4.0) - 1.0) * look.blow.shot.volumes.space / (PI * radius);
    let wide = (out.max(0.0).sqrt() * s.scale).min(24.0);
    let fillet = [
        (rim, SHEET),
        (rim, SHEET - gap - 0.6 * wide),
        (rim + 0.4 * sign * wide, SHEET - 0.5 * gap),
        (rim + sign * wide, SHEET),
    ];
    canvas.polygon(&fillet, MELT);
}

/// The melt in the sheet, to scale, a pixel at least.
fn pool(canvas: &mut Canvas, middle: f64, look: &Look, s: &Section, deep: f64) {
    let Some(melt) = look.blow.shot.figures.melt_sheet_max_m else {
        return;
    };
    let depth = (melt * s.scale).clamp(1.5, deep);
    let half = 0.96 * RADIUS;
    let points: Vec<Point> = (0..=24)
        .map(|k| {
            let x = f64::from(k) / 12.0 - 1.0;
            (middle + half * x, SHEET + depth * (1.0 - x.powi(4)))
        })
        .collect();
    canvas.polygon(&points, MELT);
}

/// A drop for each per cent of the arc's energy that boiled, and for each tenth of fill above twice what is needed.
fn spatter(canvas: &mut Canvas, middle: f64, look: &Look) {
    let f = &look.blow.shot.figures;
    let boiled = 100.0 * f.vapour_share.unwrap_or(0.0);
    let excess = 10.0 * (f.fill_ratio.unwrap_or(0.0) - 2.0).max(0.0);
    let drops = (boiled + excess).min(DROPS).round() as u32;
    for n in 0..drops {
        // Spread by the golden ratio: even, and the same on every machine.
        let place = (f64::from(n) * 0.618_034).fract();
        let sign = if n % 2 == 0 { -1.0 } else { 1.0 };
        let away = 8.0 + 26.0 * place;
        let high = 3.0 + 30.0 * (f64::from(n) * 0.381_966).fract() * place;
        let at = (middle + sign * (RADIUS + away), SHEET - high);
        canvas.dot(at, 1.4 + 1.2 * (1.0 - place), MELT);
    }
}

fn words(canvas: &mut Canvas, middle: f64, card: &Card, look: &Look, s: &Section) {
    let f = &look.blow.shot.figures;
    let (word, _) = verdict::word(look.blow.shot.verdict);
    let line = |canvas: &mut Canvas, y: f64, text: &str, size: f64, colour| {
        canvas.text((middle, y), text, Type::new(size, colour, Hold::Middle));
    };
    let bold = Type::new(theme::SECOND, theme::INK, Hold::Middle).bold();
    canvas.text((middle, 14.0), word, bold);
    line(
        canvas,
        31.0,
        &format!("here at {}", made(card, look)),
        theme::NAME,
        theme::SOFT,
    );
    let least = f.rim_fill_min.map_or("no melt".into(), |fill| {
        format!("least fill {}", significant(fill, 2))
    });
    line(canvas, 170.0, &least, theme::NAME, theme::INK);
    let shares = format!(
        "welded {}, boiled {}",
        percent(f.welded_share.unwrap_or(0.0)),
        percent(f.vapour_share.unwrap_or(0.0))
    );
    line(canvas, 186.0, &shares, theme::NAME, theme::INK);
    let enlarged = format!("gap enlarged {} times", trimmed(s.times));
    line(canvas, 202.0, &enlarged, theme::SMALL, theme::SOFT);
}
