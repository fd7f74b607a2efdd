//! The size of a spread: a quantity, or a share of the key's value.

use thiserror::Error;

use crate::case::keys::Number;
use crate::case::quantity::{self, Dimension, QuantityError};

/// The size of a spread; above zero.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Amount {
    /// In the key's SI unit.
    Absolute(f64),
    /// Of the key's own value.
    Share(f64),
}

/// Why a text is no size of a spread.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum AmountError {
    /// The text is neither a percentage nor a quantity of the key's dimension.
    #[error(transparent)]
    Quantity(#[from] QuantityError),
    /// A spread of zero or less.
    #[error("`{text}` is not a spread; it must be above zero")]
    NotAboveZero {
        /// As written, cut to 40 characters.
        text: String,
    },
    /// A spread of temperatures as a share, or in a unit with its zero elsewhere.
    #[error("`{text}`: a spread of temperatures is a difference; write it in K, such as \"5 K\"")]
    Temperature {
        /// As written, cut to 40 characters.
        text: String,
    },
    /// Next to nothing of the spread would lie within the key's bounds.
    #[error("a spread of {size} is wider than the bounds of the key, {bounds}")]
    TooWide {
        /// The size as people read it.
        size: String,
        /// The key's bounds in words.
        bounds: String,
    },
    /// A percentage of a key that is 0.
    #[error("the key's value is 0, so a percentage is not a spread; expected {wanted}")]
    ShareOfZero {
        /// What could be given instead, with an example.
        wanted: String,
    },
}

impl AmountError {
    /// What was probably meant.
    pub fn nearest(&self) -> Option<&str> {
        match self {
            AmountError::Quantity(error) => error.nearest(),
            _ => None,
        }
    }
}

impl Amount {
    /// Reads `1 V`, `2 %`, or a bare number where the key has no unit.
    ///
    /// # Errors
    /// When the text is no quantity of the key's dimension, or not above zero.
    pub fn read(text: &str, number: &Number) -> Result<Amount, AmountError> {
        let text = text.trim();
        let of_temperature = number.dimension == Dimension::Temperature;
        let temperature = || AmountError::Temperature {
            text: text.chars().take(40).collect(),
        };
        let amount = match text.strip_suffix('%') {
            Some(_) if of_temperature => return Err(temperature()),
            Some(share) => Amount::Share(quantity::parse(share, Dimension::Number)? / 100.0),
            None => {
                let value = quantity::parse(text, number.dimension)?;
                if of_temperature && (!text.ends_with('K') || text.contains("deg")) {
                    return Err(temperature());
                }
                Amount::Absolute(value)
            }
        };
        let (Amount::Absolute(size) | Amount::Share(size)) = amount;
        if size > 0.0 {
            Ok(amount)
        } else {
            let text = text.chars().take(40).collect();
            Err(AmountError::NotAboveZero { text })
        }
    }

    /// Its size for a key of this value \[SI\], held against the key's bounds.
    ///
    /// # Errors
    /// When it is none, or so wide that next to nothing of the spread would lie within them.
    pub fn fitting(self, value: f64, number: &Number) -> Result<f64, AmountError> {
        let size = self.of(value);
        if size <= 0.0 {
            let wanted = number.dimension.with_example();
            return Err(AmountError::ShareOfZero { wanted });
        }
        if size > number.range.most - number.range.least {
            return Err(AmountError::TooWide {
                size: self.text(number),
                bounds: number.bounds(),
            });
        }
        Ok(size)
    }

    /// Its size for a key of this value \[SI\].
    pub fn of(self, value: f64) -> f64 {
        match self {
            Amount::Absolute(size) => size,
            Amount::Share(share) => share * value.abs(),
        }
    }

    /// For people: `1 V`, `2 %`.
    pub fn text(self, number: &Number) -> String {
        match self {
            Amount::Share(share) => format!("{} %", quantity::number(share * 100.0, 12)),
            Amount::Absolute(size) if number.dimension == Dimension::Temperature => {
                format!("{} K", quantity::format_si(size))
            }
            Amount::Absolute(size) => number.text(size),
        }
    }

    /// As TOML.
    pub fn toml(self, number: &Number) -> String {
        match self {
            Amount::Absolute(_) if number.dimension == Dimension::Number => self.text(number),
            _ => format!("\"{}\"", self.text(number)),
        }
    }
}
