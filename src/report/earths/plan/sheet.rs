//! The sheet to scale: stud, clamps, currents, leads, a scale bar.

use super::super::words::length;
use super::shapes::{arrow, circle, polar};
use crate::format::{engineering, percent, significant};
use crate::plot::canvas::{Canvas, Hold, Point, Type};
use crate::plot::geometry::Rect;
use crate::plot::text::width;
use crate::plot::theme::{self, Stroke};
use arcplunge_core::case::Case;
use arcplunge_core::study::earths::{self, Blow};
use plotters::style::RGBColor;

/// The sheet's pale grey.
const STEEL: RGBColor = RGBColor(0xF3, 0xF3, 0xF3);
/// Kept free round the clamps, for their labels \[px\].
const ROOM: f64 = 104.0;
/// Half the side of a clamp's square \[px\].
const CLAMP: f64 = 10.0;
/// Length of the piece of a lead that is drawn at its clamp \[px\].
const STUB: f64 = 42.0;
/// Smallest dot of the stud \[px\].
const DOT: f64 = 4.0;

const LEAD: Stroke = Stroke::solid(theme::HAIR, theme::SOFT, 3.0).dashed(7.0, 4.0);

/// Height of a sheet of this width that holds all clamps with their labels \[px\].
pub(super) fn height(case: &Case, width: f64) -> f64 {
    let high = case.earths.iter().map(|e| e.at[1].abs());
    let scale = scale(case, width);
    2.0 * (high.fold(0.0, f64::max) * scale + 0.6 * ROOM)
}

fn scale(case: &Case, width: f64) -> f64 {
    let far = case.earths.iter().map(|e| e.at[0].hypot(e.at[1]));
    (0.5 * width - ROOM) / far.fold(0.0, f64::max)
}

/// Draws the sheet; returns the scale \[px/m\].
pub(super) fn draw(canvas: &mut Canvas, r: Rect, case: &Case, blow: &Blow) -> f64 {
    canvas.fill((r.left, r.top), (r.right, r.bottom), STEEL);
    let name = Type::new(theme::NAME, theme::INK, Hold::Start).bold();
    canvas.text(
        (r.left, r.top - 14.0),
        "Sheet and clamps seen from the tool, to scale",
        name,
    );
    let middle = r.middle();
    let scale = scale(case, r.right - r.left);
    let place = |at: [f64; 2]| (middle.0 + at[0] * scale, middle.1 - at[1] * scale);
    let mut words = Words::new(r);
    words.lines.push(gun_lead(canvas, r, case, middle, scale));
    let places: Vec<Point> = case.earths.iter().map(|e| place(e.at)).collect();
    for (earth, at) in case.earths.iter().zip(&places) {
        let (_, angle) = earths::polar(earth.at);
        let end = polar(*at, STUB * earth.elevation.cos(), angle + earth.azimuth);
        canvas.line(&[*at, end], &LEAD);
        words.lines.push([end, *at]);
        words.lines.push([*at, middle]);
        words
            .taken
            .push(Rect::about(*at, (2.0 * CLAMP, 2.0 * CLAMP)));
    }
    for (k, at) in places.iter().enumerate() {
        current(canvas, middle, *at, blow.share(k));
    }
    let radius = (blow.face.radius * scale).max(DOT);
    canvas.dot(middle, radius, theme::WHITE);
    circle(
        canvas,
        middle,
        radius,
        &Stroke {
            width: 1.6,
            ..theme::AXIS
        },
    );
    for (k, at) in places.iter().enumerate() {
        clamp(canvas, k, *at);
        let text = format!(
            "{}, {}",
            engineering(blow.shot.peak_earths[k], "A"),
            percent(blow.share(k))
        );
        words.put(canvas, &text, *at, CLAMP, theme::ACCENT_TEXT);
    }
    words.put(canvas, "stud", middle, radius, theme::INK);
    bar(canvas, r, scale);
    scale
}

/// The lead to the tool, where it leans to a side; cut at the sheet's edge. Returns its line.
fn gun_lead(canvas: &mut Canvas, r: Rect, case: &Case, middle: Point, scale: f64) -> [Point; 2] {
    let lead = &case.lead;
    let how = Type::new(theme::NAME, theme::SOFT, Hold::Start);
    let below = (r.left, r.bottom + 16.0);
    if lead.elevation >= std::f64::consts::FRAC_PI_2 {
        canvas.text(
            below,
            "Dashed: earth leads. The gun lead goes straight up.",
            how,
        );
        return [middle; 2];
    }
    let reach = 0.5 * (r.right - r.left) - 14.0;
    let shown = (lead.straight_length * lead.elevation.cos() * scale).min(reach);
    let line = [polar(middle, shown, lead.direction), middle];
    canvas.line(&line, &LEAD);
    let text = format!(
        "Dashed: earth leads, and from the stud the gun lead, {} up at the tool.",
        length(lead.height)
    );
    canvas.text(below, &text, how);
    line
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

fn clamp(canvas: &mut Canvas, number: usize, at: Point) {
    let corner = (at.0 - CLAMP, at.1 - CLAMP);
    canvas.fill(corner, (at.0 + CLAMP, at.1 + CLAMP), theme::ACCENT_TEXT);
    let how = Type::new(theme::NAME, theme::WHITE, Hold::Middle).bold();
    canvas.text(at, &number.to_string(), how);
}

/// Words on the sheet, kept off each other and off the lines.
struct Words {
    /// Where words may stand.
    room: Rect,
    taken: Vec<Rect>,
    lines: Vec<[Point; 2]>,
}

impl Words {
    fn new(r: Rect) -> Self {
        let edge = 4.0;
        let room = Rect {
            left: r.left + edge,
            top: r.top + edge,
            right: r.right - edge,
            bottom: r.bottom - 30.0, // above the scale bar
        };
        Words {
            room,
            taken: Vec::new(),
            lines: Vec::new(),
        }
    }

    /// Puts a word where it stands free beside a thing of this half width.
    fn put(&mut self, canvas: &mut Canvas, text: &str, at: Point, half: f64, colour: RGBColor) {
        let size = (width(text, theme::NAME, false), 16.0);
        let (aside, off) = (half + 0.5 * size.0 + 6.0, half + 12.0);
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
        let boxes = spots.map(|(dx, dy)| Rect::about((at.0 + dx, at.1 + dy), size));
        let clear = |b: &&Rect| self.room.holds(b) && !self.taken.iter().any(|t| t.near(b, 1.0));
        let off_lines = |b: &&Rect| self.lines.iter().all(|line| b.gap_to_line(line) > 3.0);
        // Better over a line than over another word, better there than nowhere.
        let place = boxes
            .iter()
            .find(|b| clear(b) && off_lines(b))
            .or_else(|| boxes.iter().find(clear))
            .copied()
            .unwrap_or(boxes[0]);
        self.taken.push(place);
        canvas.text(
            place.middle(),
            text,
            Type::new(theme::NAME, colour, Hold::Middle),
        );
    }
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
