//! Circles and arrows of the plan.

use crate::plot::canvas::{Canvas, Point};
use crate::plot::theme::Stroke;

/// A circle as a line.
pub(super) fn circle(canvas: &mut Canvas, middle: Point, radius: f64, stroke: &Stroke) {
    let points: Vec<Point> = (0..=96)
        .map(|k| polar(middle, radius, std::f64::consts::TAU * f64::from(k) / 96.0))
        .collect();
    canvas.line(&points, stroke);
}

/// A point at a distance \[px\] and angle, counterclockwise from the right.
pub(super) fn polar(middle: Point, radius: f64, angle: f64) -> Point {
    (
        middle.0 + radius * angle.cos(),
        middle.1 - radius * angle.sin(),
    )
}

/// A line with a head at its end.
pub(super) fn arrow(canvas: &mut Canvas, from: Point, to: Point, stroke: &Stroke) {
    let (dx, dy) = (to.0 - from.0, to.1 - from.1);
    let length = dx.hypot(dy);
    if length < 1.0 {
        return;
    }
    let (ux, uy) = (dx / length, dy / length);
    let head = (3.5 * stroke.width).clamp(8.0, 16.0).min(0.6 * length);
    let neck = (to.0 - head * ux, to.1 - head * uy);
    let half = 0.45 * head;
    canvas.line(&[from, neck], stroke);
    let corners = [
        to,
        (neck.0 - half * uy, neck.1 + half * ux),
        (neck.0 + half * uy, neck.1 - half * ux),
    ];
    canvas.polygon(&corners, stroke.colour);
}
