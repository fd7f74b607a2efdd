//! What the parts of the card have in common: verdict of a shot, what is left, what is from memory.

use crate::chart;
use crate::compare::reserve::left;
use crate::document::{Cell, Tone};
use crate::title::deciding;
use crate::verdict;
use arcplunge_core::simulation::shot::Shot;
use arcplunge_core::study::card::Card;
use arcplunge_core::study::chart::Answer;

/// What is quoted from memory.
pub const MEMORY: &str = "† from memory: check against the standard you work to. Without that mark and without a figure of this rig: common \
     practice, no source.";

/// Verdict of the card's weld, and why.
pub fn headline(card: &Card) -> ((String, Tone), String) {
    let weld = &card.weld;
    let why = deciding(&weld.case, &weld.shot);
    let found = match &card.answer {
        Some(Answer::Sound(_)) => "At the setting below: ".to_string(),
        Some(other) => format!("No sound setting found ({}); as set: ", chart::short(other)),
        None => "As set: ".into(),
    };
    (verdict::full(weld), format!("{found}{why}"))
}

/// Verdict of a shot as a cell.
pub fn word(shot: &Shot) -> Cell {
    let (word, tone) = verdict::word(shot.verdict);
    Cell::toned(word, tone)
}

/// What is left above the fill that is needed.
pub fn reserve(shot: &Shot) -> String {
    left(shot).unwrap_or("–".into())
}
