//! A case that was read, and where each of its values came from.

use std::collections::BTreeMap;
use std::fmt;

use super::model::Case;
use super::slip::Doubt;
use super::tolerance::Tolerances;

/// A case with every key settled, and where each came from.
#[derive(Debug, Clone, PartialEq)]
pub struct Resolved {
    /// The case, checked by [`super::check::check`].
    pub case: Case,
    /// Where each value came from, by key.
    pub origins: Origins,
    /// What file and overrides say of spreads.
    pub tolerances: Tolerances,
    /// Keys given by an old name: that, and the new one.
    pub renamed: Vec<(String, String)>,
    /// Values that are valid and yet probably a slip in the unit.
    pub doubts: Vec<Doubt>,
}

/// Where a value came from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Origin {
    /// The demonstration case.
    Default,
    /// A named entry of the catalogue.
    Catalogue(String),
    /// A line of the case file, counted from 1.
    Line(usize),
    /// An override on the command line.
    Set,
}

/// Origins by full key name; what is not listed is a default.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Origins {
    /// Name of the case file, if there was one.
    pub file: Option<String>,
    by_key: BTreeMap<String, Origin>,
}

impl Origins {
    /// Origin of the value at a full key name such as `earth.0.clamp`.
    pub fn of(&self, key: &str) -> &Origin {
        self.by_key.get(key).unwrap_or(&Origin::Default)
    }

    /// Origin of a value with parts, such as a joint: an override of a part counts for the whole.
    pub fn of_whole(&self, key: &str) -> &Origin {
        let whole = self.of(key);
        let parts = self.by_key.iter().filter(|(part, _)| {
            part.strip_prefix(key)
                .is_some_and(|rest| rest.starts_with('.'))
        });
        let mut open = *whole == Origin::Default;
        let mut found = whole;
        for (_, origin) in parts {
            match origin {
                Origin::Set => return origin,
                Origin::Line(_) if open => (found, open) = (origin, false),
                _ => {}
            }
        }
        found
    }

    /// Notes the origin of a value; a later note replaces an earlier one.
    pub(crate) fn note(&mut self, key: String, origin: Origin) {
        self.by_key.insert(key, origin);
    }
}

impl fmt::Display for Origin {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        match self {
            Origin::Default => f.write_str("default"),
            Origin::Catalogue(name) => write!(f, "catalogue, {name}"),
            Origin::Line(line) => write!(f, "line {line}"),
            Origin::Set => f.write_str("--set"),
        }
    }
}
