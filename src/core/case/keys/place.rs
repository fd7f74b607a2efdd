//! Reaching into a case where a key's number lives.

use super::key::{Key, Kind, Place};
use crate::case::catalogue::OWN;
use crate::case::model::Case;

/// Where the number of a key lives; `None` for what is no number.
pub(super) fn place(key: &Key) -> Option<&Place> {
    match &key.kind {
        Kind::Number(_, place) => Some(place),
        _ => None,
    }
}

impl Place {
    pub(super) fn number(&self, case: &Case, earth: Option<usize>) -> Option<f64> {
        match self {
            Place::Case(number, _) | Place::Maybe(number, _) => number(case),
            Place::Follows(_, now, _) | Place::View(now, _) => Some(now(case)),
            Place::Earth(number, _) => case.earths.get(earth?).map(number),
            Place::Resistance(joint) => joint.of(case, earth).map(|joint| joint.resistance),
            Place::Force(joint) => joint.of(case, earth)?.force,
            Place::Drop(joint) => joint.of(case, earth)?.drop,
            Place::Mark(mark) => mark.now(case),
        }
    }

    /// Puts `value` there; `None` if there is no such place in this case.
    pub(super) fn put(&self, case: &mut Case, earth: Option<usize>, value: f64) -> Option<()> {
        match self {
            Place::Case(_, slot) => *slot(case)? = value,
            Place::Maybe(_, slot) | Place::Follows(_, _, slot) => *slot(case) = Some(value),
            Place::View(_, put) => put(case, value),
            Place::Earth(_, slot) => *slot(case.earths.get_mut(earth?)?) = value,
            Place::Resistance(joint) => {
                let joint = joint.of_mut(case, earth)?;
                joint.resistance = value;
                joint.name = OWN.to_string();
            }
            Place::Force(joint) => {
                let joint = joint.of_mut(case, earth)?;
                joint.force = Some(value);
                joint.name = OWN.to_string();
            }
            Place::Drop(joint) => {
                let joint = joint.of_mut(case, earth)?;
                joint.drop = Some(value);
                joint.name = OWN.to_string();
            }
            Place::Mark(mark) => mark.put(case, value)?,
        }
        Some(())
    }
}
