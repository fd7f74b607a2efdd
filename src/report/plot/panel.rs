//! One panel: curves over the common axis, read on the left or on the right.

use plotters::prelude::*;

use super::axis::{Scale, Span, Unit, matched};
use super::canvas::{Canvas, Hold, Point, Type, fine};
use super::curve::{cut, simplify};
use super::place::{Crowd, Rect, around, beside, callout, together};
use super::text::width;
use super::theme::{self, Stroke};

/// Which axis a curve is read on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    Left,
    Right,
}

/// A curve.
#[derive(Debug, Clone, PartialEq)]
pub struct Series {
    /// Name; none for a curve that stays unnamed behind others.
    pub name: String,
    pub side: Side,
    pub stroke: Stroke,
    /// Points [SI], in order of x; two at one x are a jump.
    pub points: Vec<(f64, f64)>,
}

/// An axis: what its curves have in common, and the unit.
#[derive(Debug, Clone, PartialEq)]
pub struct Axis {
    /// Quantity, for an axis with more than one curve; a single curve's name says it.
    pub quantity: &'static str,
    pub unit: Unit,
}

/// A point worth a word.
#[derive(Debug, Clone, PartialEq)]
pub struct Mark {
    pub series: usize,
    /// Point [SI].
    pub at: (f64, f64),
    pub word: String,
}

/// A panel.
#[derive(Debug, Clone, PartialEq)]
pub struct Panel {
    pub left: Axis,
    pub right: Option<Axis>,
    pub series: Vec<Series>,
    pub mark: Option<Mark>,
    /// Said quietly in the middle where there is nothing to draw.
    pub note: Option<String>,
    /// Height, relative to the other panels.
    pub weight: f64,
}

/// Where a panel stands and what it shows of the common axis.
#[derive(Debug, Clone, PartialEq)]
pub struct Frame {
    pub rect: Rect,
    /// Range of the common axis [SI].
    pub x: (f64, f64),
    /// Thin lines at these values of it [SI].
    pub hairs: Vec<f64>,
}

impl Frame {
    /// Place of a value of the common axis [px].
    pub fn across(&self, x: f64) -> f64 {
        let share = (x - self.x.0) / (self.x.1 - self.x.0);
        self.rect.left + share * (self.rect.right - self.rect.left)
    }
}

/// Height of the line of names above a panel [px].
pub const HEADER: f64 = 20.0;

/// Share of an axis kept free for a word at the peak.
const HEADROOM: f64 = 0.12;

/// Straight enough to keep words away from [px].
const COARSE: f64 = 0.5;

/// Curves this near to each other share a name [px].
const TOGETHER: f64 = 2.0;

/// Straight to a twentieth of a pixel, in drawing units.
const STRAIGHT: f64 = 0.2;

impl Panel {
    /// Scales of the left axis and, where there is one, of the right.
    pub fn scales(&self, x: (f64, f64)) -> Vec<Scale> {
        let span = |side| {
            let shown = self.series.iter().filter(|s| s.side == side);
            Span::of(shown.flat_map(|s| cut(&s.points, x.0, x.1).into_iter().map(|p| p.1)))
        };
        let mut axes = vec![(self.left.unit, span(Side::Left))];
        axes.extend(self.right.as_ref().map(|r| (r.unit, span(Side::Right))));
        let headroom = if self.mark.is_some() { HEADROOM } else { 0.0 };
        matched(&axes, headroom)
    }

    /// Draws the panel; returns its curves in pixels.
    pub fn draw(&self, canvas: &mut Canvas, frame: &Frame) -> Vec<Vec<Point>> {
        let scales = self.scales(frame.x);
        let r = &frame.rect;
        let start = canvas.mark();
        let curves = self.curves(canvas, frame, &scales);
        self.numbers(canvas, frame, &scales);
        self.header(canvas, frame, &scales);
        let words = self.words(canvas, frame, &scales, &curves);
        canvas.beneath(start, |canvas| {
            for x in frame.hairs.iter().map(|x| frame.across(*x)) {
                for (from, to) in around(x, r.top, r.bottom, &words) {
                    canvas.line(&[(x, from), (x, to)], &theme::EVENT);
                }
            }
        });
        curves
    }

    /// Gridlines and curves.
    fn curves(&self, canvas: &mut Canvas, frame: &Frame, scales: &[Scale]) -> Vec<Vec<Point>> {
        let r = frame.rect;
        let (left, right) = (&scales[0], &scales[scales.len() - 1]);
        let mut lines: Vec<Vec<(i32, i32)>> = Vec::new();
        canvas.layer(|area| {
            let size = (fine(r.right - r.left) as u32, fine(r.bottom - r.top) as u32);
            let part = area.clone().shrink((fine(r.left), fine(r.top)), size);
            let x = frame.x.0..frame.x.1;
            let mut chart = ChartBuilder::on(&part)
                .build_cartesian_2d(x.clone(), left.low..left.high)?
                .set_secondary_coord(x, right.low..right.high);
            let rule = theme::RULE
                .colour
                .stroke_width(fine(theme::RULE.width) as u32);
            let across = |tick| vec![(frame.x.0, tick), (frame.x.1, tick)];
            let empty = self.series.is_empty();
            let ticks = left.ticks().into_iter().filter(|_| !empty);
            chart.draw_series(ticks.map(|tick| PathElement::new(across(tick), rule)))?;
            for series in &self.series {
                let shown = cut(&series.points, frame.x.0, frame.x.1);
                let place = |p: &(f64, f64)| match series.side {
                    Side::Left => chart.backend_coord(&(p.0, p.1 / left.factor)),
                    Side::Right => chart
                        .borrow_secondary()
                        .backend_coord(&(p.0, p.1 / right.factor)),
                };
                let whole: Vec<(f64, f64)> = shown
                    .iter()
                    .map(place)
                    .map(|(x, y)| (f64::from(x), f64::from(y)))
                    .collect();
                let whole = simplify(&whole, STRAIGHT);
                lines.push(whole.iter().map(|p| (p.0 as i32, p.1 as i32)).collect());
            }
            Ok(())
        });
        for (series, line) in self.series.iter().zip(&lines) {
            canvas.whole_line(line, &series.stroke);
        }
        let px = |v: i32| f64::from(v) / super::canvas::FINE;
        let pixels = |line: Vec<(i32, i32)>| line.iter().map(|p| (px(p.0), px(p.1))).collect();
        lines.into_iter().map(pixels).collect()
    }

    /// Numbers at the gridlines.
    fn numbers(&self, canvas: &mut Canvas, frame: &Frame, scales: &[Scale]) {
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
        let mut of_side = self
            .series
            .iter()
            .filter(|s| s.side == side && !s.name.is_empty());
        of_side.next().map_or(theme::SOFT, |s| s.stroke.text)
    }

    /// Above the panel: what is drawn how, in which unit; the left axis on the left.
    fn header(&self, canvas: &mut Canvas, frame: &Frame, scales: &[Scale]) {
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
        let colour = self.colour(side);
        let mut parts = Vec::new();
        for (k, series) in named.iter().enumerate() {
            let space = if k > 0 { 14.0 } else { 0.0 };
            parts.push(Part::Sample(series.stroke, space));
            parts.push(Part::Word(series.name.clone(), series.stroke.text, 0.0));
        }
        match named.len() {
            0 => {}
            1 => parts.push(Part::Word(format!(", {}", scale.unit), colour, 0.0)),
            _ => parts.push(Part::Word(
                format!("{}, {}", axis.quantity, scale.unit),
                colour,
                5.0,
            )),
        }
        parts
    }

    /// Names on the curves, the word at the mark, the quiet note; returns where words stand.
    fn words(
        &self,
        canvas: &mut Canvas,
        frame: &Frame,
        scales: &[Scale],
        curves: &[Vec<Point>],
    ) -> Vec<Rect> {
        let r = frame.rect;
        let inside = Rect {
            left: r.left + 4.0,
            right: r.right - 4.0,
            top: r.top,
            bottom: r.bottom - 2.0,
        };
        let hair = |x: &f64| {
            let x = frame.across(*x);
            vec![(x, r.top), (x, r.bottom)]
        };
        let mut crowd = Crowd {
            curves: curves.iter().map(|c| simplify(c, COARSE)).collect(),
            hairs: frame.hairs.iter().map(hair).collect(),
            words: Vec::new(),
        };
        if let Some(note) = &self.note {
            let how = Type::new(theme::NAME, theme::SOFT, Hold::Middle);
            let size = (width(note, theme::NAME, false), theme::NAME);
            let word = Rect::about(r.middle(), size);
            canvas.text(word.middle(), note, how);
            crowd.words.push(word);
        }
        if let Some(mark) = &self.mark {
            self.mark(canvas, frame, scales, &inside, mark, &mut crowd);
        }
        let mut named = vec![false; self.series.len()];
        for k in 0..self.series.len() {
            if named[k] || self.series[k].name.is_empty() {
                continue;
            }
            let (name, same) = self.share_name(k, curves);
            same.iter().for_each(|j| named[*j] = true);
            let size = (width(&name, theme::SMALL, false), theme::SMALL);
            if let Some(word) = beside(k, &same, size, &inside, &crowd) {
                let how = Type::new(theme::SMALL, self.series[k].stroke.text, Hold::Middle);
                canvas.text(word.middle(), &name, how);
                crowd.words.push(word);
            }
        }
        crowd.words
    }

    /// The name of a curve and of those that run along with it, and which those are.
    fn share_name(&self, k: usize, curves: &[Vec<Point>]) -> (String, Vec<usize>) {
        let mut name = self.series[k].name.clone();
        let mut same = Vec::new();
        for (j, other) in self.series.iter().enumerate().skip(k + 1) {
            let along = other.side == self.series[k].side
                && !other.name.is_empty()
                && together(&curves[k], &curves[j], TOGETHER);
            if along {
                name = format!("{name} and {}", other.name);
                same.push(j);
            }
        }
        (name, same)
    }

    fn mark(
        &self,
        canvas: &mut Canvas,
        frame: &Frame,
        scales: &[Scale],
        inside: &Rect,
        mark: &Mark,
        crowd: &mut Crowd,
    ) {
        let Some(series) = self.series.get(mark.series) else {
            return;
        };
        let scale = match series.side {
            Side::Left => &scales[0],
            Side::Right => &scales[scales.len() - 1],
        };
        let r = &frame.rect;
        let share = (mark.at.1 / scale.factor - scale.low) / (scale.high - scale.low);
        let at = (
            frame.across(mark.at.0),
            r.bottom - share * (r.bottom - r.top),
        );
        let size = (width(&mark.word, theme::SMALL, false), theme::SMALL);
        if let Some(found) = callout(at, 6.0, size, inside, crowd) {
            canvas.dot(at, 3.0, series.stroke.colour);
            canvas.line(&found.leader, &theme::LEADER);
            let how = Type::new(theme::SMALL, series.stroke.text, Hold::Middle);
            canvas.text(found.word.middle(), &mark.word, how);
            crowd.words.push(found.word);
            crowd.hairs.push(found.leader.to_vec());
        }
    }
}

/// A piece of the line above a panel.
enum Part {
    /// A sample of a line, with space before it [px].
    Sample(Stroke, f64),
    /// A word, with space before it [px].
    Word(String, RGBColor, f64),
}

impl Part {
    const SAMPLE: f64 = 26.0;
    const SPACE: f64 = 6.0;

    fn width(&self) -> f64 {
        match self {
            Part::Sample(_, space) => space + Part::SAMPLE + Part::SPACE,
            Part::Word(word, _, space) => space + width(word, theme::NAME, false),
        }
    }

    fn draw(&self, canvas: &mut Canvas, (x, y): Point) {
        match self {
            Part::Sample(stroke, space) => {
                canvas.line(&[(x + space, y), (x + space + Part::SAMPLE, y)], stroke);
            }
            Part::Word(word, colour, space) => {
                let how = Type::new(theme::NAME, *colour, Hold::Start);
                canvas.text((x + space, y), word, how);
            }
        }
    }
}
