//! Why the weld is sound nowhere in the ranges searched.

use crate::simulation::verdict::Cause;
use crate::study::sweep::Outcome;

/// Why the weld is sound nowhere.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Nowhere {
    /// What is in the way.
    pub why: Why,
    /// Where melt fills most of the wedge, or of the shots that fill it the one that boils least off: the
    /// keys' values \[SI\], fill and share boiled off there.
    pub best: Option<([f64; 2], f64, f64)>,
}

/// What keeps the weld from being sound.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Why {
    /// No arc at any value.
    NoArc,
    /// The arc goes out before the stud is down.
    ArcOut,
    /// The face boils before melt fills the wedge.
    Boils,
    /// Melt still grows at the end of the range.
    RangeEnds,
    /// The sheet melts too deep.
    MeltsThrough,
}

impl Why {
    /// In a few words.
    pub fn words(self) -> &'static str {
        match self {
            Why::NoArc => "no arc strikes",
            Why::ArcOut => "the arc goes out before the stud is down",
            Why::Boils => "the face boils before melt fills the wedge",
            Why::RangeEnds => "melt still grows at the end of the range",
            Why::MeltsThrough => "the sheet melts too deep",
        }
    }
}

/// Why none of the shots is sound.
pub(super) fn nowhere<'a>(all: impl Iterator<Item = ([f64; 2], &'a Outcome)>) -> Nowhere {
    let (mut best, mut boils): (Option<([f64; 2], f64, f64)>, bool) = (None, false);
    let (mut out, mut through, mut landed) = (false, false, false);
    let (mut least, mut most) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
    for (values, outcome) in all {
        for k in 0..2 {
            least[k] = least[k].min(values[k]);
            most[k] = most[k].max(values[k]);
        }
        let Outcome::Shot { figures, cause, .. } = outcome else {
            continue;
        };
        out |= *cause == Cause::ArcOut;
        through |= *cause == Cause::MeltedThrough;
        boils |= *cause == Cause::BoiledOff;
        landed |= figures.touchdown_s.is_some();
        let (Some(fill), Some(vapour)) = (figures.fill_ratio, figures.vapour_share) else {
            continue;
        };
        let better = |&(_, most, least): &([f64; 2], f64, f64)| {
            if fill >= 1.0 && most >= 1.0 {
                vapour < least
            } else {
                fill > most
            }
        };
        if best.as_ref().is_none_or(better) {
            best = Some((values, fill, vapour));
        }
    }
    // A key held has one value only, which is no end.
    let inside = |x: f64, low: f64, high: f64| low == high || (low < x && x < high);
    let why = match best {
        None => Why::NoArc,
        Some(_) if !landed && out => Why::ArcOut,
        Some(_) if through && !boils => Why::MeltsThrough,
        Some((_, _, vapour)) if boils || vapour > 0.0 => Why::Boils,
        Some((at, ..)) if out && (0..2).all(|k| inside(at[k], least[k], most[k])) => Why::ArcOut,
        Some(_) => Why::RangeEnds,
    };
    Nowhere { why, best }
}
