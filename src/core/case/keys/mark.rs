//! Keys of scales, and of the marks read off them.

use super::{Key, Kind, Number, Place, Range, all, by_path};
use crate::case::model::Case;
use crate::case::scale::Scale;

/// What a mark may be.
pub const MARK: Number = Number::bare(Range::from_to(0.0, 1000.0));

/// Where a scale lives, and what its values are.
#[derive(Clone, Copy)]
pub struct ScalePlace {
    /// The values.
    pub number: Number,
    /// The scale of a case; `None` if it has none.
    pub get: fn(&Case) -> &Option<Scale>,
    /// The same, to be changed.
    pub get_mut: fn(&mut Case) -> &mut Option<Scale>,
}

impl ScalePlace {
    /// A scale as a file writes it.
    pub fn text(&self, scale: &Scale) -> String {
        let pair = |[mark, value]: &[f64; 2]| {
            format!("[{}, \"{}\"]", MARK.text(*mark), self.number.text(*value))
        };
        let pairs: Vec<String> = scale.pairs().iter().map(pair).collect();
        format!("[{}]", pairs.join(", "))
    }

    /// An example of one, as a file writes it.
    pub fn example(&self) -> &'static str {
        match self.number.unit {
            "V" => "[[1, \"60 V\"], [10, \"160 V\"]]",
            _ => "[[1, \"40 N\"], [5, \"120 N\"]]",
        }
    }
}

/// A mark: the number it stands for, and the scale it is read off.
#[derive(Clone, Copy)]
pub struct MarkPlace {
    /// Key of the number.
    pub number: &'static str,
    /// Key of the scale.
    pub scale: &'static str,
}

impl MarkPlace {
    /// The scale, if the case has it.
    pub fn scale<'a>(&self, case: &'a Case) -> Option<&'a Scale> {
        match &by_path(self.scale)?.kind {
            Kind::Scale(place) => (place.get)(case).as_ref(),
            _ => None,
        }
    }

    /// The mark of the present value; `None` off the scale or without one.
    pub fn now(&self, case: &Case) -> Option<f64> {
        let Kind::Number(_, Place::Case(value, _)) = &by_path(self.number)?.kind else {
            return None;
        };
        self.scale(case)?.mark(value(case)?)
    }

    /// Sets the number to that of a mark; `None` off the scale or without one.
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
