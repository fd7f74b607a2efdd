//! Reaching into a case by name: the short way in for sweeps, fits and overrides.

use super::address::{Address, find};
use super::error::KeyError;
use super::list;
use super::metal::METAL_KEYS;
use crate::case::model::Case;

/// The number at `path`, in SI.
///
/// # Errors
/// When there is no such key, or no number there in this case.
pub fn get_number(case: &Case, path: &str) -> Result<f64, KeyError> {
    let address = find(path)?;
    let path = address.to_string();
    address.number(case).ok_or(KeyError::NotSet { path })
}

/// Puts a number (SI) at `path`, checked against the key's own bounds; see [`crate::case::check`]
/// for what holds between keys.
///
/// # Errors
/// When there is no such key, it takes no number, the value is out of bounds, or there is no place for it.
pub fn set_number(case: &mut Case, path: &str, value: f64) -> Result<(), KeyError> {
    find(path)?.set_number(case, value)
}

/// Puts the value written as `text` at `path`: `"loose"`, `"12 m"`, `"M6"`.
///
/// # Errors
/// When there is no such key, the text is no value of it, or there is no place for it in this case.
pub fn set_text(case: &mut Case, path: &str, text: &str) -> Result<(), KeyError> {
    find(path)?.set_text(case, text)
}

/// Goes through the addresses of a case's own numbers, those of its metals apart.
pub(in crate::case) fn own_numbers(case: &Case, mut each: impl FnMut(Address)) {
    for key in list::all().filter(|key| key.number().is_some() && !key.repeats()) {
        if key.is_of_earth() {
            (0..case.earths.len()).for_each(|number| each(Address::Earth(key, number)));
        } else {
            each(Address::Case(key));
        }
    }
}

/// Every number the case holds, with its address; a mark or a view only repeats one.
pub fn numbers(case: &Case) -> Vec<(Address, f64)> {
    let mut all = Vec::new();
    own_numbers(case, |address| all.push(address));
    let stud = &case.stud.metal.name;
    let sheet = &case.sheet.metal.name;
    all.extend(
        METAL_KEYS
            .iter()
            .map(|key| Address::Metal(stud.clone(), key)),
    );
    if sheet != stud {
        all.extend(
            METAL_KEYS
                .iter()
                .map(|key| Address::Metal(sheet.clone(), key)),
        );
    }
    let numbers = all.into_iter().map(|address| {
        let number = address.number(case);
        (address, number)
    });
    numbers
        .filter_map(|(address, number)| Some((address, number?)))
        .collect()
}
