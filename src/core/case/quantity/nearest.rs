//! Which unit was probably meant.

use super::Dimension;
use super::unit::{Unit, find, forms, plain};

/// What people write in words, and its symbol.
const WORDS: [(&str, &str); 17] = [
    ("c", "degC"),
    ("f", "degF"),
    ("celsius", "degC"),
    ("kelvin", "K"),
    ("inch", "in"),
    ("inches", "in"),
    ("feet", "ft"),
    ("foot", "ft"),
    ("metre", "m"),
    ("meter", "m"),
    ("sqmm", "mm2"),
    ("degrees", "deg"),
    ("volt", "V"),
    ("newton", "N"),
    ("farad", "F"),
    ("gram", "g"),
    ("sec", "s"),
];

/// The unit of this dimension a slip of case or one letter away.
pub(super) fn nearest(text: &str, wanted: Dimension) -> Option<String> {
    let text = plain(text)?;
    let word = text.to_lowercase();
    let word = WORDS.iter().find(|(name, symbol)| {
        (word == *name || word.strip_suffix('s') == Some(name)) && find(symbol, wanted).is_some()
    });
    if let Some((_, symbol)) = word {
        return Some((*symbol).to_string());
    }
    let mut best: Option<(usize, String)> = None;
    for candidate in spellings(wanted) {
        let distance = if candidate.eq_ignore_ascii_case(&text) {
            0
        } else {
            strsim::osa_distance(&candidate, &text)
        };
        // One letter off is a slip only in a unit of several.
        let close = distance == 0 || (distance == 1 && text.chars().count() > 2);
        if close && best.as_ref().is_none_or(|(least, _)| distance < *least) {
            best = Some((distance, candidate));
        }
    }
    best.map(|(_, unit)| unit)
}

/// Common spellings of the units of a dimension.
fn spellings(dimension: Dimension) -> Vec<String> {
    let mut all = Vec::new();
    for (numerators, denominators) in forms(dimension) {
        let above = prefixed(numerators);
        let Some(units) = denominators else {
            all.extend(above);
            continue;
        };
        let below = prefixed(units);
        let over = |a: &String| below.iter().map(|b| format!("{a}/{b}")).collect::<Vec<_>>();
        all.extend(above.iter().flat_map(over));
    }
    all
}

fn prefixed(units: &[Unit]) -> Vec<String> {
    const USUAL: [&str; 5] = ["", "m", "u", "c", "k"];
    let mut all = Vec::new();
    for unit in units {
        let symbol = unit.symbol.replace('·', "");
        let prefixes = if unit.prefix == 0 {
            &USUAL[..1]
        } else {
            &USUAL[..]
        };
        all.extend(prefixes.iter().map(|prefix| format!("{prefix}{symbol}")));
    }
    all
}
