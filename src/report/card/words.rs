//! What the parts of the card have in common: verdict of a shot, what is left, what is from memory.

use crate::asides::{polarity, warned};
use crate::chart;
use crate::compare::reserve::left;
use crate::document::{Cell, Tone};
use crate::format::listed;
use crate::pairs;
use crate::verdict;
use arcplunge_core::simulation::joints::{Spot, joints};
use arcplunge_core::simulation::shot::Shot;
use arcplunge_core::study::card::Card;
use arcplunge_core::study::chart::Answer;

/// What is quoted from memory.
pub const MEMORY: &str = "† from memory: check against the standard you work to. Without that mark and without a figure of this rig: common \
     practice, no source.";

/// Verdict of the card's weld with how often others come within the band, why, and what warns.
pub fn headline(card: &Card) -> ((String, Tone), String) {
    let weld = &card.weld;
    let why = warned(&weld.case, &weld.shot);
    let found = match &card.answer {
        Some(Answer::Sound(_)) => "At the setting below: ".to_string(),
        Some(other) => format!("No sound setting found ({}); as set: ", chart::short(other)),
        None => "As set: ".into(),
    };
    let unsure = verdict::counted_doubt(weld.shot.verdict, weld.band.as_ref());
    let word = verdict::with(&weld.shot, unsure.as_deref());
    (word, format!("{found}{why}"))
}

/// What is to be known beside the verdict: what is not judged of the metals, what polarity would do.
pub fn points(card: &Card) -> Vec<String> {
    let remarks = pairs::remarks_of(&card.weld.case).into_iter();
    let mut out: Vec<String> = remarks.map(String::from).collect();
    out.extend(polarity(card.weld.band.as_ref()));
    out
}

/// That a joint of the case melts or arcs as it stands.
pub fn mend_first(card: &Card) -> Option<String> {
    let all = joints(&card.weld.rig, &card.weld.shot).into_iter();
    let burning = all.filter(|j| j.spot >= Spot::Melts);
    let names: Vec<String> = burning.map(|j| format!("the {}", j.name)).collect();
    let it = match names.len() {
        0 => return None,
        1 => "it",
        _ => "them",
    };
    let names = listed(&names);
    Some(format!(
        "Mend {names} first: the current melts {it} or forces {it} apart. The setting below is for the faulty rig only; \
         make a new card once the fault is mended."
    ))
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
