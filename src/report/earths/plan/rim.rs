//! The stud, enlarged: fill of the rim round the clock, and the drift of the melt.

use std::f64::consts::{FRAC_PI_2, TAU};

use plotters::style::RGBColor;

use super::super::clock::{angle, clock as hours, hour};
use super::super::words::drift as told;
use super::shapes::{arrow, circle, polar};
use crate::format::significant;
use crate::plot::canvas::{Canvas, Hold, Point, Type};
use crate::plot::geometry::Rect;
use crate::plot::theme::{self, Stroke};
use arcplunge_core::physics::rim::Bare;
use arcplunge_core::study::earths::Blow;

/// Radius of the flange, and height of the rim's ring for a fill of 1 \[px\].
const FLANGE: f64 = 88.0;
const FULL: f64 = 36.0;
/// Largest fill that is drawn in full.
const MOST: f64 = 1.7;
/// Fill from which on a side is as good as closed.
const NO_ROOM: f64 = 10.0;
/// Longest arrow \[px\].
const LONGEST: f64 = 0.8 * FLANGE;
/// Sectors of the ring.
const SECTORS: u32 = 240;

const PALE: RGBColor = RGBColor(0xCF, 0xE0, 0xEE);
const LACK: RGBColor = RGBColor(0xF7, 0xD5, 0xC4);
const FACE: RGBColor = RGBColor(0xF3, 0xF3, 0xF3);
const ONE: Stroke = Stroke::solid(theme::INK, theme::INK, 1.2).dashed(4.0, 3.0);

/// Draws the stud; `scale` is that of the plan \[px/m\].
pub(super) fn draw(canvas: &mut Canvas, r: Rect, blow: &Blow, scale: f64) {
    let name = Type::new(theme::NAME, theme::INK, Hold::Start).bold();
    canvas.text((r.left, r.top - 14.0), "Fill around the rim", name);
    let middle = (r.middle().0, r.top + 205.0);
    if blow.bare().is_some() {
        ring(canvas, middle, blow);
    }
    canvas.dot(middle, FLANGE, FACE);
    circle(
        canvas,
        middle,
        FLANGE,
        &Stroke {
            width: 1.4,
            ..theme::AXIS
        },
    );
    clock(canvas, middle);
    if blow.bare().is_some() {
        circle(canvas, middle, FLANGE + FULL, &ONE);
        numbers(canvas, middle, blow);
    }
    let times = drift(canvas, middle, blow);
    captions(canvas, r, blow, scale, times);
}

/// Height of the ring for a fill \[px\].
fn height(fill: f64) -> f64 {
    FULL * fill.min(MOST)
}

/// The ring: where the fill is below 1 it is vermilion, low, and edged by a broad line.
fn ring(canvas: &mut Canvas, middle: Point, blow: &Blow) {
    let at = |k: u32| TAU * f64::from(k) / f64::from(SECTORS);
    let fill = |k: u32| blow.rim(at(k)).unwrap_or(0.0);
    let lacks = |k: u32| fill(k).min(fill(k + 1)) < 1.0;
    // Neighbours of one kind are one area: seams between areas would show.
    let ends: Vec<u32> = (1..SECTORS).filter(|k| lacks(*k) != lacks(k - 1)).collect();
    let starts = std::iter::once(0).chain(ends.iter().copied());
    let stops = ends.iter().copied().chain([SECTORS]);
    let runs: Vec<(u32, u32)> = starts.zip(stops).collect();
    let outer = |(from, to): (u32, u32)| -> Vec<Point> {
        (from..=to)
            .map(|k| polar(middle, FLANGE + height(fill(k)), at(k)))
            .collect()
    };
    for run in &runs {
        let mut area = outer(*run);
        area.extend(
            (run.0..=run.1)
                .rev()
                .map(|k| polar(middle, FLANGE - 1.0, at(k))),
        );
        canvas.polygon(&area, if lacks(run.0) { LACK } else { PALE });
    }
    for run in &runs {
        let (colour, width) = if lacks(run.0) {
            (theme::ALARM, 3.2)
        } else {
            (theme::ACCENT, 1.8)
        };
        canvas.line(&outer(*run), &Stroke::solid(colour, colour, width));
    }
}

/// Hours on the face, inside the rim.
fn clock(canvas: &mut Canvas, middle: Point) {
    let how = Type::new(theme::SMALL, theme::SOFT, Hold::Middle);
    for h in [12, 3, 6, 9] {
        let place = polar(middle, FLANGE - 12.0, angle(f64::from(h)));
        canvas.text(place, &h.to_string(), how);
    }
}

/// Least and largest fill where they are, and the word for what is missing.
fn numbers(canvas: &mut Canvas, middle: Point, blow: &Blow) {
    let fill = |k: &u32| blow.rim(f64::from(*k).to_radians()).unwrap_or(0.0);
    let most = (0..360).max_by(|a, b| fill(a).total_cmp(&fill(b)));
    let ends = match (blow.weakest_at(), most) {
        // On a side that touches the sheet there is nothing to fill.
        (Some(least), Some(most)) if fill(&most) < NO_ROOM => {
            vec![f64::from(most).to_radians(), least]
        }
        (Some(least), _) => vec![least],
        (None, _) => vec![FRAC_PI_2],
    };
    for end in ends {
        let fill = blow.rim(end).unwrap_or(0.0);
        let (colour, word) = if fill < 1.0 {
            (theme::ALARM, "missing")
        } else {
            (theme::ACCENT_TEXT, "")
        };
        // Sideways words hold on to the ring with their near end, and stand in two lines.
        let (hold, away) = match hour(end) {
            h if (1.5..4.5).contains(&h) => (Hold::Start, 12.0),
            h if (7.5..10.5).contains(&h) => (Hold::End, 12.0),
            _ => (Hold::Middle, 13.0),
        };
        let number = significant(fill, 3);
        let how = Type::new(theme::NAME, colour, hold).bold();
        let (x, y) = polar(middle, FLANGE + height(fill).max(FULL) + away, end);
        if word.is_empty() || hold == Hold::Middle {
            let text = format!("{number} {word}");
            canvas.text((x, y), text.trim_end(), how);
        } else {
            canvas.text((x, y - 8.0), &number, how);
            canvas.text((x, y + 8.0), word, how);
        }
    }
}

/// The arrow of the drift; returns how many times as large as the stud it is drawn.
fn drift(canvas: &mut Canvas, middle: Point, blow: &Blow) -> Option<f64> {
    let (heading, distance) = (blow.heading()?, blow.distance()?);
    let natural = distance * FLANGE / blow.face.radius;
    let wanted = LONGEST / natural;
    let times = if wanted < 1.0 {
        wanted
    } else {
        let power = 10f64.powf(wanted.log10().floor());
        let step = [5.0, 4.0, 3.0, 2.0, 1.0]
            .into_iter()
            .find(|s| s * power <= wanted);
        step.unwrap_or(1.0) * power
    };
    let tip = polar(middle, natural * times, heading);
    let stroke = Stroke::solid(theme::INK, theme::INK, 3.0);
    canvas.dot(middle, 3.0, theme::INK);
    arrow(canvas, middle, tip, &stroke);
    Some(times)
}

/// Length of an arrow that tells a direction only \[px\].
const POINTER: f64 = 34.0;

/// An arrow from the stud on the plan where the melt drifts, and what it says.
pub(super) fn heading(canvas: &mut Canvas, stud: Point, blow: &Blow) -> String {
    let (Some(heading), Some(distance)) = (blow.heading(), blow.distance()) else {
        return "The melt does not drift.".into();
    };
    let stroke = Stroke::solid(theme::INK, theme::INK, 3.0);
    arrow(canvas, stud, polar(stud, POINTER, heading), &stroke);
    format!(
        "Black arrow, not to scale: the melt drifts {} to {}.",
        told(distance),
        hours(heading)
    )
}

fn captions(canvas: &mut Canvas, r: Rect, blow: &Blow, scale: f64, times: Option<f64>) {
    let larger = FLANGE / blow.face.radius / scale;
    let mut lines = vec![format!(
        "Flange {} mm across, drawn {} times as large as on the left.",
        significant(blow.face.radius * 2e3, 2),
        significant(larger, 2)
    )];
    match blow.bare() {
        None => lines.push("No arc: no melt, no rim to fill.".into()),
        Some(bare) => {
            lines.push("Ring: fill of the rim; dashed, 1: melt reaches the rim.".into());
            if bare != Bare::Nowhere {
                lines.push("Vermilion, broad line: below 1, the witness is missing.".into());
            }
        }
    }
    match (times, blow.distance()) {
        (Some(times), Some(distance)) => lines.push(format!(
            "Arrow: drift of the melt, {}, enlarged a further {} times.",
            told(distance),
            significant(times, 2)
        )),
        (None, Some(_)) => lines.push("No drift: the forces cancel.".into()),
        _ => {}
    }
    let how = Type::new(theme::SECOND, theme::SOFT, Hold::Start);
    for (n, line) in lines.iter().enumerate() {
        let y = r.bottom - 76.0 + 20.0 * n as f64;
        canvas.text(
            (r.left, y),
            line,
            Type {
                size: theme::NAME,
                ..how
            },
        );
    }
}
