//! Why the weld is sound nowhere in the ranges searched.

use super::{Dial, Voltages};
use crate::simulation::fire::Workspace;
use crate::simulation::verdict::{Cause, Verdict};
use crate::study::outcome::changed;
use crate::study::sweep::Outcome;

/// Why the weld is sound nowhere.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Nowhere {
    /// What is in the way.
    pub why: Why,
    /// Where melt fills most of the wedge, or of the shots that fill it the one that boils least off; where the rim
    /// is uneven, the one that lacks least there: the keys' values \[SI\], fill and share boiled off there.
    pub best: Option<([f64; 2], f64, f64)>,
    /// Least fill of the rim there.
    pub least: Option<f64>,
    /// Whether it lies at an end of a range, and none of those ends can be extended: the key or the rig goes no further.
    pub is_last: bool,
    /// Voltages at which the weld would be sound, where not all of them were searched.
    pub voltages: Option<Voltages>,
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
    /// Melt would do for an even rim, but one side lacks some: tilt or arc blow.
    Uneven(Mend),
}

/// What makes the rim even.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mend {
    /// The tool set square, by itself.
    Square,
    /// The earth clamps placed so that the arc is blown less.
    Clamps,
    /// Both.
    Both,
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
            Why::Uneven(_) => "melt would fill the wedge, but one side of the rim lacks some",
        }
    }
}

/// A shot that is nearest to sound by what it is asked for: the keys' values, its fill, share boiled off, least fill of the
/// rim and the arc's energy \[J\].
type Best = Option<([f64; 2], [f64; 4])>;

impl Dial {
    /// Why none of the shots is sound.
    pub(super) fn nowhere<'a>(
        &self,
        all: impl Iterator<Item = ([f64; 2], &'a Outcome)>,
    ) -> Nowhere {
        let (why, best) = nowhere(all, |at| self.mend(at));
        Nowhere {
            why,
            best: best.map(|(at, [fill, vapour, ..])| (at, fill, vapour)),
            least: best.map(|(_, [_, _, least, _])| least),
            is_last: best.is_some_and(|(at, _)| self.is_last_of_all(&at)),
            voltages: self.voltages(best.map(|(at, _)| at)),
        }
    }

    /// Whether values lie at an end of a range, and none of those ends can be extended.
    fn is_last_of_all(&self, at: &[f64; 2]) -> bool {
        let keys = 0..self.sweep.vary.len();
        let mut ends = keys.filter(|k| self.ends(*k).contains(&at[*k])).peekable();
        ends.peek().is_some() && ends.all(|k| self.is_last(k, at[k]))
    }

    /// What would make the rim even at these values: the tool is set square, and fired again.
    fn mend(&self, at: &[f64; 2]) -> Mend {
        let keys = self.sweep.vary.iter().map(|vary| &vary.address);
        let Ok(mut case) = changed(&self.sweep.base, keys.zip(at.iter().copied())) else {
            return Mend::Both;
        };
        if case.tool.tilt == 0.0 {
            return Mend::Clamps;
        }
        case.tool.tilt = 0.0;
        let square = Outcome::of(&case, [], &self.sweep.settings, &mut Workspace::default());
        match square.verdict() {
            Some(Verdict::Sound) => Mend::Square,
            _ => Mend::Both,
        }
    }
}

fn nowhere<'a>(
    all: impl Iterator<Item = ([f64; 2], &'a Outcome)>,
    mend: impl Fn(&[f64; 2]) -> Mend,
) -> (Why, Best) {
    let (mut best, mut uneven): (Best, Best) = (None, None);
    let mut boils = false;
    let (mut arced, mut out, mut through) = (false, false, false);
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
        arced |= figures.ignition_s.is_some();
        let (Some(fill), Some(vapour)) = (figures.fill_ratio, figures.vapour_share) else {
            continue;
        };
        let least_fill = figures.rim_fill_min.unwrap_or(fill);
        let energy = figures.arc_energy_J.unwrap_or(0.0);
        let better = |&(_, [most, least, _, most_energy]): &([f64; 2], [f64; 4])| {
            if fill >= 1.0 && most >= 1.0 {
                vapour < least
            } else {
                // Where nothing melts only the pip fills, everywhere as much.
                (fill, energy) > (most, most_energy)
            }
        };
        let this = (values, [fill, vapour, least_fill, energy]);
        if best.as_ref().is_none_or(better) {
            best = Some(this);
        }
        // Square, with the arc in the middle, this one would be sound.
        let rim = matches!(cause, Cause::PartFilled | Cause::Underfilled);
        let more = |&(_, [_, _, most, _]): &([f64; 2], [f64; 4])| least_fill > most;
        if rim && fill >= 1.0 && uneven.as_ref().is_none_or(more) {
            uneven = Some(this);
        }
    }
    // A key held has one value only, which is no end.
    let inside = |x: f64, low: f64, high: f64| low == high || (low < x && x < high);
    if let Some((at, _)) = uneven {
        return (Why::Uneven(mend(&at)), uneven);
    }
    let why = match best {
        None if !arced => Why::NoArc,
        None if !through => Why::ArcOut,
        _ if through && !boils => Why::MeltsThrough,
        Some((_, [_, vapour, ..])) if boils || vapour > 0.0 => Why::Boils,
        None => Why::Boils,
        Some((at, ..)) if out && (0..2).all(|k| inside(at[k], least[k], most[k])) => Why::ArcOut,
        Some(_) => Why::RangeEnds,
    };
    (why, best)
}
