//! What was probably meant by an unknown name.

use super::list::{METAL, SECTIONS, all};
use super::metal::METAL_KEYS;

/// What to say about an unknown key.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Hint {
    /// The known key closest in spelling.
    pub nearest: Option<String>,
    /// Full names of keys of this very name in other sections.
    pub belongs: Vec<String>,
    /// What to write instead of an everyday word that is no key.
    pub instead: Option<&'static str>,
}

/// What is said where somebody names a coating.
pub(super) const NO_COATINGS: &str = "coatings are not modelled: name the metal underneath, and strip zinc, paint and oil at the weld: their fumes are harmful (`arcplunge fire --cautions`)";

/// Everyday words that are no keys: section (empty for any), word, and what to write instead.
const EVERYDAY: [(&str, &str, &str); 5] = [
    (
        "tool",
        "spring",
        "use `tool.spring_force`, and `tool.spring_rate` for its decrease over the travel",
    ),
    (
        "bank",
        "energy",
        "set `bank.voltage`: the stored energy is E = ½CU²",
    ),
    (
        "bank",
        "charge",
        "set `bank.voltage`: the stored charge is Q = CU",
    ),
    (
        "",
        "polarity",
        "polarity is not modelled: follow the maker's instructions",
    ),
    ("", "coating", NO_COATINGS),
];

/// The closest of `known` to `name`, if it is close.
pub fn nearest<'a>(name: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    nearest_of(name, &known.into_iter().collect::<Vec<_>>())
}

fn nearest_of<'a>(name: &str, known: &[&'a str]) -> Option<&'a str> {
    let plain = simple(name);
    let scored = known.iter().map(|&candidate| {
        let score = strsim::jaro_winkler(&plain, &simple(candidate));
        let slips = strsim::osa_distance(&plain, &simple(candidate));
        (score, slips, candidate)
    });
    // A slip or two in a short word, or most of a long one.
    let close = scored.filter(|(score, slips, candidate)| {
        *score >= 0.86 || (*slips <= 2 && candidate.len() > 4) || *slips <= 1
    });
    let mut close: Vec<_> = close.collect();
    close.sort_by(|a, b| b.0.total_cmp(&a.0));
    match close[..] {
        // Of several just as close none was meant more than the others.
        [(first, ..), (second, ..), ..] if first == second => None,
        [(_, _, candidate), ..] => Some(candidate),
        [] => {
            // "steel" is one of the words of "mild steel".
            let mut partial = known
                .iter()
                .filter(|known| known.split(' ').any(|word| word == name));
            let first = partial.next().copied();
            first.filter(|_| partial.next().is_none())
        }
    }
}

fn simple(name: &str) -> String {
    // Names are short; a long one is no slip of any.
    let letters = name
        .chars()
        .take(40)
        .filter(|c| !matches!(c, '_' | '-' | ' '));
    letters.flat_map(char::to_lowercase).collect()
}

/// What may be meant by `name` in `section` (empty at the top of the file).
pub fn hint(section: &str, name: &str) -> Hint {
    let mut hint = Hint {
        nearest: nearest(name, names(section)).map(str::to_string),
        belongs: Vec::new(),
        instead: EVERYDAY
            .iter()
            .find(|(home, word, _)| (home.is_empty() || *home == section) && *word == name)
            .map(|(_, _, instead)| *instead),
    };
    for key in all().filter(|key| !key.is_part()) {
        if key.name() == name && key.section() != section {
            hint.belongs.push(key.path.to_string());
        }
    }
    if section != METAL && METAL_KEYS.iter().any(|key| key.name == name) {
        hint.belongs.push(format!("{METAL}.\"...\".{name}"));
    }
    if !section.is_empty()
        && hint.belongs.is_empty()
        && SECTIONS.iter().any(|(known, _)| *known == name)
    {
        hint.belongs.push(format!("[{name}]"));
    }
    if hint.nearest.is_none() && hint.belongs.is_empty() {
        let paths = all().filter(|key| !key.is_part()).map(|key| key.name());
        let other = nearest(name, paths).and_then(|found| all().find(|key| key.name() == found));
        hint.nearest = other.map(|key| key.path.to_string());
    }
    hint
}

/// Names known in a section; at the top these are `title` and the sections.
fn names(section: &str) -> Vec<&'static str> {
    if section == METAL {
        let figures = METAL_KEYS.iter().map(|key| key.name);
        return figures.chain(["like"]).collect();
    }
    let keys = all().filter(|key| key.section() == section);
    let mut names: Vec<_> = keys.map(|key| key.name()).collect();
    if section.is_empty() {
        names.extend(SECTIONS.map(|(name, _)| name));
    }
    names
}
