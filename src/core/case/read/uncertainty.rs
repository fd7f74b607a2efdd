//! The section `[uncertainty]`: how well figures are known, by key.

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::draft::{Draft, Home};
use super::named::{each_key, numeric};
use super::tolerance::{amount, amount_of};
use crate::case::diagnose::{Fault, Spot};
use crate::case::keys::{Address, UNCERTAINTY};
use crate::case::model::Case;

/// Reads the section.
pub(super) fn table(table: &DeTable, draft: &mut Draft) {
    each_key(("", table), Home::File, draft, |_| false, &mut one);
}

fn one(address: Address, value: &Spanned<DeValue>, home: Home, draft: &mut Draft) {
    let spot = home.spot(value);
    match amount(&address, value, UNCERTAINTY) {
        Ok(amount) => draft.uncertainty.push((address, amount, spot)),
        Err(fault) => draft.fault(spot, fault),
    }
}

/// An override: `uncertainty.KEY=VALUE`, the value without quotes.
pub(super) fn set(key: &str, text: &str, key_spot: &Spot, value_spot: &Spot, draft: &mut Draft) {
    let address = match numeric(key) {
        Ok(address) => address,
        Err(error) => return draft.fault(key_spot.clone(), error),
    };
    match amount_of(text.trim_matches(['"', '\'']), &address, UNCERTAINTY) {
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
        match amount.fitting(*value, number) {
            Ok(size) => drop(case.uncertainty.insert(path, size)),
            Err(error) => {
                let section = UNCERTAINTY;
                draft.fault(
                    spot,
                    Fault::Amount {
                        section,
                        path,
                        error,
                    },
                );
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::case::read::read_text;

    #[test]
    fn what_is_wrong_is_told_of_this_section() {
        for (value, why) in [
            (
                "true",
                "`uncertainty.\"arc.fall\"` cannot be true or false; expected a voltage",
            ),
            ("{ spread = \"1 V\" }", "or a share such as \"2 %\""),
            (
                "\"0 V\"",
                "uncertainty of `arc.fall`: `0 V` is not a spread",
            ),
            (
                "\"900 V\"",
                "uncertainty of `arc.fall`: a spread of 900 V is wider",
            ),
        ] {
            let text = format!("[uncertainty]\n\"arc.fall\" = {value}\n");
            let said = read_text("weld.toml", &text, &[])
                .unwrap_err()
                .render(false);
            assert!(said.contains(why), "{value}: {said}");
            // Its errors name no other section's forms.
            assert!(
                !said.contains("tolerance") && !said.contains("none"),
                "{said}"
            );
        }
    }
}
