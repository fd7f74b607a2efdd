//! Overrides: `KEY=VALUE`, the value without quotes.

use toml::de::DeValue;

use super::draft::{Draft, Home, MetalDraft};
use super::tolerance;
use super::uncertainty;
use super::value::read_value;
use crate::case::catalogue;
use crate::case::diagnose::{Fault, SET, Spot};
use crate::case::keys::{
    self, Address, EARTH, Key, KeyError, MOST_EARTHS, NONE, TOLERANCE, UNCERTAINTY,
};

/// Notes what the override number `index` says.
pub(super) fn set(index: usize, argument: &str, draft: &mut Draft) {
    let all = Spot::Set(index, 0, argument.len());
    let Some((left, right)) = argument.split_once('=') else {
        return draft.fault(all, Fault::NotKeyValue { option: SET });
    };
    let path = left.trim();
    if path.is_empty() {
        return draft.fault(all, Fault::NotKeyValue { option: SET });
    }
    let key_spot = Spot::Set(index, 0, left.trim_end().len());
    let start = left.len() + 1 + (right.len() - right.trim_start().len());
    let text = right.trim();
    let value_spot = Spot::Set(index, start, start + text.len());
    if text == NONE
        && let Some(number) = whole_earth(path)
    {
        return draft.removed.push((number, key_spot));
    }
    if let Some(key) = path
        .strip_prefix(TOLERANCE)
        .and_then(|p| p.strip_prefix('.'))
    {
        let home = Home::Set { index, start };
        return tolerance::set(key, text, &key_spot, &value_spot, home, draft);
    }
    if let Some(key) = path
        .strip_prefix(UNCERTAINTY)
        .and_then(|p| p.strip_prefix('.'))
    {
        return uncertainty::set(key, text, &key_spot, &value_spot, draft);
    }
    let address = match keys::find(path) {
        Ok(address) => address,
        Err(error) => return draft.fault(key_spot, error),
    };
    if let (Some((section, _)), Some((_, name))) = (path.split_once('.'), path.rsplit_once('.')) {
        draft.note_old(section, name);
    }
    if let Err(error) = make_room(&address, &key_spot, draft) {
        return draft.fault(key_spot, error);
    }
    let key: Option<&'static Key> = match &address {
        Address::Case(key) | Address::Earth(key, _) => Some(key),
        Address::Metal(..) => None,
    };
    // Lists and tables are written as in a file.
    if let Some(key) = key
        && text.starts_with(['{', '['])
    {
        return match DeValue::parse(text) {
            Ok(value) => {
                let mut own = Draft::default();
                read_value(key, &address, &value, Home::Set { index, start }, &mut own);
                draft.problems.extend(own.problems);
                for entry in own.entries {
                    draft.replace(entry.address, entry.value, entry.spot);
                }
            }
            Err(error) => {
                let span = error.span().unwrap_or(0..text.len());
                let spot = Spot::Set(index, start + span.start, start + span.end);
                let message = error.message().trim_end().to_string();
                draft.fault(spot, Fault::Syntax { message });
            }
        };
    }
    match address.read(unquoted(text)) {
        Ok(value) => draft.replace(address, value, value_spot),
        Err(error) => {
            let path = address.to_string();
            draft.fault(value_spot, Fault::Value { path, error });
        }
    }
}

/// The number in `earth.1`, which stands for a lead as a whole.
fn whole_earth(path: &str) -> Option<usize> {
    let number = path.strip_prefix(EARTH)?.strip_prefix('.')?;
    number.parse().ok()
}

/// Makes room for what an override may add: the next earth lead, other figures for a known metal.
fn make_room(address: &Address, spot: &Spot, draft: &mut Draft) -> Result<(), KeyError> {
    match address {
        Address::Earth(_, number) => {
            let count = draft.earth_count();
            if *number == count && count < MOST_EARTHS {
                let place = draft.earths_spot().cloned().unwrap_or(spot.clone());
                draft.earths = Some((count + 1, place));
                draft.added.push(count);
            } else if *number >= count {
                return Err(KeyError::NoEarth {
                    number: *number,
                    count,
                });
            }
        }
        Address::Metal(name, _) if draft.metals.iter().all(|metal| metal.name != *name) => {
            // Figures are given to a metal by the name it stands under.
            if !catalogue::metal_names().contains(&name.as_str()) {
                let named = draft.metals.iter().map(|metal| metal.name.as_str());
                let error = keys::unknown(name, "metal", named.chain(catalogue::metal_names()), "");
                let path = address.to_string();
                return Err(KeyError::Value { path, error });
            }
            draft.metals.push(MetalDraft {
                name: name.clone(),
                spot: spot.clone(),
                like: Some(name.clone()),
                given: Vec::new(),
            });
        }
        _ => {}
    }
    Ok(())
}

/// Quotes are not needed, but no harm.
fn unquoted(text: &str) -> &str {
    ['"', '\'']
        .into_iter()
        .find_map(|quote| text.strip_prefix(quote)?.strip_suffix(quote))
        .unwrap_or(text)
}
