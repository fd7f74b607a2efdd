//! One list of every key of a case: its name, what it measures, what it may be, and where it lives.
//!
//! Reading a file, `--set`, `case show`, the template and the reference page all go by this list,
//! so a key added here is known everywhere.

mod access;
mod address;
mod hint;
mod mark;
mod metal;
mod number;
mod rig;
mod value;
mod work;

#[cfg(test)]
mod tests;

pub use access::{get_number, numbers, set_number, set_text};
pub use address::{Address, KeyError, find, numeric_part};
pub use hint::{Hint, hint, nearest};
pub use mark::{MARK, MarkPlace, ScalePlace, mark_of, scale_of};
pub use metal::{METAL_KEYS, MetalKey};
pub use number::{Number, Range};
pub use value::{LONGEST_TITLE, NONE, Value, ValueError, unknown};

use super::model::{Case, Earth, Joint, Metal};
use super::tolerance::TOLERANCE;

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
    /// A joint's constant drop.
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

/// Sections of a case file in their order, each with what it is about.
pub const SECTIONS: [(&str, &str); 11] = [
    (
        "bank",
        "the capacitor bank with its switch and free-wheel diode",
    ),
    ("lead", "the lead to the tool"),
    (
        "earth",
        "the earth leads, one to four, each from the bank to a clamp on the sheet",
    ),
    ("joints", "the joints in series with the stud"),
    ("tool", "the tool"),
    ("stud", "the stud and its ignition tip, the pip"),
    ("sheet", "the parent sheet"),
    ("arc", "the arc"),
    (
        "model",
        "constants of the model that are neither rig nor material",
    ),
    (
        "metal",
        "a metal of your own, or other figures for one of the catalogue",
    ),
    (
        TOLERANCE,
        "how far values scatter from shot to shot, for `arcplunge scatter` and `sensitivity`",
    ),
];

/// Section holding a table per metal.
pub const METAL: &str = "metal";
/// Section that is a list.
pub const EARTH: &str = "earth";
/// Most earth leads a case may have.
pub const MOST_EARTHS: usize = 4;

/// Every key outside the metals, in the order of the file.
pub fn all() -> impl Iterator<Item = &'static Key> {
    rig::KEYS.iter().chain(work::KEYS)
}

/// The key of this full name, with `N` for the number of an earth lead.
pub fn by_path(path: &str) -> Option<&'static Key> {
    all().find(|key| key.path == path)
}

/// Section, old and new name of keys that were called otherwise; the old ones are read for one release more.
const RENAMED: [(&str, &str, &str); 3] = [
    ("lead", "run", "straight_length"),
    (EARTH, "bend", "azimuth"),
    ("stud", "bolted", "short_resistance"),
];

/// Older keys that go on as views, and what they are called now in a file that knows no polarity.
const OLDER: [(&str, &str, &str); 2] = [
    ("arc", "to_stud", "to_cathode"),
    ("arc", "to_sheet", "to_anode"),
];

/// The name that a key of this old name has now.
pub fn newer(section: &str, name: &str) -> Option<&'static str> {
    let mut known = RENAMED.iter().chain(&OLDER);
    let found = known.find(|(home, old, _)| (*home, *old) == (section, name));
    found.map(|(_, _, new)| *new)
}

/// The name of a key that is given by its old one.
pub fn renamed(section: &str, name: &str) -> Option<&'static str> {
    let mut known = RENAMED.iter();
    let found = known.find(|(home, old, _)| (*home, *old) == (section, name));
    found.map(|(_, _, new)| *new)
}

/// The key of this name in a section, or of this old name.
pub fn by_name(section: &str, name: &str) -> Option<&'static Key> {
    let name = renamed(section, name).unwrap_or(name);
    all().find(|key| key.section() == section && key.name() == name)
}

/// The figure of a metal of this name.
pub fn by_metal_name(name: &str) -> Option<&'static MetalKey> {
    METAL_KEYS.iter().find(|key| key.name == name)
}
