//! The section `[tolerance]`: spreads by key.

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::correlation;
use super::draft::{Draft, Home};
use super::named::{each_key, numeric};
use super::words::{found, number_text, short};
use crate::case::diagnose::{Fault, Spot};
use crate::case::keys::{self, Address, Hint, KeyError, NONE, Number, TOLERANCE};
use crate::case::model::Case;
use crate::case::tolerance::{
    Amount, BATCH_SIZE, CORRELATION, OTHERS, Own, Shape, Spread, Tolerances, USUAL_BATCH,
};

/// Names in the table of one spread.
const PARTS: [&str; 4] = ["spread", "shape", "limit", "batch"];

/// Reads the section.
pub(super) fn table(table: &DeTable, draft: &mut Draft) {
    let mut keyed = DeTable::new();
    for (name, value) in table {
        let spot = Home::File.spot(value);
        match name.get_ref().as_ref() {
            OTHERS => others(value.get_ref().as_str(), spot, draft),
            BATCH_SIZE => batch_size(number_text(value.get_ref()).as_deref(), spot, draft),
            CORRELATION => correlation::table(value, Home::File, draft),
            _ => drop(keyed.insert(name.clone(), value.clone())),
        }
    }
    let is_spread = |table: &DeTable| table.iter().any(|(name, _)| is_part(name.get_ref()));
    each_key(("", &keyed), Home::File, draft, is_spread, &mut one);
}

fn is_part(name: &str) -> bool {
    PARTS.contains(&name)
}

/// An override: `tolerance.KEY=VALUE`, the value without quotes.
pub(super) fn set(
    key: &str,
    text: &str,
    key_spot: &Spot,
    value_spot: &Spot,
    home: Home,
    draft: &mut Draft,
) {
    if key == OTHERS {
        return others(Some(text), value_spot.clone(), draft);
    }
    if key == BATCH_SIZE {
        return batch_size(Some(text), value_spot.clone(), draft);
    }
    if key == CORRELATION {
        return match DeValue::parse(text) {
            Ok(value) => correlation::table(&value, home, draft),
            Err(error) => syntax(&error, value_spot, draft),
        };
    }
    let address = match numeric(key) {
        Ok(address) => address,
        Err(error) => return draft.fault(key_spot.clone(), error),
    };
    if text.starts_with('{') {
        return match DeValue::parse(text) {
            Ok(value) => one(address, &value, home, draft),
            Err(error) => syntax(&error, value_spot, draft),
        };
    }
    let text = text.trim_matches(['"', '\'']);
    match spread_of(text, &address) {
        Ok(spread) => draft
            .tolerances
            .push((Own { address, spread }, value_spot.clone())),
        Err(fault) => draft.fault(value_spot.clone(), fault),
    }
}

fn syntax(error: &toml::de::Error, spot: &Spot, draft: &mut Draft) {
    let message = error.message().trim_end().to_string();
    draft.fault(spot.clone(), Fault::Syntax { message });
}

fn batch_size(text: Option<&str>, spot: Spot, draft: &mut Draft) {
    match text.and_then(|text| text.trim().parse().ok()) {
        Some(size @ 2..=1_000_000) => draft.batch_size = Some(size),
        _ => draft.fault(spot, Fault::BatchSize),
    }
}

fn others(word: Option<&str>, spot: Spot, draft: &mut Draft) {
    if word == Some(NONE) {
        draft.no_other_tolerances = true;
    } else {
        draft.fault(spot, Fault::Others);
    }
}

/// A text that is no table: a normal spread, or none.
fn spread_of(text: &str, address: &Address) -> Result<Option<Spread>, Fault> {
    if text == NONE {
        return Ok(None);
    }
    Ok(Some(Spread {
        amount: amount_of(text, address, TOLERANCE)?,
        shape: Shape::Normal,
        limit: None,
        below: None,
        batch: None,
    }))
}

/// The size of a spread of a section.
pub(super) fn amount_of(
    text: &str,
    address: &Address,
    section: &'static str,
) -> Result<Amount, Fault> {
    let wrong = |error| Fault::Amount {
        section,
        path: address.to_string(),
        error,
    };
    let number = address.about().ok_or_else(|| KeyError::NotANumber {
        path: address.to_string(),
    })?;
    Amount::read(text, number).map_err(wrong)
}

/// Reads the spread of one key.
fn one(address: Address, value: &Spanned<DeValue>, home: Home, draft: &mut Draft) {
    let spot = home.spot(value);
    let spread = match value.get_ref() {
        DeValue::Table(parts) => match whole(&address, parts, &spot, home, draft) {
            Some(spread) => Some(spread),
            None => return,
        },
        DeValue::String(text) => match spread_of(text, &address) {
            Ok(spread) => spread,
            Err(fault) => return draft.fault(spot, fault),
        },
        _ => match amount(&address, value, TOLERANCE) {
            Ok(amount) => Some(Spread {
                amount,
                shape: Shape::Normal,
                limit: None,
                below: None,
                batch: None,
            }),
            Err(fault) => return draft.fault(spot, fault),
        },
    };
    draft.tolerances.push((Own { address, spread }, spot));
}

/// A size: a text, or a bare number where the key has no unit.
pub(super) fn amount(
    address: &Address,
    value: &Spanned<DeValue>,
    section: &'static str,
) -> Result<Amount, Fault> {
    match (value.get_ref(), number_text(value.get_ref())) {
        (DeValue::String(text), _) => amount_of(text, address, section),
        (_, Some(text)) => amount_of(&text, address, section),
        (other, None) => Err(Fault::WrongType {
            path: format!("{section}.\"{address}\""),
            found: found(other),
            wanted: wanted(address.about(), section),
        }),
    }
}

fn wanted(number: Option<&Number>, section: &str) -> String {
    let example = number.map_or_else(String::new, |n| n.dimension.with_example());
    match section {
        TOLERANCE => format!("{example}, a share such as \"2 %\", or {{ spread = …, shape = … }}"),
        _ => format!("{example} or a share such as \"2 %\""),
    }
}

/// A name that is no part of the spread of the key `path`.
fn unknown_part(path: &str, name: &str) -> Fault {
    Fault::UnknownKey {
        section: format!("{TOLERANCE}.\"{path}\""),
        name: short(name),
        hint: Hint {
            nearest: keys::nearest(name, PARTS).map(str::to_string),
            ..Hint::default()
        },
    }
}

/// `{ spread = "1 V", shape = "normal" }`; `None` when something is wrong with it.
fn whole(
    address: &Address,
    parts: &DeTable,
    spot: &Spot,
    home: Home,
    draft: &mut Draft,
) -> Option<Spread> {
    let problems = draft.problems.len();
    let path = address.to_string();
    let (mut size, mut shape, mut limit, mut batch) = (None, None, None, None);
    for (name, value) in parts {
        let place = home.spot(value);
        match name.get_ref().as_ref() {
            "spread" => match amount(address, value, TOLERANCE) {
                Ok(amount) => size = Some(amount),
                Err(fault) => draft.fault(place, fault),
            },
            "limit" => match amount(address, value, TOLERANCE) {
                Ok(amount) => limit = Some(amount),
                Err(fault) => draft.fault(place, fault),
            },
            "batch" => match amount(address, value, TOLERANCE) {
                Ok(amount) => batch = Some(amount),
                Err(fault) => draft.fault(place, fault),
            },
            "shape" => {
                let word = value.get_ref().as_str().unwrap_or_default();
                shape = Shape::ALL.into_iter().find(|shape| shape.name() == word);
                if shape.is_none() {
                    let names = Shape::ALL.map(Shape::name);
                    let error = keys::unknown(word, "shape", names, "");
                    let path = path.clone();
                    draft.fault(place, Fault::Shape { path, error });
                }
            }
            other => draft.fault(home.spot(name), unknown_part(&path, other)),
        }
    }
    if draft.problems.len() > problems {
        return None;
    }
    let shape = shape.unwrap_or(Shape::Normal);
    let fault = match (size, shape, limit) {
        (None, ..) => Fault::Missing {
            path: format!("{TOLERANCE}.\"{path}\""),
            missing: vec!["spread"],
        },
        (_, Shape::Truncated, None) => Fault::NoLimit { path },
        (_, Shape::Normal | Shape::Uniform, Some(_)) => Fault::Limit { path },
        (_, Shape::Uniform, _) if batch.is_some() => Fault::Batch {
            path,
            why: "only a normal or truncated spread has a part that a box shares",
        },
        (Some(amount), ..) => {
            return Some(Spread {
                amount,
                shape,
                limit,
                below: None,
                batch,
            });
        }
    };
    draft.fault(spot.clone(), fault);
    None
}

/// What was said of tolerances, compared with the case; a later word on a key wins.
pub(super) fn settle(draft: &mut Draft, case: &Case) -> Tolerances {
    let mut all = Tolerances {
        own: Vec::new(),
        no_others: draft.no_other_tolerances,
        correlations: Vec::new(),
        batch_size: draft.batch_size.unwrap_or(USUAL_BATCH),
    };
    let given = std::mem::take(&mut draft.tolerances);
    // Of a case with faults it is not sure what it holds.
    if !draft.problems.is_empty() {
        return all;
    }
    for (own, spot) in given {
        if let Err(fault) = fits(&own, case) {
            draft.fault(spot, fault);
        }
        all.own.retain(|other| other.address != own.address);
        all.own.push(own);
    }
    correlation::settle(draft, case, &mut all);
    all
}

fn fits(own: &Own, case: &Case) -> Result<(), Fault> {
    let value = own.address.number_there(case)?;
    let Some(spread) = own.spread else {
        return Ok(());
    };
    let Some(number) = own.address.about() else {
        return Ok(());
    };
    if spread
        .batch
        .is_some_and(|batch| batch.of(value) > spread.amount.of(value))
    {
        return Err(Fault::Batch {
            path: own.address.to_string(),
            why: "`batch`, the part that a box shares, is larger than the whole spread",
        });
    }
    for amount in [Some(spread.amount), spread.limit].into_iter().flatten() {
        let fitting = amount.fitting(value, number);
        fitting.map_err(|error| Fault::Amount {
            section: TOLERANCE,
            path: own.address.to_string(),
            error,
        })?;
    }
    Ok(())
}
