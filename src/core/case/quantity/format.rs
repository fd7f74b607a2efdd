//! Quantities back to text, so that reading the text gives the same number again.

use super::{Dimension, parse, unit};

/// `value` (SI) in `unit`, with as few digits as read back to the same number:
/// `format(3.5e-5, "mm2", Area)` is `35 mm2`.
pub fn format(value: f64, unit: &str, dimension: Dimension) -> String {
    let Some(conversion) = unit::find(unit, dimension) else {
        return format_si(value);
    };
    if conversion.factor == 1.0 && conversion.offset == 0.0 {
        return format!("{} {unit}", decimal(value, -conversion.power));
    }
    let scaled = (value - conversion.offset) / conversion.factor * 10f64.powi(-conversion.power);
    let exact = (0..17).find_map(|digits| {
        let text = format!("{} {unit}", rounded(scaled, digits));
        (parse(&text, dimension) == Ok(value)).then_some(text)
    });
    // Not every number has a decimal in a unit such as degrees that reads back to it; in SI it has.
    let si = || {
        let text = format!("{} {}", decimal(value, 0), dimension.si());
        (parse(&text, dimension) == Ok(value)).then_some(text)
    };
    exact
        .or_else(si)
        .unwrap_or_else(|| format!("{} {unit}", decimal(scaled, 0)))
}

/// `value` (SI) to at most `digits` significant digits in `unit`: `short(293.1, "degC", Temperature, 3)` is
/// `19.9 degC`. Rounded is what is printed: digits of kelvin or radians would say nothing there.
pub fn short(value: f64, unit: &str, dimension: Dimension, digits: usize) -> String {
    let Some(conversion) = unit::find(unit, dimension) else {
        return number(value, digits);
    };
    let scaled = (value - conversion.offset) / conversion.factor * 10f64.powi(-conversion.power);
    // Near the zero of a scale with an offset only rounding is left.
    let zero = scaled.abs() * conversion.factor < 1e-12 * conversion.offset;
    let scaled = if zero { 0.0 } else { scaled };
    format!("{} {unit}", number(scaled, digits))
}

/// `value` rounded to so many significant digits.
pub fn to_digits(value: f64, digits: usize) -> f64 {
    let places = digits.saturating_sub(1);
    format!("{value:.places$e}").parse().unwrap_or(value)
}

/// A bare number with as few digits as read back to the same one.
pub fn format_si(value: f64) -> String {
    decimal(value, 0)
}

/// `value` to at most `digits` significant digits, without needless zeros.
pub fn number(value: f64, digits: usize) -> String {
    rounded(value, digits.saturating_sub(1))
}

/// `value` with `places` digits after the leading one.
fn rounded(value: f64, places: usize) -> String {
    let text = format!("{value:.places$e}");
    decimal(text.parse().unwrap_or(value), 0)
}

/// Shortest decimal of `value`·10^shift: the exponent moves, the digits do not, so nothing is rounded.
fn decimal(value: f64, shift: i32) -> String {
    if !value.is_finite() {
        return value.to_string();
    }
    let text = format!("{value:e}");
    let (mantissa, exponent) = text.split_once('e').unwrap_or((&text, "0"));
    let exponent = exponent.parse::<i32>().unwrap_or(0) + shift;
    let (sign, mantissa) = match mantissa.strip_prefix('-') {
        Some(rest) => ("-", rest),
        None => ("", mantissa),
    };
    let digits: String = mantissa.chars().filter(|c| *c != '.').collect();
    if digits == "0" {
        return "0".to_string();
    }
    // Plain notation where it stays readable.
    let count = digits.len() as i32;
    if !(-4..=6).contains(&exponent) {
        let (first, rest) = digits.split_at(1);
        let dot = if rest.is_empty() { "" } else { "." };
        return format!("{sign}{first}{dot}{rest}e{exponent}");
    }
    if exponent < 0 {
        let zeros = "0".repeat((-exponent - 1) as usize);
        return format!("{sign}0.{zeros}{digits}");
    }
    if exponent + 1 >= count {
        let zeros = "0".repeat((exponent + 1 - count) as usize);
        return format!("{sign}{digits}{zeros}");
    }
    let (whole, fraction) = digits.split_at((exponent + 1) as usize);
    format!("{sign}{whole}.{fraction}")
}
