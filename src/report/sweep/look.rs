//! Letters, tints and units of a sweep.

use crate::plot::axis::Unit;
use crate::plot::theme;
use arcplunge_core::case::keys::Number;
use arcplunge_core::case::quantity::parse;
use arcplunge_core::simulation::verdict::Verdict;
use arcplunge_core::study::range::Vary;
use plotters::style::RGBColor;

/// Letter of a verdict for a map of text, and pale tint for a picture; a blank where there is none.
pub fn look(verdict: Option<Verdict>) -> (char, Option<RGBColor>) {
    match verdict {
        None => (' ', None),
        Some(Verdict::Cold) => ('.', Some(theme::COLD)),
        Some(Verdict::OneSided) => ('/', Some(theme::ONE_SIDED)),
        Some(Verdict::Sound) => ('#', Some(theme::SOUND)),
        Some(Verdict::Hot) => ('o', Some(theme::HOT)),
        Some(Verdict::BurnThrough) => ('x', Some(theme::BURNT)),
    }
}

/// A key for an axis, in words and by its name: "charging voltage (bank.voltage)".
pub fn named(vary: &Vary) -> String {
    format!("{} ({})", vary.address.words(), vary.address)
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
