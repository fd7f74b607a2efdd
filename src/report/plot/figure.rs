//! A figure: panels stacked on one axis, bands and events through all of them, a title above.

use std::borrow::Cow;

use plotters::style::RGBColor;

use super::Size;
use super::axis::{Scale, Unit};
use super::canvas::{Canvas, Hold, Point, Type};
use super::events::{self, Label};
use super::geometry::Rect;
use super::panel::{Frame, HEADER, Panel};
use super::spread::spread;
use super::text::{clean, fit, width};
use super::theme;

/// A stretch of the common axis with a name and a tint.
#[derive(Debug, Clone, PartialEq)]
pub struct Band {
    /// Said above the first panel; empty for none.
    pub name: &'static str,
    /// Its colour behind all panels; `None` leaves the paper white.
    pub tint: Option<RGBColor>,
    /// From and to \[SI\].
    pub range: (f64, f64),
}

/// Everything on the paper.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    /// Largest line on top.
    pub title: String,
    /// Lines below it.
    pub lines: Vec<String>,
    /// What the common axis measures.
    pub axis: Cow<'static, str>,
    /// Unit of the common axis: its values are in SI, or in the unit itself where it is plain.
    pub unit: Unit,
    /// Least and largest value of the common axis that is shown.
    pub range: (f64, f64),
    /// Behind all panels, in order along the axis.
    pub bands: Vec<Band>,
    /// Thin lines through all panels with names below, in order along the axis; beyond the range names alone.
    pub events: Vec<Label>,
    /// Top to bottom.
    pub panels: Vec<Panel>,
    /// For those who do not see it.
    pub description: String,
}

/// What was put where \[px\].
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing {
    /// The whole SVG document.
    pub svg: String,
    /// Where each panel stands, top to bottom.
    pub frames: Vec<Frame>,
    /// The curves of each panel, as far as they are shown.
    pub curves: Vec<Vec<Vec<Point>>>,
}

/// Margins \[px\].
const LEFT: f64 = 58.0;
const RIGHT: f64 = 58.0;
pub(super) const TOP: f64 = 16.0;
const EDGE: f64 = 10.0;
/// Height of the title, of a line below it, and of the phases' names \[px\].
pub(super) const TITLE: f64 = 26.0;
pub(super) const LINE: f64 = 20.0;
const PHASES: f64 = 24.0;
/// Between panels, besides the line above each \[px\].
const BETWEEN: f64 = 10.0;
/// Below: the axis' numbers, and its name \[px\].
const NUMBERS: f64 = 15.0;
const AXIS: f64 = 26.0;

impl Figure {
    /// Draws it.
    pub fn draw(&self, size: Size) -> Drawing {
        let mut canvas = Canvas::new(size.width, size.height);
        let (frames, curves) = self.paint(&mut canvas, size);
        Drawing {
            svg: canvas.finish(&clean(&self.title), &clean(&self.description)),
            frames,
            curves,
        }
    }

    /// Draws it into the top of a canvas of at least this size.
    pub fn paint(&self, canvas: &mut Canvas, size: Size) -> (Vec<Frame>, Vec<Vec<Vec<Point>>>) {
        let (w, h) = (f64::from(size.width), f64::from(size.height));
        let head = TOP + TITLE + LINE * self.lines.len() as f64 + PHASES;
        let foot = if self.events.is_empty() {
            NUMBERS + 16.0
        } else {
            events::HEIGHT
        };
        let bottom = h - foot - AXIS;
        let frames = self.frames((LEFT, w - RIGHT), (head, bottom));
        self.heading(canvas, w);
        if let (Some(first), Some(last)) = (frames.first(), frames.last()) {
            self.bands(canvas, first, (first.rect.top - HEADER, last.rect.bottom));
            self.below(canvas, last, (w, h));
        }
        let curves = self
            .panels
            .iter()
            .zip(&frames)
            .map(|(panel, frame)| panel.draw(canvas, frame))
            .collect();
        (frames, curves)
    }

    /// Shares the height among the panels.
    fn frames(&self, (left, right): Point, (head, bottom): Point) -> Vec<Frame> {
        let number = self.panels.len() as f64;
        let free = bottom - head - number * HEADER - (number - 1.0) * BETWEEN;
        let weights: f64 = self.panels.iter().map(|p| p.weight).sum();
        let mut top = head;
        let frame = |panel: &Panel| {
            top += HEADER;
            let height = free * panel.weight / weights;
            let rect = Rect {
                left,
                top,
                right,
                bottom: top + height,
            };
            top += height + BETWEEN;
            Frame {
                rect,
                x: self.range,
                hairs: self
                    .events
                    .iter()
                    .map(|e| e.at)
                    .filter(|t| *t <= self.range.1)
                    .collect(),
            }
        };
        self.panels.iter().map(frame).collect()
    }

    fn heading(&self, canvas: &mut Canvas, w: f64) {
        let room = w - LEFT - RIGHT;
        let mut y = TOP + 0.5 * TITLE;
        let (title, size) = fit(&clean(&self.title), true, theme::TITLE, 12.0, room);
        canvas.text(
            (LEFT, y),
            &title,
            Type::new(size, theme::INK, Hold::Start).bold(),
        );
        y += 0.5 * (TITLE + LINE);
        for line in &self.lines {
            let (line, size) = fit(&clean(line), false, theme::SECOND, 11.0, room);
            canvas.text((LEFT, y), &line, Type::new(size, theme::SOFT, Hold::Start));
            y += LINE;
        }
    }

    /// Bands through all panels, named once above.
    fn bands(&self, canvas: &mut Canvas, frame: &Frame, (top, bottom): Point) {
        let shown: Vec<(&Band, Point)> = self
            .bands
            .iter()
            .filter(|b| b.range.0 < self.range.1 && b.range.1 > b.range.0)
            .map(|b| {
                let edge = |x: f64| frame.across(x.clamp(self.range.0, self.range.1));
                (b, (edge(b.range.0), edge(b.range.1)))
            })
            .collect();
        for (band, (from, to)) in &shown {
            if let Some(tint) = band.tint {
                canvas.fill((*from, top), (*to, bottom), tint);
            }
        }
        let named: Vec<_> = shown.iter().filter(|(b, _)| !b.name.is_empty()).collect();
        let wanted: Vec<f64> = named.iter().map(|(_, (a, b))| 0.5 * (a + b)).collect();
        let size = theme::NAME;
        let widths: Vec<f64> = named
            .iter()
            .map(|(b, _)| width(b.name, size, true))
            .collect();
        let middles = spread(&wanted, &widths, 10.0, EDGE, f64::from(canvas.width) - EDGE);
        let y = top - 0.5 * PHASES + 2.0;
        for (((band, (from, to)), middle), wanted) in named.iter().zip(middles).zip(wanted) {
            let how = Type::new(size, theme::SOFT, Hold::Middle).bold();
            canvas.text((middle, y), band.name, how);
            // A name that had to leave its band is led back to it.
            if middle < *from || middle > *to {
                canvas.line(&[(middle, y + 7.0), (wanted, top)], &theme::LEADER);
            }
        }
    }

    /// The common axis: numbers, events, its name.
    fn below(&self, canvas: &mut Canvas, frame: &Frame, (w, h): (f64, f64)) {
        let r = &frame.rect;
        let y = r.bottom;
        let most = ((r.right - r.left) / 80.0) as usize;
        let scale = Scale::along(self.unit, self.range.0, self.range.1, most);
        let (placed, size) = events::place(&self.events, frame, &scale, EDGE, w - EDGE);
        events::leaders(canvas, &placed, y);
        for tick in scale.ticks() {
            let x = frame.across(tick * scale.factor);
            canvas.line(&[(x, y), (x, y + 4.0)], &theme::AXIS);
            let number = scale.number(tick);
            let half = (0.5 * width(&number, theme::NUMBER, false) + 2.0, 8.0);
            let middle = y + NUMBERS;
            canvas.fill(
                (x - half.0, middle - half.1),
                (x + half.0, middle + half.1),
                theme::WHITE,
            );
            let how = Type::new(theme::NUMBER, theme::SOFT, Hold::Middle);
            canvas.text((x, middle), &number, how);
        }
        canvas.line(&[(r.left, y), (r.right, y)], &theme::AXIS);
        events::names(canvas, &placed, size, y);
        let name = scale.named(&self.axis);
        let name_y = h - 0.5 * AXIS;
        let how = Type::new(theme::NAME, theme::SOFT, Hold::Middle);
        canvas.text((0.5 * (r.left + r.right), name_y), &name, how);
    }
}
