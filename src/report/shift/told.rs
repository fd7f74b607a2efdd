//! A shift in a few words, the answer first.

use serde::Serialize;

use super::document::points;
use super::words::{headline, how};
use arcplunge_core::study::shift::Shift;

/// What is to be known of a shift.
#[derive(Debug, Serialize)]
pub struct Told {
    /// The word that judges its welds.
    word: &'static str,
    /// Its sentence: the first weld that is not sound, and why.
    sentence: String,
    /// Welds, pace and time.
    how: String,
    /// The fastest sound pace and what limits it; then what else is to be known.
    points: Vec<String>,
}

/// Tells it.
pub fn told(shift: &Shift) -> Told {
    let (word, sentence) = headline(shift);
    Told {
        word,
        sentence,
        how: how(shift),
        points: points(shift),
    }
}
