//! Values of more than one part: a joint, a centre mark, the place of a clamp.

use toml::Spanned;
use toml::de::{DeArray, DeTable, DeValue};

use super::draft::Draft;
use super::number::read_number;
use super::site::Site;
use super::words::{found, number_text, short};
use crate::case::catalogue::OWN;
use crate::case::diagnose::Fault;
use crate::case::keys::{self, Hint, Kind, Value};
use crate::case::model::Joint;
use crate::case::quantity::Dimension;

/// Parts of a value: their names, and whether they must be given.
type Parts = &'static [(&'static str, bool)];

/// Most parts of a value.
const MOST_PARTS: usize = 3;

/// The parts of a value of this kind.
fn part_names(kind: &Kind) -> Option<Parts> {
    match kind {
        Kind::Joint(_) => Some(&[("resistance", true), ("force", false), ("drop", false)]),
        Kind::CentreMark => Some(&[("depth", true), ("angle", false)]),
        Kind::Position => Some(&[("x", true), ("y", true)]),
        _ => None,
    }
}

/// Reads a table such as `{ resistance = "0.5 mohm", force = "20 N" }` into the draft: first the
/// whole, then its parts, which repeat it with places of their own.
pub(super) fn read_table(site: &Site, table: &DeTable, draft: &mut Draft) {
    let Some(names) = part_names(&site.key.kind) else {
        let fault = Fault::WrongType {
            path: site.address.to_string(),
            found: "a table",
            wanted: site.key.wanted(),
        };
        return draft.fault(site.spot.clone(), fault);
    };
    let from = draft.entries.len();
    let Some([first, second, third]) = parts(site, table, names, draft) else {
        // Parts of what is not whole would be faulted a second time.
        draft.entries.truncate(from);
        return;
    };
    let value = match (&site.key.kind, first, second) {
        (Kind::Joint(_), Some(resistance), force) => Value::Joint(Joint {
            name: OWN.to_string(),
            resistance,
            force,
            drop: third,
        }),
        (Kind::Position, Some(x), Some(y)) => Value::Position([x, y]),
        (_, Some(depth), _) => Value::Number(depth),
        _ => return,
    };
    draft.add(site.address.clone(), value, site.spot.clone());
    draft.entries[from..].rotate_right(1);
}

/// Reads each part of a table; `None` if one is wrong, unknown or missing.
fn parts(
    site: &Site,
    table: &DeTable,
    names: Parts,
    draft: &mut Draft,
) -> Option<[Option<f64>; MOST_PARTS]> {
    let problems = draft.problems.len();
    let mut numbers = [None; MOST_PARTS];
    for (name, part) in table {
        let text: &str = name.get_ref();
        let index = names.iter().position(|(known, _)| *known == text);
        let known = index.and_then(|index| Some((index, site.part(text)?)));
        let Some((index, (address, number))) = known else {
            let near = keys::nearest(text, names.iter().map(|(name, _)| *name));
            let fault = Fault::UnknownKey {
                section: site.address.to_string(),
                name: short(text),
                hint: Hint {
                    nearest: near.map(str::to_string),
                    ..Hint::default()
                },
            };
            draft.fault(site.home.spot(name), fault);
            continue;
        };
        let before = draft.entries.len();
        read_number(number, &address, part, site.home, draft);
        if let Some(Value::Number(read)) = draft.entries.get(before).map(|entry| &entry.value) {
            numbers[index] = Some(*read);
        }
    }
    if draft.problems.len() > problems {
        return None;
    }
    let pairs = names.iter().zip(&numbers);
    let lacking = pairs.filter(|((_, needed), number)| *needed && number.is_none());
    let missing: Vec<&str> = lacking.map(|((name, _), _)| *name).collect();
    if !missing.is_empty() {
        let path = site.address.to_string();
        draft.fault(site.spot.clone(), Fault::Missing { path, missing });
        return None;
    }
    Some(numbers)
}

/// Reads a list of two coordinates into the draft.
pub(super) fn read_list(site: &Site, list: &DeArray, draft: &mut Draft) {
    let path = || site.address.to_string();
    let mut texts: Vec<(&str, &Spanned<DeValue>)> = Vec::new();
    for part in list.iter() {
        let fault = match (part.get_ref(), number_text(part.get_ref())) {
            (DeValue::String(text), _) => {
                texts.push((text.as_ref(), part));
                continue;
            }
            (_, Some(number)) => Fault::NoUnit {
                path: path(),
                suggestion: format!("\"{number} mm\""),
                number,
                wanted: Dimension::Length.with_example(),
            },
            (other, None) => Fault::WrongType {
                path: path(),
                found: found(other),
                wanted: Dimension::Length.with_example(),
            },
        };
        return draft.fault(site.home.spot(part), fault);
    }
    let plain: Vec<&str> = texts.iter().map(|(text, _)| *text).collect();
    match site.key.read_position(&plain) {
        Ok(read) => draft.add(site.address.clone(), read, site.spot.clone()),
        Err(error) => {
            // The caret goes to the coordinate at fault, if it is one of the two.
            let wrong = texts
                .iter()
                .find(|(text, _)| site.key.read_position(&[*text, *text]).is_err());
            let spot = match wrong {
                Some((_, part)) if texts.len() == 2 => site.home.spot(part),
                _ => site.spot.clone(),
            };
            draft.fault(
                spot,
                Fault::Value {
                    path: path(),
                    error,
                },
            );
        }
    }
}
