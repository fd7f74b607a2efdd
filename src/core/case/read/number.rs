//! A quantity or a bare number, compared with its key.

use toml::Spanned;
use toml::de::DeValue;

use super::draft::{Draft, Home};
use super::words::{found, number_text, short};
use crate::case::diagnose::{Fault, Spot};
use crate::case::keys::{Address, Number, Value};
use crate::case::quantity::Dimension;

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

/// A number where a quantity was wanted.
pub(super) fn no_unit(address: &Address, number: String, unit: &str, wanted: String) -> Fault {
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

/// Faults a bare number that stands in quotes.
pub(super) fn quoted_number(address: &Address, text: &str, spot: Spot, draft: &mut Draft) {
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
