//! A drawing as PNG, at twice its size, with the font it carries along: no system font is asked for.
//!
//! It is painted from the SVG text itself, so that both say the same. [`element`] reads what
//! [`Canvas`](super::canvas::Canvas) writes and nothing else: what it does not know is an error
//! rather than missing from the picture.

mod element;
mod letters;

use roxmltree::Document;
use tiny_skia::{FillRule, Pixmap, Transform};

use element::{Element, Shape};

/// Pixels of the PNG in one of the drawing.
pub const SCALE: f32 = 2.0;

/// Why a drawing did not become a PNG.
#[derive(Debug, thiserror::Error)]
pub enum PngError {
    /// The text is no XML document.
    #[error("the drawing cannot be read: {0}")]
    Xml(#[from] roxmltree::Error),
    /// The document holds what no drawing of this program has.
    #[error("the drawing cannot be painted, line {line}: {what}")]
    Unknown {
        /// Line of the element.
        line: u32,
        /// What stands there.
        what: String,
    },
    /// There is no picture of this size \[px\].
    #[error("a picture of {width} × {height} is too large or empty")]
    Size {
        /// Pixels across.
        width: u32,
        /// Pixels down.
        height: u32,
    },
    /// The picture could not be packed.
    #[error("the picture cannot be encoded: {0}")]
    Encoding(String),
}

/// The drawing as the bytes of a PNG file.
///
/// # Errors
/// When `svg` is no drawing of [`Canvas`](super::canvas::Canvas), or too large.
pub fn png(svg: &str) -> Result<Vec<u8>, PngError> {
    paint(svg)?
        .encode_png()
        .map_err(|e| PngError::Encoding(e.to_string()))
}

/// The drawing in pixels.
fn paint(svg: &str) -> Result<Pixmap, PngError> {
    let document = Document::parse(svg)?;
    let root = Element(document.root_element());
    let sheet = root.sheet()?;
    let [width, height] = sheet.size.map(|side| (side * SCALE).round() as u32);
    let mut picture = Pixmap::new(width, height).ok_or(PngError::Size { width, height })?;
    let [across, down] = [0, 1].map(|k| SCALE * sheet.size[k] / sheet.units[k]);
    let scale = Transform::from_scale(across, down);
    for child in document.root_element().children() {
        let Some(Shape { path, fill, stroke }) = Element(child).shape()? else {
            continue;
        };
        if let Some(paint) = fill {
            picture.fill_path(&path, &paint, FillRule::Winding, scale, None);
        }
        if let Some((paint, stroke)) = stroke {
            picture.stroke_path(&path, &paint, &stroke, scale, None);
        }
    }
    Ok(picture)
}
