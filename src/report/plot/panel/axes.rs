//! Beside and above a panel: numbers at the gridlines, and what is drawn how, in which unit.

use plotters::style::RGBColor;

use super::{Axis, Frame, HEADER, Panel, Series, Side};
use crate::plot::axis::Scale;
use crate::plot::canvas::{Canvas, Hold, Point, Type};
use crate::plot::text::width;
use crate::plot::theme::{self, Stroke};

impl Panel {
    /// Numbers at the gridlines.
    pub(super) fn numbers(&self, canvas: &mut Canvas, frame: &Frame, scales: &[Scale]) {
        let r = &frame.rect;
        let sides = [(Side::Left, r.left - 7.0), (Side::Right, r.right + 7.0)];
        for (scale, (side, x)) in scales.iter().zip(sides) {
            let drawn = self.series.iter().any(|s| s.side == side);
            if !drawn {
                continue;
            }
            let hold = match side {
                Side::Left => Hold::End,
                Side::Right => Hold::Start,
            };
            for tick in scale.ticks() {
                let share = (tick - scale.low) / (scale.high - scale.low);
                let y = r.bottom - share * (r.bottom - r.top);
                let how = Type::new(theme::NUMBER, self.colour(side), hold);
                canvas.text((x, y), &scale.number(tick), how);
            }
        }
    }

    /// Colour of an axis: that of its curves.
    fn colour(&self, side: Side) -> RGBColor {
        if !self.legend {
            return theme::SOFT;
        }
        let mut of_side = self
            .series
            .iter()
            .filter(|s| s.side == side && !s.name.is_empty());
        of_side.next().map_or(theme::SOFT, |s| s.stroke.text)
    }

    /// Above the panel: what is drawn how, in which unit; the left axis on the left.
    pub(super) fn header(&self, canvas: &mut Canvas, frame: &Frame, scales: &[Scale]) {
        let r = &frame.rect;
        let y = r.top - 0.5 * HEADER;
        let axes = [
            (Side::Left, Some(&self.left)),
            (Side::Right, self.right.as_ref()),
        ];
        for (scale, (side, axis)) in scales.iter().zip(axes) {
            let Some(axis) = axis else { continue };
            let parts = self.legend(side, axis, scale);
            let whole: f64 = parts.iter().map(Part::width).sum();
            let mut x = match side {
                Side::Left => r.left,
                Side::Right => r.right - whole,
            };
            for part in &parts {
                part.draw(canvas, (x, y));
                x += part.width();
            }
        }
    }

    fn legend(&self, side: Side, axis: &Axis, scale: &Scale) -> Vec<Part> {
        let named: Vec<&Series> = self
            .series
            .iter()
            .filter(|s| s.side == side && !s.name.is_empty())
            .collect();
        let mut parts = Vec::new();
        if !self.legend {
            let word = format!("{}, {}", axis.quantity, scale.unit);
            return vec![Part::Word(word, theme::SOFT)];
        }
        let many = named.len() > 1;
        if many {
            let word = format!("{}:", scale.named(axis.quantity));
            parts.push(Part::Word(word, self.colour(side)));
        }
        for (k, series) in named.iter().enumerate() {
            let space = match (many, k) {
                (false, _) => 0.0,
                (true, 0) => 8.0,
                (true, _) => 14.0,
            };
            parts.push(Part::Sample(series.stroke, space));
            let word = if many {
                series.name.clone()
            } else {
                scale.named(&series.name)
            };
            parts.push(Part::Word(word, series.stroke.text));
        }
        parts
    }
}

/// A piece of the line above a panel.
enum Part {
    /// A sample of a line, with space before it \[px\].
    Sample(Stroke, f64),
    Word(String, RGBColor),
}

impl Part {
    const SAMPLE: f64 = 26.0;
    const SPACE: f64 = 6.0;

    fn width(&self) -> f64 {
        match self {
            Part::Sample(_, space) => space + Part::SAMPLE + Part::SPACE,
            Part::Word(word, _) => width(word, theme::NAME, false),
        }
    }

    fn draw(&self, canvas: &mut Canvas, (x, y): Point) {
        match self {
            Part::Sample(stroke, space) => {
                canvas.line(&[(x + space, y), (x + space + Part::SAMPLE, y)], stroke);
            }
            Part::Word(word, colour) => {
                let how = Type::new(theme::NAME, *colour, Hold::Start);
                canvas.text((x, y), word, how);
            }
        }
    }
}
