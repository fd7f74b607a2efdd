//! The sheet to scale: stud, clamps, currents, leads, a scale bar.

use super::super::super::format::{engineering, percent, significant};
use super::super::super::plot::canvas::{Canvas, Hold, Point, Type};
use super::super::super::plot::geometry::Rect;
use super::super::super::plot::text::width;
use super::super::super::plot::theme::{self, Stroke};
use super::super::words::length;
use super::{arrow, circle, polar};
use crate::case::Case;
use crate::study::earths::{self, Blow};
use plotters::style::RGBColor;

/// The sheet's pale grey.
const STEEL: RGBColor = RGBColor(0xF3, 0xF3, 0xF3);
/// Kept free round the clamps, for their labels [px].
const ROOM: f64 = 104.0;
/// Half the side of a clamp's square [px].
const CLAMP: f64 = 10.0;
/// Length of the piece of a lead that is drawn at its clamp [px].
const STUB: f64 = 42.0;
/// Smallest dot of the stud [px].
const DOT: f64 = 4.0;

const LEAD: Stroke = Stroke::solid(theme::HAIR, theme::SOFT, 3.0).dashed(7.0, 4.0);

/// Draws the sheet; returns the scale [px/m].
pub(super) fn draw(canvas: &mut Canvas, r: Rect, case: &Case, blow: &Blow) -> f64 {
    canvas.fill((r.left, r.top), (r.right, r.bottom), STEEL);
    let name = Type::new(theme::NAME, theme::INK, Hold::Start).bold();
    canvas.text(
        (r.left, r.top - 14.0),
        "Sheet and clamps seen from the tool, to scale",
        name,
    );
    let middle = r.middle();
    let far = case
        .earths
        .iter()
        .map(|e| e.at[0].hypot(e.at[1]))
        .fold(0.0, f64::max);
    let scale = (0.5 * (r.right - r.left) - ROOM) / far;
    let place = |at: [f64; 2]| (middle.0 + at[0] * scale, middle.1 - at[1] * scale);
    gun_lead(canvas, r, case, middle, scale);
    let places: Vec<Point> = case.earths.iter().map(|e| place(e.at)).collect();
    let mut lines: Vec<Vec<Point>> = Vec::new();
    for (earth, at) in case.earths.iter().zip(&places) {
        let (_, angle) = earths::polar(earth.at);
        let stub = STUB * earth.elevation.cos();
        let end = polar(*at, stub, angle + earth.bend);
        canvas.line(&[*at, end], &LEAD);
        lines.push(vec![end, *at]);
        lines.push(vec![*at, middle]);
    }
    for (k, at) in places.iter().enumerate() {
        current(canvas, middle, *at, blow.share(k));
    }
    stud(canvas, middle, blow.radius * scale);
    let mut taken: Vec<Rect> = places
        .iter()
        .map(|at| Rect::about(*at, (2.0 * CLAMP, 2.0 * CLAMP)))
        .collect();
    taken.push(Rect::about((middle.0, middle.1 + 18.0), (40.0, 18.0)));
    for (k, at) in places.iter().enumerate() {
        clamp(canvas, k, *at);
        let label = format!(
            "{}, {}",
            engineering(blow.shot.peak_earths[k], "A"),
            percent(blow.share(k))
        );
        caption(canvas, r, &label, *at, &mut taken, &lines);
    }
    bar(canvas, r, scale);
    scale
}

/// The lead to the tool, where it leans to a side; cut at the sheet's edge.
fn gun_lead(canvas: &mut Canvas, r: Rect, case: &Case, middle: Point, scale: f64) {
    let lead = &case.lead;
    let how = Type::new(theme::NAME, theme::SOFT, Hold::Start);
    let below = (r.left, r.bottom + 16.0);
    if lead.elevation >= std::f64::consts::FRAC_PI_2 {
        canvas.text(
            below,
            "Dashed: earth leads. The gun lead goes straight up.",
            how,
        );
        return;
    }
    let reach = 0.5 * (r.right - r.left) - 14.0;
    let shown = (lead.run * lead.elevation.cos() * scale).min(reach);
    canvas.line(&[polar(middle, shown, lead.direction), middle], &LEAD);
    let text = format!(
        "Dashed: earth leads, and from the stud the gun lead, {} up at the tool.",
        length(lead.height)
    );
    canvas.text(below, &text, how);
}

/// The current in the sheet, the wider the more of the charge it carries.
fn current(canvas: &mut Canvas, from: Point, to: Point, share: f64) {
    let (dx, dy) = (to.0 - from.0, to.1 - from.1);
    let length = dx.hypot(dy);
    if length < 3.0 * CLAMP || share <= 0.0 {
        return;
    }
    let at = |px: f64| (from.0 + dx / length * px, from.1 + dy / length * px);
    let stroke = Stroke::solid(theme::ACCENT, theme::ACCENT_TEXT, 1.2 + 4.0 * share);
    arrow(canvas, at(8.0), at(length - 1.5 * CLAMP), &stroke);
}

fn stud(canvas: &mut Canvas, middle: Point, radius: f64) {
    canvas.dot(middle, radius.max(DOT), theme::WHITE);
    circle(
        canvas,
        middle,
        radius.max(DOT),
        &Stroke {
            width: 1.6,
            ..theme::AXIS
        },
    );
    let how = Type::new(theme::NAME, theme::INK, Hold::Middle);
    let below = (middle.0, middle.1 + radius.max(DOT) + 12.0);
    canvas.text(below, "stud", how);
}

fn clamp(canvas: &mut Canvas, number: usize, at: Point) {
    let corner = (at.0 - CLAMP, at.1 - CLAMP);
    canvas.fill(corner, (at.0 + CLAMP, at.1 + CLAMP), theme::ACCENT_TEXT);
    let how = Type::new(theme::NAME, theme::WHITE, Hold::Middle).bold();
    canvas.text(at, &number.to_string(), how);
}

/// A clamp's current where it stands free beside it.
fn caption(
    canvas: &mut Canvas,
    r: Rect,
    text: &str,
    at: Point,
    taken: &mut Vec<Rect>,
    lines: &[Vec<Point>],
) {
    let size = (width(text, theme::NAME, false), 16.0);
    let (aside, off) = (CLAMP + 0.5 * size.0 + 6.0, CLAMP + 12.0);
    let spots = [
        (0.0, off),
        (0.0, -off),
        (aside, 0.0),
        (-aside, 0.0),
        (aside, off),
        (aside, -off),
        (-aside, off),
        (-aside, -off),
        (0.0, 2.0 * off),
        (0.0, -2.0 * off),
    ];
    let edge = 4.0;
    let inner = Rect {
        left: r.left + edge,
        top: r.top + edge,
        right: r.right - edge,
        bottom: r.bottom - 30.0,
    };
    let boxes: Vec<Rect> = spots
        .iter()
        .map(|(dx, dy)| Rect::about((at.0 + dx, at.1 + dy), size))
        .collect();
    let clear = |b: &&Rect| inner.holds(b) && !taken.iter().any(|t| t.near(b, 1.0));
    let off_lines = |b: &&Rect| lines.iter().all(|line| b.gap_to_line(line) > 3.0);
    // Better over a line than over another word, better there than nowhere.
    let place = boxes
        .iter()
        .find(|b| clear(b) && off_lines(b))
        .or_else(|| boxes.iter().find(clear))
        .copied()
        .unwrap_or(boxes[0]);
    taken.push(place);
    let how = Type::new(theme::NAME, theme::ACCENT_TEXT, Hold::Middle);
    canvas.text(place.middle(), text, how);
}

/// A bar of a round length, a third of the sheet's width or less.
fn bar(canvas: &mut Canvas, r: Rect, scale: f64) {
    let most = 0.3 * (r.right - r.left) / scale;
    let power = 10f64.powf(most.log10().floor());
    let round = [5.0, 2.0].into_iter().find(|step| step * power <= most);
    let step = round.unwrap_or(1.0);
    let length = step * power;
    let (left, y) = (r.left + 12.0, r.bottom - 14.0);
    let right = left + length * scale;
    let stroke = Stroke::solid(theme::INK, theme::INK, 2.0);
    canvas.line(&[(left, y), (right, y)], &stroke);
    for x in [left, right] {
        canvas.line(&[(x, y - 5.0), (x, y + 5.0)], &stroke);
    }
    let text = if length < 1.0 {
        format!("{} mm", significant(length * 1e3, 1))
    } else {
        format!("{} m", significant(length, 1))
    };
    let how = Type::new(theme::NUMBER, theme::INK, Hold::Start);
    canvas.text((right + 8.0, y), &text, how);
}
