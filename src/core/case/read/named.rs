//! Tables whose names are keys, `"stud.cone" = …` or `stud.cone = …`: one name, or tables in tables.

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::draft::{Draft, Home};
use super::words::short;
use crate::case::keys::{self, Address, KeyError};

/// What takes a key that holds a number, with what belongs to it.
pub(super) type Each<'a> = dyn FnMut(Address, &Spanned<DeValue>, Home, &mut Draft) + 'a;

/// The key of this path, which holds a number.
///
/// # Errors
/// When there is none, or it holds none.
pub(super) fn numeric(path: &str) -> Result<Address, KeyError> {
    let address = keys::find(path)?;
    match address.about() {
        Some(_) => Ok(address),
        None => Err(KeyError::NotANumber { path: short(path) }),
    }
}

/// Hands each key that a table names to `each`; `above` is the path of the table, and a table of which `is_value` is
/// true holds no names.
pub(super) fn each_key(
    (above, table): (&str, &DeTable),
    home: Home,
    draft: &mut Draft,
    is_value: fn(&DeTable) -> bool,
    each: &mut Each,
) {
    for (name, value) in table {
        if draft.is_hopeless() {
            return;
        }
        let path = match above {
            "" => name.get_ref().to_string(),
            above => format!("{above}.{}", name.get_ref()),
        };
        match (numeric(&path), value.get_ref()) {
            (Ok(address), _) => each(address, value, home, draft),
            (_, DeValue::Table(inner)) if !is_value(inner) => {
                each_key((&path, inner), home, draft, is_value, each);
            }
            (Err(error), _) => draft.fault(home.spot(name), error),
        }
    }
}
