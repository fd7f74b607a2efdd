//! The paper: an SVG document filled layer by layer, in pixels.
//!
//! plotters places everything on whole numbers, on which curves would step; so the drawing is
//! four times as large and shown at its size. Its SVG has no dashes and draws each as a line of
//! its own, so dashed lines are written here.

use std::fmt::Write as _;

use plotters::coord::Shift;
use plotters::prelude::*;
use plotters::style::text_anchor::{HPos, Pos, VPos};

use super::text::escape;
use super::theme::{self, Stroke};
use crate::program::PROGRAM;

/// Drawing units in a pixel.
pub const FINE: f64 = 4.0;

/// plotters' size of a font over the size it writes.
const PLOTTERS_SIZE: f64 = 1.24;

/// Where plotters draws.
pub type Area<'a> = DrawingArea<SVGBackend<'a>, Shift>;

/// What plotters may answer; writing into memory does not fail.
pub type Drawn = Result<(), DrawingAreaErrorKind<std::io::Error>>;

/// A point \[px\].
pub type Point = (f64, f64);

/// Which part of a text is at its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Hold {
    /// The left end.
    Start,
    /// Half its width.
    Middle,
    /// The right end.
    End,
}

/// How a text is set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Type {
    /// Size \[px\].
    pub size: f64,
    /// Colour of the letters.
    pub colour: RGBColor,
    /// Bold instead of regular weight.
    pub bold: bool,
    /// How it stands across; its middle is always at the height of its place.
    pub hold: Hold,
}

impl Type {
    /// Regular weight; `size` in \[px\].
    pub fn new(size: f64, colour: RGBColor, hold: Hold) -> Self {
        Type {
            size,
            colour,
            bold: false,
            hold,
        }
    }

    /// The same in bold.
    pub fn bold(self) -> Self {
        Type { bold: true, ..self }
    }
}

/// A document in the making.
#[derive(Debug, Clone)]
pub struct Canvas {
    /// Width of the paper \[px\].
    pub width: u32,
    /// Height of the paper \[px\].
    pub height: u32,
    body: String,
}

/// Pixels to drawing units.
pub fn fine(px: f64) -> i32 {
    (px * FINE).round() as i32
}

fn place((x, y): Point) -> (i32, i32) {
    (fine(x), fine(y))
}

impl Canvas {
    /// White paper of this size \[px\].
    pub fn new(width: u32, height: u32) -> Self {
        let mut canvas = Canvas {
            width,
            height,
            body: String::new(),
        };
        canvas.fill((0.0, 0.0), (width.into(), height.into()), theme::WHITE);
        canvas
    }

    /// Lets plotters draw a layer, in drawing units.
    pub fn layer(&mut self, draw: impl FnOnce(&Area<'_>) -> Drawn) {
        let mut buffer = String::new();
        let size = (fine(self.width.into()), fine(self.height.into()));
        {
            let backend = SVGBackend::with_string(&mut buffer, (size.0 as u32, size.1 as u32));
            let area = backend.into_drawing_area();
            let drawn = draw(&area).and_then(|()| area.present());
            debug_assert!(drawn.is_ok(), "writing into memory does not fail");
        }
        let inner = buffer.split_once(">\n").map_or("", |(_, rest)| rest);
        self.body
            .push_str(inner.strip_suffix("</svg>\n").unwrap_or(inner));
    }

    /// A place in the drawing, to come back to.
    pub fn mark(&self) -> usize {
        self.body.len()
    }

    /// Draws beneath all that was drawn since `mark`.
    pub fn beneath(&mut self, mark: usize, draw: impl FnOnce(&mut Canvas)) {
        let above = self.body.split_off(mark);
        draw(self);
        self.body.push_str(&above);
    }

    /// A filled rectangle.
    pub fn fill(&mut self, corner: Point, opposite: Point, colour: RGBColor) {
        self.layer(|area| {
            area.draw(&Rectangle::new(
                [place(corner), place(opposite)],
                colour.filled(),
            ))
        });
    }

    /// A filled area between points.
    pub fn polygon(&mut self, points: &[Point], colour: RGBColor) {
        let whole: Vec<(i32, i32)> = points.iter().map(|p| place(*p)).collect();
        self.layer(|area| area.draw(&Polygon::new(whole.clone(), colour.filled())));
    }

    /// A disc.
    pub fn dot(&mut self, at: Point, radius: f64, colour: RGBColor) {
        self.layer(|area| area.draw(&Circle::new(place(at), fine(radius), colour.filled())));
    }

    /// A line through points.
    pub fn line(&mut self, points: &[Point], stroke: &Stroke) {
        let whole: Vec<(i32, i32)> = points.iter().map(|p| place(*p)).collect();
        self.whole_line(&whole, stroke);
    }

    /// A line through points in drawing units.
    pub fn whole_line(&mut self, points: &[(i32, i32)], stroke: &Stroke) {
        if points.len() < 2 {
            return;
        }
        let Some((dash, space)) = stroke.dash else {
            let style = stroke.colour.stroke_width(fine(stroke.width) as u32);
            self.layer(|area| area.draw(&PathElement::new(points, style)));
            return;
        };
        let RGBColor(r, g, b) = stroke.colour;
        let mut list = String::new();
        for (x, y) in points {
            let _ = write!(list, "{x},{y} ");
        }
        let _ = writeln!(
            self.body,
            "<polyline fill=\"none\" stroke=\"#{r:02X}{g:02X}{b:02X}\" stroke-width=\"{}\" \
             stroke-dasharray=\"{} {}\" points=\"{}\"/>",
            fine(stroke.width),
            fine(dash),
            fine(space),
            list.trim_end()
        );
    }

    /// A line of text with its middle at the height of `at`.
    pub fn text(&mut self, at: Point, text: &str, how: Type) {
        if text.is_empty() {
            return;
        }
        let h = match how.hold {
            Hold::Start => HPos::Left,
            Hold::Middle => HPos::Center,
            Hold::End => HPos::Right,
        };
        let family = FontFamily::Name(theme::FONTS);
        let weight = if how.bold {
            FontStyle::Bold
        } else {
            FontStyle::Normal
        };
        let font = FontDesc::new(family, how.size * FINE * PLOTTERS_SIZE, weight);
        let style = TextStyle::from(font)
            .color(&how.colour)
            .pos(Pos::new(h, VPos::Center));
        self.layer(|area| area.draw(&Text::new(text, place(at), style)));
    }

    /// The document, with its name and description for those who do not see it, and the program that drew it.
    pub fn finish(self, name: &str, description: &str) -> String {
        let (w, h) = (self.width, self.height);
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}\" height=\"{h}\" \
             viewBox=\"0 0 {} {}\" role=\"img\" aria-labelledby=\"name about\" \
             stroke-linejoin=\"round\">\n<title id=\"name\">{}</title>\n<desc id=\"about\">{}</desc>\n<metadata>{PROGRAM}</metadata>\n{}</svg>\n",
            fine(w.into()),
            fine(h.into()),
            escape(name),
            escape(description),
            self.body
        )
    }
}
