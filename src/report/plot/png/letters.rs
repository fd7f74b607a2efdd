//! A line of text as outlines, set with the pair kerning of the font.

use tiny_skia::{Path, PathBuilder};
use ttf_parser::{Face, GlyphId, OutlineBuilder};

/// How a line of text is set, in the units of the drawing.
pub(super) struct Line<'a> {
    pub text: &'a str,
    pub bold: bool,
    pub size: f32,
    /// Start of the baseline, or its middle or end after [`Line::hold`].
    pub at: [f32; 2],
    /// Part of its width that stands left of `at`.
    pub hold: f32,
}

impl Line<'_> {
    /// Its outlines; `None` where nothing is to be seen.
    pub fn outlines(&self) -> Option<Path> {
        let face = face(self.bold)?;
        let scale = self.size / f32::from(face.units_per_em());
        let (glyphs, width) = place(&face, self.text);
        let mut pen = Pen {
            path: PathBuilder::new(),
            origin: [0.0, self.at[1]],
            scale,
        };
        for (glyph, x) in glyphs {
            pen.origin[0] = self.at[0] + scale * (x - self.hold * width);
            face.outline_glyph(glyph, &mut pen);
        }
        pen.path.finish()
    }
}

fn face(bold: bool) -> Option<Face<'static>> {
    let data = if bold {
        dejavu::sans::bold()
    } else {
        dejavu::sans::regular()
    };
    Face::parse(data, 0).ok()
}

/// The ligatures of the font's Latin letters; the longest first.
const LIGATURES: [(&str, &str); 5] = [
    ("ffi", "\u{fb03}"),
    ("ffl", "\u{fb04}"),
    ("ff", "\u{fb00}"),
    ("fi", "\u{fb01}"),
    ("fl", "\u{fb02}"),
];

/// Each glyph with its place along the baseline, and the width of all, in units of the font.
/// A character the font lacks becomes its empty box.
fn place(face: &Face, text: &str) -> (Vec<(GlyphId, f32)>, f32) {
    let mut x = 0.0;
    let mut glyphs: Vec<(GlyphId, f32)> = Vec::new();
    let text = LIGATURES
        .iter()
        .fold(text.to_string(), |text, (apart, one)| {
            text.replace(apart, one)
        });
    for c in text.chars() {
        let glyph = face.glyph_index(c).unwrap_or_default();
        if let Some((before, _)) = glyphs.last() {
            x += f32::from(kerning(face, *before, glyph));
        }
        glyphs.push((glyph, x));
        x += f32::from(face.glyph_hor_advance(glyph).unwrap_or(0));
    }
    (glyphs, x)
}

fn kerning(face: &Face, left: GlyphId, right: GlyphId) -> i16 {
    let tables = face.tables().kern.iter().flat_map(|kern| kern.subtables);
    let mut pairs = tables.filter(|t| t.horizontal && !t.variable && !t.has_state_machine);
    pairs
        .find_map(|t| t.glyphs_kerning(left, right))
        .unwrap_or(0)
}

/// Moves the outline of a glyph, whose y points up, to its place on the drawing.
struct Pen {
    path: PathBuilder,
    origin: [f32; 2],
    scale: f32,
}

impl Pen {
    fn at(&self, x: f32, y: f32) -> (f32, f32) {
        let [left, base] = self.origin;
        (left + self.scale * x, base - self.scale * y)
    }
}

impl OutlineBuilder for Pen {
    fn move_to(&mut self, x: f32, y: f32) {
        let (x, y) = self.at(x, y);
        self.path.move_to(x, y);
    }

    fn line_to(&mut self, x: f32, y: f32) {
        let (x, y) = self.at(x, y);
        self.path.line_to(x, y);
    }

    fn quad_to(&mut self, x1: f32, y1: f32, x: f32, y: f32) {
        let (x1, y1) = self.at(x1, y1);
        let (x, y) = self.at(x, y);
        self.path.quad_to(x1, y1, x, y);
    }

    fn curve_to(&mut self, x1: f32, y1: f32, x2: f32, y2: f32, x: f32, y: f32) {
        let (x1, y1) = self.at(x1, y1);
        let (x2, y2) = self.at(x2, y2);
        let (x, y) = self.at(x, y);
        self.path.cubic_to(x1, y1, x2, y2, x, y);
    }

    fn close(&mut self) {
        self.path.close();
    }
}
