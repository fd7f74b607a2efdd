//! One TOML value, held against its key.

use toml::Spanned;
use toml::de::{DeInteger, DeValue};

use super::draft::{Draft, Home};
use super::parts::{Site, read_list, read_table};
use super::scale::read_scale;
use super::walk::{found, short};
use crate::case::diagnose::{Fault, Spot};
use crate::case::keys::{Address, Key, Kind, Number, Value};
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

/// Reads a quantity or a bare number into the draft.
pub(super) fn read_number(
    number: &Number,
    address: &Address,
    value: &Spanned<DeValue>,
    home: Home,
    draft: &mut Draft,
) {
    let bare = number.dimension == Dimension::Number;
    let path = || address.to_string();
    let wanted = || number.dimension.with_example();
    let fault = match (value.get_ref(), number_text(value.get_ref())) {
        (DeValue::String(text), _) if bare => {
            return quoted_number(address, text, home.spot(value), draft);
        }
        (DeValue::String(text), _) => match number.read(text) {
            Ok(read) => return draft.add(address.clone(), Value::Number(read), home.spot(value)),
            Err(error) => Fault::Value {
                path: path(),
                error,
            },
        },
        (_, Some(text)) if bare => match number.read(&text) {
            Ok(read) => return draft.add(address.clone(), Value::Number(read), home.spot(value)),
            Err(error) => Fault::Value {
                path: path(),
                error,
            },
        },
        (_, Some(text)) => no_unit(address, text, number.unit, wanted()),
        (other, None) => Fault::WrongType {
            path: path(),
            found: found(other),
            wanted: wanted(),
        },
    };
    draft.fault(home.spot(value), fault);
}

fn no_unit(address: &Address, number: String, unit: &str, wanted: String) -> Fault {
    let path = address.to_string();
    let name = path.rsplit('.').next().unwrap_or_default();
    let suggestion = format!("{name} = \"{number} {unit}\"");
    Fault::NoUnit {
        number,
        wanted,
        suggestion,
        path,
    }
}

fn quoted_number(address: &Address, text: &str, spot: Spot, draft: &mut Draft) {
    let path = address.to_string();
    let name = path.rsplit('.').next().unwrap_or_default();
    let example = Dimension::Number.example();
    let number = if text.trim().parse::<f64>().is_ok_and(f64::is_finite) {
        text.trim()
    } else {
        example
    };
    let suggestion = format!("{name} = {}", short(number));
    draft.fault(spot, Fault::QuotedNumber { path, suggestion });
}

/// The unit to suggest where a key wants one but is no plain quantity.
fn unit_example(key: &Key) -> Option<&'static str> {
    match key.kind {
        Kind::Joint(_) => Some("mohm"),
        Kind::CentreMark => Some("mm"),
        _ => None,
    }
}

/// The decimal text of a TOML number, if it is finite.
pub(super) fn number_text(value: &DeValue) -> Option<String> {
    match value {
        DeValue::Integer(number) => Some(integer_text(number)),
        // `inf` and `nan` are numbers to TOML alone.
        DeValue::Float(number) if number.as_str().ends_with(['f', 'n']) => None,
        DeValue::Float(number) => Some(short(number.as_str())),
        _ => None,
    }
}

fn integer_text(number: &DeInteger) -> String {
    let decimal = i64::from_str_radix(number.as_str(), number.radix());
    decimal.map_or_else(|_| short(number.as_str()), |number| number.to_string())
}
