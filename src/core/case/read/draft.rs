//! What a file and its overrides say, before it becomes a case.

use toml::Spanned;

use crate::case::demonstration::EARTHS;
use crate::case::diagnose::{Fault, Problem, Spot};
use crate::case::keys::{Address, Hint, Value, hint, mark_of, newer};
use crate::case::tolerance::{Amount, Correlation, Own};

/// Problems with a hint of what was meant.
const HINTED: usize = 100;

/// Problems after which a section is read no further.
const HOPELESS: usize = 10_000;

/// Where TOML stands that is being read.
#[derive(Clone, Copy)]
pub(super) enum Home {
    File,
    /// The value of an override, `start` bytes into its argument.
    Set {
        index: usize,
        start: usize,
    },
}

impl Home {
    /// Where something parsed is.
    pub fn spot<T>(self, parsed: &Spanned<T>) -> Spot {
        let span = parsed.span();
        match self {
            Home::File => Spot::File(span.start, span.end),
            Home::Set { index, start } => Spot::Set(index, start + span.start, start + span.end),
        }
    }
}

/// One value given, and where.
#[derive(Clone)]
pub(super) struct Entry {
    pub address: Address,
    pub value: Value,
    /// The value, for carets.
    pub spot: Spot,
}

/// A metal as a file gives it.
pub(super) struct MetalDraft {
    pub name: String,
    /// The head of its table.
    pub spot: Spot,
    /// Catalogue metal to take other figures from.
    pub like: Option<String>,
    /// Figures it gives, be they right or wrong.
    pub given: Vec<&'static str>,
}

/// Everything said about a case, in order.
#[derive(Default)]
pub(super) struct Draft {
    pub entries: Vec<Entry>,
    /// Number of earth leads given, and where their list begins.
    pub earths: Option<(usize, Spot)>,
    /// Earth leads that overrides have added.
    pub added: Vec<usize>,
    /// Earth leads taken away by an override.
    pub removed: Vec<(usize, Spot)>,
    pub metals: Vec<MetalDraft>,
    /// Spreads given, in order, and where.
    pub tolerances: Vec<(Own, Spot)>,
    /// Whether the catalogue's spreads are left out.
    pub no_other_tolerances: bool,
    /// Correlations given, in order, and where.
    pub correlations: Vec<(Correlation, Spot)>,
    /// Studs in a box, where it is given.
    pub batch_size: Option<usize>,
    /// How well figures are known, in order, and where.
    pub uncertainty: Vec<(Address, Amount, Spot)>,
    pub problems: Vec<Problem>,
    /// Keys given by an old name: that, and the new one.
    pub renamed: Vec<(String, String)>,
}

impl Draft {
    /// Notes a key that is given by its old name.
    pub fn note_old(&mut self, section: &str, name: &str) {
        if let Some(new) = newer(section, name) {
            let pair = [name, new].map(|name| format!("{section}.{name}"));
            self.renamed.push(pair.into());
        }
    }

    /// What may have been meant by an unknown name. Of a file full of them the first get one: to look for it takes
    /// longer than to read the name.
    pub fn hint(&self, section: &str, name: &str) -> Hint {
        if self.problems.len() < HINTED {
            hint(section, name)
        } else {
            Hint::default()
        }
    }

    /// Whether so much is wrong that no more need be looked for.
    pub fn is_hopeless(&self) -> bool {
        self.problems.len() >= HOPELESS
    }

    pub fn fault(&mut self, spot: Spot, fault: impl Into<Fault>) {
        let fault = fault.into();
        self.problems.push(Problem { spot, fault });
    }

    pub fn add(&mut self, address: Address, value: Value, spot: Spot) {
        self.entries.push(Entry {
            address,
            value,
            spot,
        });
    }

    /// Adds a value that takes the place of whatever it covers.
    pub fn replace(&mut self, address: Address, value: Value, spot: Spot) {
        let path = address.to_string();
        self.entries
            .retain(|entry| !covers(&path, &entry.address.to_string()));
        self.add(address, value, spot);
    }

    /// How many earth leads there are so far.
    pub fn earth_count(&self) -> usize {
        self.earths.as_ref().map_or(EARTHS, |(count, _)| *count)
    }

    /// Where a key's value was given last; an override before the file.
    pub fn spot_of(&self, key: &str) -> Option<&Spot> {
        let given = self.entries.iter().rev();
        let mut found = given.filter(|entry| {
            let path = entry.address.to_string();
            path == key || covers(&path, key)
        });
        found.next().map(|entry| &entry.spot)
    }

    /// Where the list of earth leads was given.
    pub fn earths_spot(&self) -> Option<&Spot> {
        self.earths.as_ref().map(|(_, spot)| spot)
    }
}

/// The key that says the same in another way: a mark its number, and back.
pub(super) fn rival(path: &str) -> Option<&'static str> {
    let (key, mark) = mark_of(path)?;
    Some(if key.path == path {
        mark.number
    } else {
        key.path
    })
}

/// Whether giving `whole` settles `part` too: a joint its resistance, a size the flange.
fn covers(whole: &str, part: &str) -> bool {
    let own = ["stud.flange", "stud.pip_diameter", "stud.pip_length"];
    if whole == "stud.size" {
        return part == whole || own.contains(&part);
    }
    part == whole
        || rival(whole) == Some(part)
        || part
            .strip_prefix(whole)
            .is_some_and(|rest| rest.starts_with('.'))
}
