//! Units of a table's columns, and the numbers of its cells.

use crate::case::keys::Number;
use crate::case::quantity::{QuantityError, parse};

/// In which unit the numbers of a column are.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Unit {
    /// Each cell has its own, as in a case file.
    OfCell,
    /// That of the head.
    OfHead(String),
    /// SI, as in the tables of results.
    Si,
}

/// Key and unit of a head: `bank.voltage [V]`, `bank.voltage (V)` or `bank.voltage`.
pub(super) fn split(head: &str) -> (&str, Option<&str>) {
    for (open, close) in [('[', ']'), ('(', ')')] {
        if let Some((path, unit)) = head.split_once(open)
            && let Some(unit) = unit.strip_suffix(close)
        {
            return (path.trim(), Some(unit.trim()));
        }
    }
    (head, None)
}

/// The number of a cell \[SI\]; its bounds are looked at when the row is fired.
pub(super) fn value(cell: &str, number: &Number, unit: &Unit) -> Result<f64, QuantityError> {
    let dimension = number.dimension;
    match (unit, cell.parse::<f64>()) {
        (Unit::OfCell, _) => parse(cell, dimension),
        (Unit::OfHead(unit), _) => parse(&format!("{cell} {unit}"), dimension),
        (Unit::Si, Ok(value)) if value.is_finite() => Ok(value),
        (Unit::Si, _) => parse(&format!("{cell} {}", dimension.si()), dimension),
    }
}
