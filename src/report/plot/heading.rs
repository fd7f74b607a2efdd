//! What stands above the pictures of studies.

use super::canvas::{Canvas, Hold, Type};
use super::text::{clean, fit};
use super::theme;
use crate::title;
use arcplunge_core::case::Case;

/// Title and second line of a picture about a case, smaller where they are long; `line` comes last and may be empty.
pub fn heading(canvas: &mut Canvas, base: &Case, left: f64, room: f64, line: &str) {
    let (own, about) = title::heading(base);
    let (own, size) = fit(&clean(&own), true, theme::TITLE, 12.0, room);
    let bold = Type::new(size, theme::INK, Hold::Start).bold();
    canvas.text((left, 26.0), &own, bold);
    let about = about.as_deref().into_iter();
    let line: Vec<&str> = about
        .chain([line])
        .filter(|part| !part.is_empty())
        .collect();
    let line = line.join("; ");
    let (line, size) = fit(&clean(&line), false, theme::SECOND, 9.0, room);
    let how = Type::new(size, theme::SOFT, Hold::Start);
    canvas.text((left, 48.0), &line, how);
}
