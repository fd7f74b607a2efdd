//! Axes of a plain chart: numbers along the bottom and up the left, the name of each.

use super::axis::{Scale, Unit};
use super::canvas::{Canvas, Hold, Type};
use super::geometry::Rect;
use super::text::width;
use super::theme;

/// Least distance between the numbers along the bottom and up the left \[px\].
const ACROSS: f64 = 54.0;
const UP: f64 = 42.0;

/// A range of one axis, in the units its values are given in.
#[derive(Debug, Clone, PartialEq)]
pub struct Axis {
    /// What it measures, without the unit.
    pub name: String,
    /// Unit the numbers are shown in; a prefix may be put before it.
    pub unit: Unit,
    /// Value at the left or lower end.
    pub low: f64,
    /// Value at the right or upper end.
    pub high: f64,
}

impl Axis {
    /// An axis over some values with a little room at either end; one value has room about it.
    pub fn over(name: String, unit: Unit, values: impl Iterator<Item = f64>, room: f64) -> Axis {
        let ends = values.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| {
            (a.min(v), b.max(v))
        });
        let (low, high) = if ends.0 <= ends.1 { ends } else { (0.0, 1.0) };
        let wide = high - low;
        let off = if wide > 0.0 {
            room * wide
        } else {
            (0.1 * high.abs()).max(f64::MIN_POSITIVE * 1e9)
        };
        Axis {
            name,
            unit,
            low: low - off,
            high: high + off,
        }
    }

    /// Place of a value between the ends, from 0 to 1.
    pub fn share(&self, value: f64) -> f64 {
        (value - self.low) / (self.high - self.low)
    }

    fn scale(&self, most: f64) -> Scale {
        Scale::along(self.unit, self.low, self.high, most as usize)
    }

    /// Along the bottom of `r`; the name, if wanted, below the numbers.
    pub fn bottom(&self, canvas: &mut Canvas, r: &Rect, named: bool) {
        canvas.line(&[(r.left, r.bottom), (r.right, r.bottom)], &theme::AXIS);
        let scale = self.scale((r.right - r.left) / ACROSS);
        let how = Type::new(theme::NUMBER, theme::SOFT, Hold::Middle);
        for tick in scale.ticks() {
            let x = r.left + self.share(tick * scale.factor) * (r.right - r.left);
            canvas.line(&[(x, r.bottom), (x, r.bottom + 4.0)], &theme::AXIS);
            canvas.text((x, r.bottom + 13.0), &scale.number(tick), how);
        }
        if named {
            let how = Type::new(theme::NAME, theme::SOFT, Hold::Middle);
            let at = (0.5 * (r.left + r.right), r.bottom + 32.0);
            canvas.text(at, &scale.named(&self.name), how);
        }
    }

    /// The unit its numbers along the bottom of `r` are in.
    pub fn shown_unit(&self, r: &Rect) -> String {
        self.scale((r.right - r.left) / ACROSS).unit
    }

    /// What one of that unit is in the unit of its values.
    pub fn factor(&self, r: &Rect) -> f64 {
        self.scale((r.right - r.left) / ACROSS).factor
    }

    /// Up the left of `r`, the name above.
    pub fn left(&self, canvas: &mut Canvas, r: &Rect) {
        canvas.line(&[(r.left, r.top), (r.left, r.bottom)], &theme::AXIS);
        let scale = self.scale((r.bottom - r.top) / UP);
        let how = Type::new(theme::NUMBER, theme::SOFT, Hold::End);
        let mut widest: f64 = 0.0;
        for tick in scale.ticks() {
            let y = r.bottom - self.share(tick * scale.factor) * (r.bottom - r.top);
            canvas.line(&[(r.left - 4.0, y), (r.left, y)], &theme::AXIS);
            let number = scale.number(tick);
            widest = widest.max(width(&number, theme::NUMBER, false));
            canvas.text((r.left - 8.0, y), &number, how);
        }
        let how = Type::new(theme::NAME, theme::SOFT, Hold::Start);
        let at = (r.left - 8.0 - widest, r.top - 14.0);
        canvas.text(at, &scale.named(&self.name), how);
    }
}
