//! What a sweep of one or two keys shows: rows as CSV, a page, curves, a map.

pub mod csv;
pub mod curves;
pub mod map;
pub mod text;

use crate::case::keys::Number;
use crate::case::quantity::parse;
use crate::cycle::verdict::Verdict;
use crate::report::plot::axis::Unit;
use crate::report::plot::theme;
use plotters::style::RGBColor;

/// The verdicts in order, with a letter for a map of text and a pale tint for a picture.
pub const VERDICTS: [(Verdict, char, RGBColor); 4] = [
    (Verdict::Cold, '.', theme::COLD),
    (Verdict::Sound, '#', theme::SOUND),
    (Verdict::Hot, 'o', theme::HOT),
    (Verdict::BurnThrough, 'x', theme::BURNT),
];

/// Letter and tint of a verdict; a blank where there is none.
pub fn look(verdict: Option<Verdict>) -> (char, Option<RGBColor>) {
    VERDICTS
        .iter()
        .find(|(v, ..)| Some(*v) == verdict)
        .map_or((' ', None), |(_, letter, tint)| (*letter, Some(*tint)))
}

/// SI per customary unit of a key, and that unit for an axis.
pub fn customary(number: &Number) -> (f64, Unit) {
    let unit = number.unit;
    if unit.is_empty() || unit == "degC" {
        return (1.0, Unit::plain(number.dimension.si()));
    }
    let factor = parse(&format!("1 {unit}"), number.dimension).unwrap_or(1.0);
    (factor, Unit::plain(pretty(unit)))
}

/// A customary unit as a picture writes it.
fn pretty(unit: &'static str) -> &'static str {
    match unit {
        "mm2" => "mm²",
        "mohm" => "mΩ",
        "ohm" => "Ω",
        "uH" => "µH",
        "deg" => "°",
        other => other,
    }
}
