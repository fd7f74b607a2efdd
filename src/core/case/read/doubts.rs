//! What is valid in a case and its overrides and may not be meant.

use super::draft::{Draft, Entry};
use crate::case::diagnose::Spot;
use crate::case::keys::{Address, Value, find};
use crate::case::model::{Case, Method};
use crate::case::slip::{self, Doubt};

/// Every doubt about what was said to a case.
pub(super) fn doubts(draft: &Draft, case: &Case) -> Vec<Doubt> {
    let slips = draft.entries.iter().filter_map(|entry| match entry.value {
        Value::Number(value) => slip::doubt(&entry.address, value),
        _ => None,
    });
    let added = draft
        .added
        .iter()
        .filter_map(|number| new_earth(draft, case, *number));
    slips.chain(added).chain(idle(draft, case)).collect()
}

/// A lead that overrides have added and given neither a place nor a length: one that is there was probably meant.
fn new_earth(draft: &Draft, case: &Case, number: usize) -> Option<Doubt> {
    let of = |name: &str| format!("earth.{number}.{name}");
    let is_meant = |entry: &Entry| {
        let path = entry.address.to_string();
        path.starts_with(&of("at")) || path == of("length")
    };
    if draft.entries.iter().any(is_meant) {
        return None;
    }
    let at = |axis: &str| {
        let address = find(&of(axis)).ok()?;
        Some(address.about()?.short(address.number(case)?, 4))
    };
    let at = [at("at.x")?, at("at.y")?];
    Some(Doubt::NewEarth { number, at })
}

/// The lift, which the contact method does not use, where an override gives it.
fn idle(draft: &Draft, case: &Case) -> Option<Doubt> {
    let path = "tool.lift";
    let is_set = draft.entries.iter().any(|entry| {
        let here = matches!(&entry.address, Address::Case(key) if key.path == path);
        here && matches!(entry.spot, Spot::Set(..))
    });
    (is_set && case.tool.method == Method::Contact).then_some(Doubt::Idle { path })
}
