//! The elements of a drawing: rectangles, circles, polygons, polylines and lines of text.

use std::str::FromStr;

use roxmltree::Node;
use tiny_skia::{LineJoin, Paint, Path, PathBuilder, Rect, Stroke, StrokeDash};

use super::PngError;
use super::letters::Line;
use crate::plot::theme;

/// The paper.
pub(super) struct Sheet {
    /// Width and height \[px\].
    pub size: [f32; 2],
    /// The same in units of the drawing.
    pub units: [f32; 2],
}

/// Something to be painted, in units of the drawing.
pub(super) struct Shape {
    pub path: Path,
    pub fill: Option<Paint<'static>>,
    pub stroke: Option<(Paint<'static>, Stroke)>,
}

/// An element and its attributes.
pub(super) struct Element<'a>(pub Node<'a, 'a>);

/// Reads the outline of an element; `None` where it has no extent.
type Outline = fn(&Element) -> Result<Option<Path>, PngError>;

/// Attributes of every shape.
const COLOURS: [&str; 5] = [
    "opacity",
    "fill",
    "stroke",
    "stroke-width",
    "stroke-dasharray",
];

impl Element<'_> {
    /// The paper, from the outermost element.
    pub fn sheet(&self) -> Result<Sheet, PngError> {
        if self.0.tag_name().name() != "svg" {
            return Err(self.unknown());
        }
        let names = ["width", "height", "viewBox", "role", "aria-labelledby"];
        self.only(&[&names, &["stroke-linejoin"]])?;
        self.expect("stroke-linejoin", "round")?;
        let [0.0, 0.0, across, down] = self.numbers("viewBox")?[..] else {
            return Err(self.wrong("viewBox"));
        };
        Ok(Sheet {
            size: [self.number("width")?, self.number("height")?],
            units: [across, down],
        })
    }

    /// What the element shows; nothing for words about the drawing and for what has no extent.
    pub fn shape(&self) -> Result<Option<Shape>, PngError> {
        let (own, outline): (&[&str], Outline) = match self.0.tag_name().name() {
            "" | "title" | "desc" | "metadata" => return Ok(None),
            "rect" => (&["x", "y", "width", "height"], |e| e.rectangle()),
            "circle" => (&["cx", "cy", "r"], |e| e.circle()),
            "polygon" => (&["points"], |e| e.corners(true)),
            "polyline" => (&["points"], |e| e.corners(false)),
            "text" => (&TEXT, |e| e.text()),
            _ => return Err(self.unknown()),
        };
        self.only(&[own, &COLOURS])?;
        if self.0.has_attribute("opacity") {
            self.expect("opacity", "1")?;
        }
        let fill = self.colour("fill")?;
        let stroke = match self.0.has_attribute("stroke") {
            true => self.colour("stroke")?,
            false => None,
        };
        let stroke = match stroke {
            Some(paint) => Some((paint, self.stroke()?)),
            None => None,
        };
        let path = outline(self)?;
        Ok(path.map(|path| Shape { path, fill, stroke }))
    }

    fn rectangle(&self) -> Result<Option<Path>, PngError> {
        let [width, height] = [self.number("width")?, self.number("height")?];
        let rect = Rect::from_xywh(self.number("x")?, self.number("y")?, width, height);
        rect.map(PathBuilder::from_rect)
            .map(Some)
            .ok_or_else(|| self.wrong("width"))
    }

    fn circle(&self) -> Result<Option<Path>, PngError> {
        let [x, y] = [self.number("cx")?, self.number("cy")?];
        Ok(PathBuilder::from_circle(x, y, self.number("r")?))
    }

    fn corners(&self, closed: bool) -> Result<Option<Path>, PngError> {
        let numbers = self.numbers("points")?;
        let mut path = PathBuilder::new();
        for (k, pair) in numbers.chunks(2).enumerate() {
            match pair {
                [x, y] if k == 0 => path.move_to(*x, *y),
                [x, y] => path.line_to(*x, *y),
                _ => return Err(self.wrong("points")),
            }
        }
        if closed {
            path.close();
        }
        Ok(path.finish())
    }

    fn text(&self) -> Result<Option<Path>, PngError> {
        let size = self.number("font-size")?;
        self.expect("font-family", theme::FONTS)?;
        // Without the height of an x, SVG's `ex` is half the size of the type.
        self.expect("dy", "0.5ex")?;
        let bold = self.0.has_attribute("font-weight");
        if bold {
            self.expect("font-weight", "bold")?;
        }
        let hold = match self.attribute("text-anchor")? {
            "start" => 0.0,
            "middle" => 0.5,
            "end" => 1.0,
            _ => return Err(self.wrong("text-anchor")),
        };
        // White space as XML's default has it: none at the ends, one space for many.
        let words = self.0.text().unwrap_or("").split_ascii_whitespace();
        let line = Line {
            text: &words.collect::<Vec<_>>().join(" "),
            bold,
            size,
            at: [self.number("x")?, self.number("y")? + 0.25 * size],
            hold,
        };
        Ok(line.outlines())
    }

    fn stroke(&self) -> Result<Stroke, PngError> {
        let dash = match self.0.has_attribute("stroke-dasharray") {
            true => {
                let lengths = self.numbers("stroke-dasharray")?;
                Some(StrokeDash::new(lengths, 0.0).ok_or_else(|| self.wrong("stroke-dasharray"))?)
            }
            false => None,
        };
        Ok(Stroke {
            width: self.number("stroke-width")?,
            line_join: LineJoin::Round,
            dash,
            ..Stroke::default()
        })
    }

    /// A colour; `None` for none.
    fn colour(&self, name: &str) -> Result<Option<Paint<'static>>, PngError> {
        let text = self.attribute(name)?;
        if text == "none" {
            return Ok(None);
        }
        let digits = text.strip_prefix('#').filter(|digits| digits.len() == 6);
        let number = digits.and_then(|digits| u32::from_str_radix(digits, 16).ok());
        let [_, r, g, b] = number.ok_or_else(|| self.wrong(name))?.to_be_bytes();
        let mut paint = Paint::default();
        paint.set_color_rgba8(r, g, b, u8::MAX);
        Ok(Some(paint))
    }
}

/// Attributes of a line of text.
const TEXT: [&str; 7] = [
    "x",
    "y",
    "dy",
    "text-anchor",
    "font-family",
    "font-size",
    "font-weight",
];

/// Attributes, each of which must be what this reader knows.
impl Element<'_> {
    fn only(&self, known: &[&[&str]]) -> Result<(), PngError> {
        let known = known.concat();
        let other = self.0.attributes().find(|a| !known.contains(&a.name()));
        other.map_or(Ok(()), |a| Err(self.wrong(a.name())))
    }

    fn attribute(&self, name: &str) -> Result<&str, PngError> {
        self.0.attribute(name).ok_or_else(|| self.wrong(name))
    }

    fn expect(&self, name: &str, value: &str) -> Result<(), PngError> {
        match self.attribute(name)? == value {
            true => Ok(()),
            false => Err(self.wrong(name)),
        }
    }

    fn numbers(&self, name: &str) -> Result<Vec<f32>, PngError> {
        let parts = self.attribute(name)?.split([' ', ',']);
        let numbers = parts.filter(|part| !part.is_empty()).map(f32::from_str);
        let numbers = numbers.collect::<Result<Vec<_>, _>>();
        numbers.map_err(|_| self.wrong(name))
    }

    fn number(&self, name: &str) -> Result<f32, PngError> {
        match self.numbers(name)?[..] {
            [number] => Ok(number),
            _ => Err(self.wrong(name)),
        }
    }

    fn unknown(&self) -> PngError {
        self.error(format!(
            "no element of a drawing: <{}>",
            self.0.tag_name().name()
        ))
    }

    fn wrong(&self, name: &str) -> PngError {
        let value = match self.0.attribute(name) {
            Some(value) => format!("{name}=\"{value}\""),
            None => format!("no {name}"),
        };
        self.error(format!("<{}> with {value}", self.0.tag_name().name()))
    }

    fn error(&self, what: String) -> PngError {
        let place = self.0.document().text_pos_at(self.0.range().start);
        PngError::Unknown {
            line: place.row,
            what,
        }
    }
}
