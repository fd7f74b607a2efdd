//! The strip of verdicts below the curves: along the shift, how many of the scattered welds come out how.

use super::curves::outcomes;
use crate::plot::canvas::{Canvas, Hold, Type};
use crate::plot::panel::Frame;
use crate::plot::text::width;
use crate::plot::theme;
use arcplunge_core::simulation::verdict::Verdict;
use arcplunge_core::study::shift::Shift;

/// Height of the strip \[px\].
const HEIGHT: f64 = 40.0;

/// Draws it below a frame, from `top` \[px\] on.
pub fn draw(canvas: &mut Canvas, shift: &Shift, frame: &Frame, top: f64) {
    let parts = outcomes(shift);
    let (left, right) = (frame.rect.left, frame.rect.right);
    let upper = top + 22.0;
    let mut seen = [false; Verdict::ALL.len()];
    for (part, counts) in parts.iter().enumerate() {
        let all: usize = counts.iter().sum();
        let across = |n: usize| left + (right - left) * n as f64 / parts.len() as f64;
        let mut y = upper + HEIGHT;
        for (k, v) in Verdict::ALL.into_iter().enumerate().rev() {
            if counts[k] == 0 {
                continue;
            }
            seen[k] = true;
            let high = HEIGHT * counts[k] as f64 / all as f64;
            let corners = ((across(part), y - high), (across(part + 1), y));
            canvas.fill(corners.0, corners.1, theme::full(v));
            y -= high;
        }
    }
    let frame_line = [
        (left, upper),
        (right, upper),
        (right, upper + HEIGHT),
        (left, upper + HEIGHT),
        (left, upper),
    ];
    canvas.line(&frame_line, &theme::AXIS);
    legend(canvas, shift, &seen, (left, right), top + 9.0);
}

fn legend(canvas: &mut Canvas, shift: &Shift, seen: &[bool], (left, right): (f64, f64), y: f64) {
    let words = if shift.samples.is_empty() {
        "verdicts along the shift"
    } else {
        "verdicts along the shift, studs and rig scattered"
    };
    let how = Type::new(theme::NAME, theme::SOFT, Hold::Start).bold();
    canvas.text((left, y), words, how);
    let mut x = right;
    let how = Type::new(theme::NAME, theme::SOFT, Hold::End);
    for (v, _) in Verdict::ALL
        .into_iter()
        .zip(seen)
        .rev()
        .filter(|(_, seen)| **seen)
    {
        canvas.text((x, y), v.name(), how);
        x -= width(v.name(), theme::NAME, false) + 20.0;
        canvas.fill((x, y - 6.0), (x + 14.0, y + 6.0), theme::full(v));
        x -= 16.0;
    }
}
