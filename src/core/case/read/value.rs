//! One TOML value, compared with its key.

use toml::Spanned;
use toml::de::DeValue;

use super::draft::{Draft, Home};
use super::number::{no_unit, quoted_number, read_number};
use super::parts::{read_list, read_table};
use super::scale::read_scale;
use super::site::Site;
use super::words::{found, number_text};
use crate::case::diagnose::Fault;
use crate::case::keys::{Address, Key, Kind};
use crate::case::quantity::Dimension;

/// Reads the value of a key into the draft.
pub(super) fn read_value(
    key: &'static Key,
    address: &Address,
    value: &Spanned<DeValue>,
    home: Home,
    draft: &mut Draft,
) {
    let site = Site {
        key,
        address,
        spot: home.spot(value),
        home,
    };
    match (&key.kind, value.get_ref()) {
        (Kind::Number(number, _), DeValue::String(text))
            if number.dimension == Dimension::Number =>
        {
            quoted_number(address, text, home.spot(value), draft);
        }
        (_, DeValue::String(text)) => match key.read(text) {
            Ok(read) => draft.add(address.clone(), read, home.spot(value)),
            Err(error) => {
                let path = address.to_string();
                draft.fault(home.spot(value), Fault::Value { path, error });
            }
        },
        (Kind::Number(number, _), _) => read_number(number, address, value, home, draft),
        (_, DeValue::Table(table)) => read_table(&site, table, draft),
        (Kind::Position, DeValue::Array(list)) => read_list(&site, list, draft),
        (Kind::Scale(place), DeValue::Array(list)) => read_scale(&site, place, list, draft),
        (_, other) => {
            let fault = match (number_text(other), unit_example(key)) {
                (Some(number), Some(unit)) => no_unit(address, number, unit, key.wanted()),
                _ => Fault::WrongType {
                    path: address.to_string(),
                    found: found(other),
                    wanted: key.wanted(),
                },
            };
            draft.fault(home.spot(value), fault);
        }
    }
}

/// The unit to suggest where a key wants one but is no plain quantity.
fn unit_example(key: &Key) -> Option<&'static str> {
    match key.kind {
        Kind::Joint(_) => Some("mohm"),
        Kind::CentreMark => Some("mm"),
        _ => None,
    }
}
