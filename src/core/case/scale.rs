//! The marks of a knob or a tool, measured: pairs of mark and value, straight lines between them.

use serde::{Deserialize, Serialize};
use thiserror::Error;

/// Fewest pairs.
pub const LEAST: usize = 2;

/// Marks and values \[SI\], both rising.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(into = "Vec<[f64; 2]>", try_from = "Vec<[f64; 2]>")]
pub struct Scale {
    pairs: Vec<[f64; 2]>,
}

/// Why pairs make no scale.
#[derive(Debug, Clone, Copy, PartialEq, Error)]
#[non_exhaustive]
pub enum ScaleError {
    /// Fewer pairs than [`LEAST`]; how many there are.
    #[error("a scale takes at least {LEAST} pairs of mark and value; found {0}")]
    TooFew(usize),
    /// A mark that does not rise: the pair's number, counted from 1.
    #[error("pair {0}: its mark is not above the previous one; marks must rise")]
    Marks(usize),
    /// A value that does not rise: the pair's number, counted from 1.
    #[error("pair {0}: its value is not above the previous one; values must rise with the marks")]
    Values(usize),
}

impl TryFrom<Vec<[f64; 2]>> for Scale {
    type Error = ScaleError;

    fn try_from(pairs: Vec<[f64; 2]>) -> Result<Self, ScaleError> {
        Scale::new(pairs)
    }
}

impl From<Scale> for Vec<[f64; 2]> {
    fn from(scale: Scale) -> Self {
        scale.pairs
    }
}

impl Scale {
    /// A scale of measured pairs: mark, value \[SI\].
    ///
    /// # Errors
    /// With fewer than two pairs, or where a column does not rise.
    pub fn new(pairs: Vec<[f64; 2]>) -> Result<Self, ScaleError> {
        if pairs.len() < LEAST {
            return Err(ScaleError::TooFew(pairs.len()));
        }
        for (n, pair) in pairs.windows(2).enumerate() {
            // Also false of what is no number.
            let rises = |k: usize| pair[1][k] > pair[0][k];
            if !rises(0) {
                return Err(ScaleError::Marks(n + 2));
            }
            if !rises(1) {
                return Err(ScaleError::Values(n + 2));
            }
        }
        Ok(Scale { pairs })
    }

    /// The measured pairs.
    pub fn pairs(&self) -> &[[f64; 2]] {
        &self.pairs
    }

    /// First and last mark.
    pub fn marks(&self) -> [f64; 2] {
        self.ends(0)
    }

    /// First and last value \[SI\].
    pub fn values(&self) -> [f64; 2] {
        self.ends(1)
    }

    fn ends(&self, column: usize) -> [f64; 2] {
        [
            self.pairs[0][column],
            self.pairs[self.pairs.len() - 1][column],
        ]
    }

    /// What one can tell apart on it \[marks\]: a tenth, on a fine scale a whole mark.
    pub fn step(&self) -> f64 {
        let [first, last] = self.marks();
        if last - first > 50.0 { 1.0 } else { 0.1 }
    }

    /// The value at a mark \[SI\]; `None` outside the scale.
    pub fn value(&self, mark: f64) -> Option<f64> {
        self.across(0, mark)
    }

    /// The mark of a value \[SI\]; `None` outside the scale.
    pub fn mark(&self, value: f64) -> Option<f64> {
        self.across(1, value)
    }

    /// From column `from` to the other, along a straight line.
    fn across(&self, from: usize, x: f64) -> Option<f64> {
        let to = 1 - from;
        let pair = self
            .pairs
            .windows(2)
            .find(|pair| (pair[0][from]..=pair[1][from]).contains(&x))?;
        let (a, b) = (pair[0], pair[1]);
        // The ends give back what was measured, to the bit.
        Some(if x == b[from] {
            b[to]
        } else {
            a[to] + (x - a[from]) / (b[from] - a[from]) * (b[to] - a[to])
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn closed_form_between_marks_lie_straight_lines_and_nothing_beyond() {
        let scale = Scale::new(vec![[1.0, 40.0], [3.0, 100.0], [5.0, 120.0]]).unwrap();
        for (mark, value) in [
            (1.0, 40.0),
            (2.0, 70.0),
            (3.0, 100.0),
            (4.5, 115.0),
            (5.0, 120.0),
        ] {
            assert_eq!(scale.value(mark), Some(value));
            assert_eq!(scale.mark(value), Some(mark));
        }
        for off in [0.999, 5.001, f64::NAN] {
            assert_eq!(scale.value(off), None);
        }
        assert_eq!((scale.mark(39.0), scale.mark(121.0)), (None, None));
    }

    #[test]
    fn pairs_that_do_not_rise_are_no_scale() {
        assert_eq!(Scale::new(vec![[1.0, 40.0]]), Err(ScaleError::TooFew(1)));
        let fall = Scale::new(vec![[1.0, 40.0], [2.0, 50.0], [3.0, 50.0]]);
        assert_eq!(fall, Err(ScaleError::Values(3)));
        let back = Scale::new(vec![[2.0, 40.0], [2.0, 50.0]]);
        assert_eq!(back, Err(ScaleError::Marks(2)));
        assert!(Scale::new(vec![[1.0, 40.0], [f64::NAN, 50.0]]).is_err());
    }
}
