//! Quantities as text: "35 mm2" in, 3.5e-5 m² out, and back.
//!
//! Units are read and printed here and nowhere else; all other code sees plain SI numbers.

mod decimal;
mod dimension;
mod format;
mod nearest;
mod pattern;
mod unit;

#[cfg(test)]
mod tests;

pub use dimension::Dimension;
pub use format::{format, format_si, number, short, to_digits};
pub use pattern::pattern;

use decimal::Decimal;
use thiserror::Error;

/// Why a text is no quantity of the wanted dimension.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum QuantityError {
    /// The text does not start with a decimal number.
    #[error("`{text}` is not a number{}; expected {}", if *.wanted == Dimension::Number { "" } else { " with a unit" }, .wanted.with_example())]
    NotANumber {
        /// As written, cut to 40 characters.
        text: String,
        /// What the key takes.
        wanted: Dimension,
    },
    /// A decimal comma.
    #[error("`{text}` has a comma; write a decimal point, as in {}", .wanted.with_example())]
    Comma {
        /// As written, cut to 40 characters.
        text: String,
        /// What the key takes.
        wanted: Dimension,
    },
    /// The number is infinite, or too large for a computer.
    #[error("`{text}` is too large a number")]
    TooLarge {
        /// As written, cut to 40 characters.
        text: String,
    },
    /// A number without a unit.
    #[error("`{number}` has no unit; expected {}", .wanted.with_example())]
    NoUnit {
        /// The number as written, cut to 40 characters.
        number: String,
        /// What the key takes.
        wanted: Dimension,
    },
    /// A unit on a key that takes a bare number.
    #[error("`{text}` has a unit; expected {}", Dimension::Number.with_example())]
    UnwantedUnit {
        /// As written, cut to 40 characters.
        text: String,
    },
    /// An unknown unit.
    #[error("unknown unit `{unit}`; expected {}", .wanted.with_example())]
    UnknownUnit {
        /// As written, cut to 40 characters.
        unit: String,
        /// What the key takes.
        wanted: Dimension,
        /// The known unit a slip away, if there is one.
        nearest: Option<String>,
    },
    /// A known unit of something else.
    #[error("`{unit}` is a unit of {}; expected {}", .found.name(), .wanted.with_example())]
    WrongDimension {
        /// As written, cut to 40 characters.
        unit: String,
        /// What it is a unit of.
        found: Dimension,
        /// What the key takes.
        wanted: Dimension,
    },
}

impl QuantityError {
    /// The known unit close to what was written, if there is one.
    pub fn nearest(&self) -> Option<&str> {
        match self {
            QuantityError::UnknownUnit { nearest, .. } => nearest.as_deref(),
            _ => None,
        }
    }
}

/// Reads `text` as a quantity of the `wanted` dimension; the result is in SI units and finite.
///
/// # Errors
/// When there is no number at its head, its unit is missing or of something else, or it is too large.
pub fn parse(text: &str, wanted: Dimension) -> Result<f64, QuantityError> {
    let text = text.trim();
    let Some(number) = Decimal::lex(text) else {
        return Err(QuantityError::NotANumber {
            text: clip(text),
            wanted,
        });
    };
    let rest = text[number.length..].trim_start();
    if rest.starts_with(',') {
        let text = clip(text);
        return Err(QuantityError::Comma { text, wanted });
    }
    if rest.starts_with(|c: char| c.is_ascii_digit() || "/.+-_".contains(c)) {
        let text = clip(text);
        return Err(QuantityError::NotANumber { text, wanted });
    }
    let conversion = match (wanted, rest) {
        (Dimension::Number, "") => unit::Conversion::ONE,
        (Dimension::Number, _) => return Err(QuantityError::UnwantedUnit { text: clip(text) }),
        (_, "") => {
            let number = clip(&text[..number.length]);
            return Err(QuantityError::NoUnit { number, wanted });
        }
        _ => unit::find(rest, wanted).ok_or_else(|| unknown(rest, wanted))?,
    };
    let value = conversion.to_si(&number);
    if value.is_finite() {
        Ok(value)
    } else {
        Err(QuantityError::TooLarge { text: clip(text) })
    }
}

fn unknown(unit: &str, wanted: Dimension) -> QuantityError {
    let other = Dimension::ALL
        .into_iter()
        .find(|&d| unit::find(unit, d).is_some());
    match other {
        Some(found) => QuantityError::WrongDimension {
            unit: clip(unit),
            found,
            wanted,
        },
        None => QuantityError::UnknownUnit {
            unit: clip(unit),
            wanted,
            nearest: nearest::nearest(unit, wanted),
        },
    }
}

/// Long input is cut so that a message stays readable.
fn clip(text: &str) -> String {
    const LONGEST: usize = 40;
    if text.chars().count() <= LONGEST {
        return text.to_string();
    }
    text.chars().take(LONGEST).chain(['…']).collect()
}
