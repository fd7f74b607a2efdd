//! What a key is: its name, what it takes, and where the case keeps it.

use super::number::{Number, Range};
use crate::case::model::{Case, Earth, Joint, Metal};
use crate::case::scale::Scale;

/// One key of a case.
pub struct Key {
    /// Full name; `N` stands for the number of an earth lead: `bank.voltage`, `earth.N.clamp`.
    pub path: &'static str,
    /// What it is, in a few words.
    pub about: &'static str,
    /// What it takes, and where the case keeps it.
    pub kind: Kind,
}

/// What a key takes, and where the case keeps it.
pub enum Kind {
    /// A quantity or a bare number.
    Number(Number, Place),
    /// Free text.
    Title,
    /// One of a few words.
    Choice(Choice),
    /// A stud of the catalogue.
    Size,
    /// A metal of the catalogue or the file.
    Metal(fn(&Case) -> &Metal, fn(&mut Case) -> &mut Metal),
    /// A preset, a resistance, or a resistance and a drop.
    Joint(JointPlace),
    /// Two lengths.
    Position,
    /// A depth and an angle, or none.
    CentreMark,
    /// Measured marks, or none.
    Scale(ScalePlace),
}

/// Where a number lives.
pub enum Place {
    /// In the case itself. What may be missing is `None`.
    Case(
        fn(&Case) -> Option<f64>,
        for<'a> fn(&'a mut Case) -> Option<&'a mut f64>,
    ),
    /// In the case itself, where there may be no such thing.
    Maybe(
        fn(&Case) -> Option<f64>,
        for<'a> fn(&'a mut Case) -> &'a mut Option<f64>,
    ),
    /// In the case itself, where what is not given follows from other keys: what is given, what holds, and
    /// the place for it.
    Follows(
        fn(&Case) -> Option<f64>,
        fn(&Case) -> f64,
        for<'a> fn(&'a mut Case) -> &'a mut Option<f64>,
    ),
    /// Other numbers of the case in other words: to read, and to change those.
    View(fn(&Case) -> f64, fn(&mut Case, f64)),
    /// In one of the earth leads.
    Earth(fn(&Earth) -> f64, fn(&mut Earth) -> &mut f64),
    /// A joint's resistance.
    Resistance(JointPlace),
    /// The force that holds a joint, if any is given.
    Force(JointPlace),
    /// The voltage of a parted joint's arc, if it is given.
    Drop(JointPlace),
    /// A mark that stands for another number of the case.
    Mark(MarkPlace),
}

/// Where a joint lives.
#[derive(Clone, Copy)]
pub enum JointPlace {
    /// In the case itself: to read, and to change.
    Case(fn(&Case) -> &Joint, fn(&mut Case) -> &mut Joint),
    /// In an earth lead: to read, and to change.
    Earth(fn(&Earth) -> &Joint, fn(&mut Earth) -> &mut Joint),
}

impl JointPlace {
    /// The joint; `None` if there is no such earth lead.
    pub fn of<'a>(&self, case: &'a Case, earth: Option<usize>) -> Option<&'a Joint> {
        match self {
            JointPlace::Case(joint, _) => Some(joint(case)),
            JointPlace::Earth(joint, _) => case.earths.get(earth?).map(joint),
        }
    }

    /// The joint, to be changed.
    pub fn of_mut<'a>(&self, case: &'a mut Case, earth: Option<usize>) -> Option<&'a mut Joint> {
        match self {
            JointPlace::Case(_, joint) => Some(joint(case)),
            JointPlace::Earth(_, joint) => case.earths.get_mut(earth?).map(joint),
        }
    }
}

/// One of a few words.
pub struct Choice {
    /// As files write them; each stands for its index.
    pub words: &'static [&'static str],
    /// Index of the word the case has.
    pub get: fn(&Case) -> usize,
    /// Sets the word of an index; panics where there is none.
    pub put: fn(&mut Case, usize),
}

impl Key {
    /// Section in the file; empty for `title`.
    pub fn section(&self) -> &'static str {
        self.path.split_once('.').map_or("", |(section, _)| section)
    }

    /// Name within its section, without the number of an earth lead.
    pub fn name(&self) -> &'static str {
        let rest = self
            .path
            .split_once('.')
            .map_or(self.path, |(_, rest)| rest);
        rest.strip_prefix("N.").unwrap_or(rest)
    }

    /// Whether each earth lead has one of its own.
    pub fn is_of_earth(&self) -> bool {
        self.path.starts_with("earth.N.")
    }

    /// Whether this is a part of another key, as `joints.tool.drop` is of `joints.tool`.
    pub fn is_part(&self) -> bool {
        self.name().contains('.')
    }

    /// Whether the word `none` is allowed: there may be no such thing.
    pub fn may_be_none(&self) -> bool {
        matches!(
            self.kind,
            Kind::CentreMark
                | Kind::Scale(_)
                | Kind::Number(_, Place::Maybe(..) | Place::Follows(..))
        )
    }

    /// Whether this is a mark, which only says another key in other words.
    pub fn is_mark(&self) -> bool {
        matches!(self.kind, Kind::Number(_, Place::Mark(_)))
    }

    /// Whether this only says other numbers of the case in other words.
    pub fn is_view(&self) -> bool {
        matches!(self.kind, Kind::Number(_, Place::View(..)))
    }

    /// Whether another key says all this one does: a mark, or a view.
    pub fn repeats(&self) -> bool {
        self.is_mark() || self.is_view()
    }

    /// The number of this key, if it is one.
    pub fn number(&self) -> Option<&Number> {
        match &self.kind {
            Kind::Number(number, _) => Some(number),
            _ => None,
        }
    }
}

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
