//! Names, units and values of what is fitted, as people read them.

use arcplunge_core::case::quantity::number;
use arcplunge_core::study::fit::Free;

/// An unknown as the page calls it.
pub(super) fn name(v: &str) -> &str {
    match v {
        "trigger" => "trigger in the trace",
        "offset" => "residual offset",
        "drift" => "baseline drift",
        key => key,
    }
}

/// Unit \[SI\] of an unknown that is no key.
pub(super) fn unit(name: &str) -> &'static str {
    match name {
        "offset" => "A",
        "drift" => "A/s",
        _ => "s",
    }
}

/// Number and unit of a value as the case writes it.
fn parts(free: &Free, x: f64) -> (f64, String) {
    let text = free.text(x);
    let (number, unit) = text.split_once(' ').unwrap_or((&text, ""));
    (number.parse().unwrap_or(x), unit.to_string())
}

/// A value to four digits in its own unit.
pub(super) fn shown(free: &Free, x: f64) -> String {
    let (value, unit) = parts(free, x);
    format!("{} {unit}", number(value, 4))
        .trim_end()
        .to_string()
}

/// An error to two digits in the unit of its value; a difference, so that a unit with another zero has no say.
pub(super) fn spread(free: &Free, value: f64, error: f64) -> String {
    let ((a, unit), (b, _)) = (parts(free, value), parts(free, value + error));
    format!("{} {unit}", number((b - a).abs(), 2))
        .trim_end()
        .to_string()
}
