//! A TOML value in words, for messages.

use toml::de::{DeInteger, DeValue};

/// What a value is, with its article.
pub(super) fn found(value: &DeValue) -> &'static str {
    match value {
        DeValue::String(_) => "a text",
        DeValue::Float(number) if number.as_str().ends_with(['f', 'n']) => "infinite or undefined",
        DeValue::Integer(_) | DeValue::Float(_) => "a number",
        DeValue::Boolean(_) => "true or false",
        DeValue::Datetime(_) => "a date or time",
        DeValue::Array(_) => "a list",
        DeValue::Table(_) => "a table",
    }
}

/// A name short enough for a message.
pub(super) fn short(name: &str) -> String {
    name.chars().take(60).collect()
}

/// The decimal text of a TOML number, if it is finite.
pub(super) fn number_text(value: &DeValue) -> Option<String> {
    match value {
        DeValue::Integer(number) => Some(integer_text(number)),
        // `inf` and `nan` are numbers to TOML alone.
        DeValue::Float(number) if number.as_str().ends_with(['f', 'n']) => None,
        DeValue::Float(number) => Some(short(number.as_str())),
        _ => None,
    }
}

fn integer_text(number: &DeInteger) -> String {
    let decimal = i64::from_str_radix(number.as_str(), number.radix());
    decimal.map_or_else(|_| short(number.as_str()), |number| number.to_string())
}
