//! One panel: curves over the common axis, read on the left or on the right.

mod axes;
mod words;

use plotters::prelude::*;

use super::axis::{Scale, Span, Unit, matched};
use super::canvas::{Canvas, FINE, Point, fine};
use super::curve::{cut, simplify};
use super::geometry::Rect;
use super::place::around;
use super::theme::{self, Stroke};

/// Which axis a curve is read on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// The left one, whose ticks carry the gridlines.
    Left,
    /// The right one, matched to the gridlines of the left.
    Right,
}

/// A curve.
#[derive(Debug, Clone, PartialEq)]
pub struct Series {
    /// Name; none for a curve that stays unnamed behind others.
    pub name: String,
    /// Axis it is read on.
    pub side: Side,
    /// How it is drawn, here and in the legend.
    pub stroke: Stroke,
    /// Points \[SI\], in order of x; two at one x are a jump.
    pub points: Vec<(f64, f64)>,
}

/// An axis: what its curves have in common, and the unit.
#[derive(Debug, Clone, PartialEq)]
pub struct Axis {
    /// Quantity, for an axis with more than one curve; a single curve's name says it.
    pub quantity: &'static str,
    /// Unit the numbers are shown in; a prefix may be put before it.
    pub unit: Unit,
}

/// A point worth labelling, which names its curve as well.
#[derive(Debug, Clone, PartialEq)]
pub struct Mark {
    /// Its curve: index into the panel's series.
    pub series: usize,
    /// Point \[SI\].
    pub at: (f64, f64),
    /// Words for it; left out where there is no room.
    pub word: String,
}

/// A panel.
#[derive(Debug, Clone, PartialEq)]
pub struct Panel {
    /// Axis on the left.
    pub left: Axis,
    /// Axis on the right; `None` where all curves are read on the left.
    pub right: Option<Axis>,
    /// Curves, each drawn over those before it.
    pub series: Vec<Series>,
    /// The one point worth labelling, mostly a peak; `None` where there is none.
    pub mark: Option<Mark>,
    /// Said quietly in the middle where there is nothing to draw.
    pub note: Option<String>,
    /// Whether the line above names the curves; else it says only what is drawn, in which unit.
    pub legend: bool,
    /// Height, relative to the other panels.
    pub weight: f64,
}

/// Where a panel stands and what it shows of the common axis.
#[derive(Debug, Clone, PartialEq)]
pub struct Frame {
    /// Room of the curves, numbers and names left outside \[px\].
    pub rect: Rect,
    /// Range of the common axis \[SI\].
    pub x: (f64, f64),
    /// Thin lines at these values of it \[SI\].
    pub hairs: Vec<f64>,
}

impl Frame {
    /// Place of a value of the common axis \[px\].
    pub fn across(&self, x: f64) -> f64 {
        let share = (x - self.x.0) / (self.x.1 - self.x.0);
        self.rect.left + share * (self.rect.right - self.rect.left)
    }
}

/// Height of the line of names above a panel \[px\].
pub const HEADER: f64 = 20.0;

/// Least distance between gridlines \[px\].
const STEP: f64 = 27.0;

/// Share of an axis kept free for a word at the peak.
const HEADROOM: f64 = 0.12;

/// Straight to a twentieth of a pixel, in drawing units.
const STRAIGHT: f64 = 0.2;

impl Panel {
    /// Scales of the left axis and, where there is one, of the right.
    pub fn scales(&self, frame: &Frame) -> Vec<Scale> {
        let (x, r) = (frame.x, &frame.rect);
        let span = |side| {
            let shown = self.series.iter().filter(|s| s.side == side);
            Span::of(shown.flat_map(|s| cut(&s.points, x.0, x.1).into_iter().map(|p| p.1)))
        };
        let mut axes = vec![(self.left.unit, span(Side::Left))];
        axes.extend(self.right.as_ref().map(|r| (r.unit, span(Side::Right))));
        let headroom = if self.mark.is_some() { HEADROOM } else { 0.0 };
        let most = (r.bottom - r.top) / STEP;
        matched(&axes, headroom, most as i64)
    }

    /// Draws the panel; returns its curves in pixels.
    pub fn draw(&self, canvas: &mut Canvas, frame: &Frame) -> Vec<Vec<Point>> {
        let scales = self.scales(frame);
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
        let px = |v: i32| f64::from(v) / FINE;
        let pixels = |line: Vec<(i32, i32)>| line.iter().map(|p| (px(p.0), px(p.1))).collect();
        lines.into_iter().map(pixels).collect()
    }
}
