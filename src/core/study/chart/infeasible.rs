//! Studs the rig cannot weld: how sure that is, and which larger bank could.

use super::{Setting, setting, with_chance};
use crate::case::check::check;
use crate::case::quantity::to_digits;
use crate::study::chance::Chance;
use crate::study::dial::{Dial, Nowhere};
use crate::study::range::Vary;

/// Tenths more capacitance that are tried at most where nothing is sound: twice the bank.
const TWICE: u32 = 10;

/// Margin from which a larger bank is worth a closer look.
const WORTH: f64 = 0.05;

/// Why a stud cannot be welded, how sure that is, and whether a larger bank could.
#[derive(Debug, Clone, PartialEq)]
pub struct Hard {
    /// What is in the way, and where the weld is nearest to sound.
    pub found: Nowhere,
    /// Voltages and forces searched.
    pub searched: [Vary; 2],
    /// How many welds are sound where the weld is nearest to it, model, rig and stud drawn at once; `None` where no stud came
    /// down.
    pub chance: Option<Chance>,
    /// A larger bank that would do.
    pub larger: Option<Larger>,
}

/// A bank of more capacitance, and where to set it.
#[derive(Debug, Clone, PartialEq)]
pub struct Larger {
    /// Capacitance \[F\].
    pub capacitance: f64,
    /// Where to set the rig with that bank.
    pub setting: Setting,
}

impl Hard {
    /// Looks into why nothing is sound within the ranges of a dial.
    pub(super) fn of(dial: &Dial, ranges: &[Vary; 2], found: Nowhere) -> Hard {
        Hard {
            chance: found.best.and_then(|(at, ..)| dial.chance(&at)),
            larger: larger(dial),
            found,
            searched: ranges.clone(),
        }
    }
}

/// The least capacitance, in tenths of the case's and up to twice it, with a margin worth mentioning within the
/// same ranges, and half of the welds drawn sound.
fn larger(smaller: &Dial) -> Option<Larger> {
    let case = smaller.base();
    let dial = |tenths: u32| {
        let mut case = case.clone();
        // Three digits, as one would ask for it.
        let exact = case.bank.capacitance * (1.0 + 0.1 * f64::from(tenths));
        case.bank.capacitance = to_digits(exact, 3);
        check(&case).is_empty().then(|| smaller.with_base(case))
    };
    // A bank that is bought must do more than just.
    let sure = |chance: Option<Chance>| chance.is_none_or(|chance| !chance.is_poor());
    let does = |tenths: u32| {
        let found = dial(tenths).and_then(|dial| Some((dial.roughly()?, dial)));
        found.is_some_and(|((at, margin), dial)| margin >= WORTH && sure(dial.chance(&at)))
    };
    let (mut too_small, mut enough) = (0, TWICE);
    if !does(enough) {
        return None;
    }
    while enough - too_small > 1 {
        let middle = too_small.midpoint(enough);
        if does(middle) {
            enough = middle;
        } else {
            too_small = middle;
        }
    }
    let dial = dial(enough)?;
    let setting = *with_chance(&dial, setting(&dial, &dial.pair().ok()?)?);
    sure(setting.chance).then(|| Larger {
        capacitance: dial.base().bank.capacitance,
        setting,
    })
}
