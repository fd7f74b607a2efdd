//! The section `[uncertainty]`: how well figures are known, by key.

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::draft::{Draft, Home};
use super::named::each_key;
use super::tolerance::{amount, amount_of};
use super::words::short;
use crate::case::diagnose::{Fault, Spot};
use crate::case::keys::{self, Address, KeyError};
use crate::case::model::Case;
use crate::case::tolerance::AmountError;

/// Reads the section.
pub(super) fn table(table: &DeTable, draft: &mut Draft) {
    each_key(("", table), Home::File, draft, |_| false, &mut one);
}

fn one(address: Address, value: &Spanned<DeValue>, home: Home, draft: &mut Draft) {
    let spot = home.spot(value);
    match amount(&address, value) {
        Ok(amount) => draft.uncertainty.push((address, amount, spot)),
        Err(fault) => draft.fault(spot, fault),
    }
}

/// An override: `uncertainty.KEY=VALUE`, the value without quotes.
pub(super) fn set(key: &str, text: &str, key_spot: &Spot, value_spot: &Spot, draft: &mut Draft) {
    let address = match keys::find(key) {
        Ok(address) if address.about().is_some() => address,
        Ok(_) => {
            let path = short(key);
            return draft.fault(key_spot.clone(), KeyError::NotANumber { path });
        }
        Err(error) => return draft.fault(key_spot.clone(), error),
    };
    match amount_of(text.trim_matches(['"', '\'']), &address) {
        Ok(amount) => draft
            .uncertainty
            .push((address, amount, value_spot.clone())),
        Err(fault) => draft.fault(value_spot.clone(), fault),
    }
}

/// What was said, compared with the case; a later word on a key wins.
pub(super) fn settle(draft: &mut Draft, case: &mut Case) {
    // Of a case with faults it is not sure what it holds.
    if !draft.problems.is_empty() {
        return;
    }
    for (address, amount, spot) in std::mem::take(&mut draft.uncertainty) {
        let found = address.number_there(case);
        let (Ok(value), Some(number)) = (&found, address.about()) else {
            if let Err(error) = found {
                draft.fault(spot, error);
            }
            continue;
        };
        let path = address.to_string();
        let size = amount.of(*value);
        let wrong = match size {
            _ if size <= 0.0 => Some(AmountError::ShareOfZero {
                wanted: number.dimension.with_example(),
            }),
            _ if size > number.range.most - number.range.least => Some(AmountError::TooWide {
                size: amount.text(number),
                bounds: number.bounds(),
            }),
            _ => None,
        };
        match wrong {
            Some(error) => draft.fault(spot, Fault::Amount { path, error }),
            None => drop(case.uncertainty.insert(path, size)),
        }
    }
}
