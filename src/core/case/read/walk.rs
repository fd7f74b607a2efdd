//! A parsed file, key by key, compared with the registry.

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::draft::{Draft, Home, MetalDraft};
use super::mend::{Mended, mend};
use super::number::read_number;
use super::tolerance;
use super::uncertainty;
use super::value::read_value;
use super::words::{found, short};
use crate::case::catalogue;
use crate::case::diagnose::{Fault, Spot};
use crate::case::keys::{
    self, Address, EARTH, METAL, MOST_EARTHS, SECTIONS, TOLERANCE, UNCERTAINTY, ValueError,
};

/// Parses `text` and notes all it says, or all that is wrong with it; places are those of what is returned, where quotes
/// had to be put in.
pub(super) fn walk(text: &str, draft: &mut Draft) -> Option<Mended> {
    let (root, errors) = DeTable::parse_recoverable(text);
    if errors.is_empty() {
        tables(root.get_ref(), draft);
        return None;
    }
    let places = errors.iter().filter_map(|error| Some(error.span()?.start));
    let mended = mend(text, places);
    let again = mended
        .as_ref()
        .map(|mended| DeTable::parse_recoverable(&mended.text));
    match again {
        Some((root, errors)) if errors.is_empty() => tables(root.get_ref(), draft),
        // What was made of a broken file is not worth more errors.
        Some((_, errors)) => syntax(errors, draft),
        None => syntax(errors, draft),
    }
    for (place, meant) in mended.iter().flat_map(|mended| &mended.lines) {
        let spot = Spot::File(place.start, place.end);
        let told = |fault: &Fault| matches!(fault, Fault::QuotedNumber { .. });
        if !draft
            .problems
            .iter()
            .any(|p| p.spot == spot && told(&p.fault))
        {
            let meant = meant.clone();
            draft.fault(spot, Fault::NoQuotes { meant });
        }
    }
    mended
}

fn syntax(errors: Vec<toml::de::Error>, draft: &mut Draft) {
    for error in errors {
        let span = error.span().unwrap_or(0..0);
        let message = error.message().trim_end().to_string();
        let spot = Spot::File(span.start, span.end);
        // The parser may give up many times in one place.
        if draft.problems.last().is_none_or(|last| last.spot != spot) {
            draft.fault(spot, Fault::Syntax { message });
        }
    }
}

fn tables(root: &DeTable, draft: &mut Draft) {
    for (name, value) in root {
        let key: &str = name.get_ref();
        match (key, value.get_ref()) {
            (EARTH, value_ref) => earths(value_ref, spot(value), draft),
            (METAL, DeValue::Table(table)) => metals(table, draft),
            (TOLERANCE, DeValue::Table(table)) => tolerance::table(table, draft),
            (UNCERTAINTY, DeValue::Table(table)) => uncertainty::table(table, draft),
            (_, DeValue::Table(table)) if is_section(key) => section(key, None, table, draft),
            (_, other) if is_section(key) => {
                let name = key.to_string();
                let found = found(other);
                draft.fault(spot(value), Fault::NotASection { name, found });
            }
            (_, other) => match keys::by_name("", key) {
                Some(title) => read_value(title, &Address::Case(title), value, Home::File, draft),
                None => draft.fault(spot(name), unknown(draft, key, other)),
            },
        }
    }
}

/// A name at the top of the file that is neither a section nor a key.
fn unknown(draft: &Draft, name: &str, value: &DeValue) -> Fault {
    let hint = draft.hint("", name);
    let name = short(name);
    if matches!(value, DeValue::Table(_)) {
        return Fault::UnknownSection { name, hint };
    }
    Fault::UnknownKey {
        section: String::new(),
        name,
        hint,
    }
}

fn is_section(name: &str) -> bool {
    SECTIONS.iter().any(|(section, _)| *section == name)
}

/// The keys of one section, or of one earth lead.
fn section(name: &str, earth: Option<usize>, table: &DeTable, draft: &mut Draft) {
    for (key_name, value) in table {
        let text: &str = key_name.get_ref();
        match keys::by_name(name, text).filter(|key| !key.is_part()) {
            Some(key) => {
                let address = match earth {
                    Some(number) => Address::Earth(key, number),
                    None => Address::Case(key),
                };
                draft.note_old(name, text);
                read_value(key, &address, value, Home::File, draft);
            }
            None => {
                let fault = Fault::UnknownKey {
                    section: name.to_string(),
                    name: short(text),
                    hint: draft.hint(name, text),
                };
                draft.fault(spot(key_name), fault);
            }
        }
    }
}

fn earths(value: &DeValue, place: Spot, draft: &mut Draft) {
    let DeValue::Array(list) = value else {
        let found = found(value);
        draft.fault(place, Fault::NotAList { found });
        return;
    };
    let count = list.len();
    if count == 0 || count > MOST_EARTHS {
        draft.fault(place, Fault::EarthCount { count });
        return;
    }
    draft.earths = Some((count, place));
    for (number, lead) in list.iter().enumerate() {
        match lead.get_ref() {
            DeValue::Table(table) => section(EARTH, Some(number), table, draft),
            other => {
                let found = found(other);
                draft.fault(spot(lead), Fault::NotAList { found });
            }
        }
    }
}

fn metals(table: &DeTable, draft: &mut Draft) {
    for (name, value) in table {
        let metal: &str = name.get_ref();
        let DeValue::Table(figures) = value.get_ref() else {
            let (name, found) = (short(metal), found(value.get_ref()));
            draft.fault(spot(value), Fault::NotAMetal { name, found });
            continue;
        };
        let error = metal_name(metal);
        if let Some(error) = error {
            let path = format!("{METAL}.\"{}\"", short(metal));
            draft.fault(spot(name), Fault::Value { path, error });
            continue;
        }
        let read = metal_figures(metal, spot(name), figures, draft);
        draft.metals.push(read);
    }
}

/// The figures of one metal, its head at `head`.
fn metal_figures(metal: &str, head: Spot, figures: &DeTable, draft: &mut Draft) -> MetalDraft {
    let mut like = None;
    let mut given = Vec::new();
    for (key_name, value) in figures {
        let text: &str = key_name.get_ref();
        if text == "like" {
            like = read_like(metal, value, draft);
            continue;
        }
        let Some(key) = keys::by_metal_name(text) else {
            let fault = Fault::UnknownKey {
                section: format!("{METAL}.\"{metal}\""),
                name: short(text),
                hint: draft.hint(METAL, text),
            };
            draft.fault(spot(key_name), fault);
            continue;
        };
        given.push(key.name);
        let address = Address::Metal(metal.to_string(), key);
        read_number(&key.number, &address, value, Home::File, draft);
    }
    MetalDraft {
        name: metal.to_string(),
        spot: head,
        like,
        given,
    }
}

/// A metal's name is shown in results, so it is held to what a title is.
fn metal_name(name: &str) -> Option<ValueError> {
    let length = name.chars().count();
    const LONGEST: usize = 60;
    if length == 0
        || length > LONGEST
        || name
            .chars()
            .any(|c| c.is_control() || c == '"' || c == '\\')
    {
        return Some(ValueError::MetalName);
    }
    None
}

/// The name of the base metal, be it right or wrong.
fn read_like(metal: &str, value: &Spanned<DeValue>, draft: &mut Draft) -> Option<String> {
    let path = || format!("{METAL}.\"{metal}\".like");
    let Some(name) = value.get_ref().as_str() else {
        let wanted = "the name of a metal of the catalogue".to_string();
        let found = found(value.get_ref());
        draft.fault(
            spot(value),
            Fault::WrongType {
                path: path(),
                found,
                wanted,
            },
        );
        return Some(String::new());
    };
    if catalogue::find_metal(name).is_none() {
        let error = keys::unknown_metal(name, catalogue::metal_names());
        draft.fault(
            spot(value),
            Fault::Value {
                path: path(),
                error,
            },
        );
    }
    // A wrong name is told once; the figures it would give are not missed on top of that.
    Some(name.to_string())
}

fn spot<T>(value: &Spanned<T>) -> Spot {
    Home::File.spot(value)
}
