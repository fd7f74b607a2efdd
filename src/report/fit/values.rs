//! Names, units and values of what is fitted, as people read them.

use arcplunge_core::case::keys::Number;
use arcplunge_core::case::quantity::number;
use arcplunge_core::study::fit::{Fitted, Setup};

/// An unknown as the page calls it, with its trace where there are several.
pub(super) fn name(setup: &Setup, v: &Fitted) -> String {
    let plain = match v.name.as_str() {
        "trigger" => "trigger in the trace",
        "offset" => "residual offset",
        "drift" => "baseline drift",
        "voltage_offset" => "voltage offset",
        key => key,
    };
    in_trace(setup, plain, v.record)
}

/// A name with the number of its trace, where there are several.
pub(super) fn in_trace(setup: &Setup, name: &str, record: Option<usize>) -> String {
    match record {
        Some(r) if setup.records.len() > 1 => {
            format!("{} ({})", name.trim_end_matches(" in the trace"), r + 1)
        }
        _ => name.to_string(),
    }
}

/// Unit \[SI\] of an unknown that is no key.
pub fn unit(name: &str) -> &'static str {
    match name {
        "offset" => "A",
        "drift" => "A/s",
        "voltage_offset" => "V",
        _ => "s",
    }
}

/// Number and unit of a value as the case writes it.
fn parts(key: &Number, x: f64) -> (f64, String) {
    let text = key.text(x);
    let (number, unit) = text.split_once(' ').unwrap_or((&text, ""));
    (number.parse().unwrap_or(x), unit.to_string())
}

/// A value to four digits in its own unit.
pub(super) fn shown(key: &Number, x: f64) -> String {
    let (value, unit) = parts(key, x);
    format!("{} {unit}", number(value, 4))
        .trim_end()
        .to_string()
}

/// A value rounded to its error, with that: "3.02 ± 0.36 mohm"; to four digits where there is none.
pub(super) fn with_error(key: &Number, value: f64, error: Option<f64>) -> String {
    let Some(error) = error else {
        return shown(key, value);
    };
    let (size, unit) = parts(key, value);
    let spread = spread(key, value, error);
    let digits = spread.split(' ').next().unwrap_or_default();
    let places = digits.split_once('.').map_or(0, |(_, places)| places.len());
    let size = match digits.contains('e') {
        true => number(size, 4),
        false => format!("{size:.places$}"),
    };
    format!("{size} ± {digits} {unit}").trim_end().to_string()
}

/// An error to two digits in the unit of its value; a difference, so that a unit with another zero has no say.
pub(super) fn spread(key: &Number, value: f64, error: f64) -> String {
    let ((a, unit), (b, _)) = (parts(key, value), parts(key, value + error));
    format!("{} {unit}", number((b - a).abs(), 2))
        .trim_end()
        .to_string()
}

#[cfg(test)]
mod tests {
    use super::*;
    use arcplunge_core::case::Case;
    use arcplunge_core::study::fit::Free;

    #[test]
    fn a_value_is_rounded_to_its_error() {
        let key = Free::read(&Case::default(), "bank.esr").unwrap().number;
        let told = |value, error| with_error(&key, value, error);
        assert_eq!(told(3.0194e-3, Some(0.356e-3)), "3.02 ± 0.36 mohm");
        assert_eq!(told(31.4e-3, Some(12e-3)), "31 ± 12 mohm");
        assert_eq!(told(3.0194e-3, Some(4.2e-8)), "3.019 ± 4.2e-5 mohm");
        assert_eq!(told(3.0194e-3, None), "3.019 mohm");
    }
}
