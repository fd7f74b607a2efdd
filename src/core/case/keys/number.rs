//! What a number of a case may be.

use crate::case::quantity::{self, Dimension};

/// Bounds in SI units; each end may be shut out, as for a length that cannot be zero.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    /// Lower end \[SI\].
    pub least: f64,
    /// Upper end \[SI\].
    pub most: f64,
    /// Whether `least` itself is allowed.
    pub with_least: bool,
    /// Whether `most` itself is allowed.
    pub with_most: bool,
}

impl Range {
    /// From `least` to `most`, both allowed.
    pub const fn from_to(least: f64, most: f64) -> Range {
        Range {
            least,
            most,
            with_least: true,
            with_most: true,
        }
    }

    /// Above zero, up to `most`.
    pub const fn above_zero(most: f64) -> Range {
        Range {
            with_least: false,
            ..Range::from_to(0.0, most)
        }
    }

    /// From zero up to, but not, `most`.
    pub const fn below(most: f64) -> Range {
        Range {
            with_most: false,
            ..Range::from_to(0.0, most)
        }
    }

    /// Whether `value` lies inside; never true of a value that is not a number.
    pub fn holds(&self, value: f64) -> bool {
        let above = value > self.least || (self.with_least && value == self.least);
        let below = value < self.most || (self.with_most && value == self.most);
        above && below
    }
}

/// A number of a case: what it measures, in which unit it is usually written, and its bounds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Number {
    /// What it measures.
    pub dimension: Dimension,
    /// Customary unit; empty for a bare number.
    pub unit: &'static str,
    /// Bounds \[SI\].
    pub range: Range,
}

impl Number {
    /// A number with its customary unit; the unit must be one of the dimension's.
    pub const fn new(dimension: Dimension, unit: &'static str, range: Range) -> Number {
        Number {
            dimension,
            unit,
            range,
        }
    }

    /// A bare number.
    pub const fn bare(range: Range) -> Number {
        Number::new(Dimension::Number, "", range)
    }

    /// `value` (SI) as a case file writes it, without quotes.
    pub fn text(&self, value: f64) -> String {
        if self.dimension == Dimension::Number {
            quantity::format_si(value)
        } else {
            quantity::format(value, self.unit, self.dimension)
        }
    }

    /// `value` (SI) in the customary unit, to at most `digits` significant digits.
    pub fn short(&self, value: f64, digits: usize) -> String {
        if self.dimension == Dimension::Number {
            quantity::number(value, digits)
        } else {
            quantity::short(value, self.unit, self.dimension, digits)
        }
    }

    /// The bounds in words: `from 0.1 m to 200 m`.
    pub fn bounds(&self) -> String {
        let least = self.text(self.range.least);
        let most = self.text(self.range.most);
        match (self.range.with_least, self.range.with_most) {
            (true, true) => format!("from {least} to {most}"),
            (false, _) => format!("above {least} and at most {most}"),
            (true, false) => format!("from {least} to below {most}"),
        }
    }
}
