//! Marks: read off a scale, they set another number.

use super::key::{Key, Kind, MarkPlace, Place};
use super::list::{all, by_path};
use crate::case::model::Case;
use crate::case::scale::Scale;

impl MarkPlace {
    /// The scale, if the case has it.
    pub fn scale<'a>(&self, case: &'a Case) -> Option<&'a Scale> {
        match &by_path(self.scale)?.kind {
            Kind::Scale(place) => (place.get)(case).as_ref(),
            _ => None,
        }
    }

    /// The mark of the present value; `None` outside the scale or without one.
    pub fn now(&self, case: &Case) -> Option<f64> {
        let Kind::Number(_, Place::Case(value, _)) = &by_path(self.number)?.kind else {
            return None;
        };
        self.scale(case)?.mark(value(case)?)
    }

    /// Sets the number to that of a mark; `None` outside the scale or without one.
    pub fn put(&self, case: &mut Case, mark: f64) -> Option<()> {
        let value = self.scale(case)?.value(mark)?;
        let Kind::Number(_, Place::Case(_, slot)) = &by_path(self.number)?.kind else {
            return None;
        };
        *slot(case)? = value;
        Some(())
    }
}

/// The mark that stands for the number `path`, or is `path`.
pub fn mark_of(path: &str) -> Option<(&'static Key, MarkPlace)> {
    all().find_map(|key| match &key.kind {
        Kind::Number(_, Place::Mark(mark)) if mark.number == path || key.path == path => {
            Some((key, *mark))
        }
        _ => None,
    })
}

/// The scale on which the number `path` is set, if the case has one.
pub fn scale_of<'a>(case: &'a Case, path: &str) -> Option<&'a Scale> {
    mark_of(path)?.1.scale(case)
}
