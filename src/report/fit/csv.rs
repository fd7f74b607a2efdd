//! The fitted values as CSV, a row a value.

use std::io::Write;

use super::values::unit;
use crate::csv::{Csv, cell, number};
use arcplunge_core::study::fit::{Fit, Setup};

/// Writes key, unit, start, value, standard error and the value in the fitted case.
///
/// # Errors
/// When the writer fails.
pub fn csv(out: impl Write, setup: &Setup, fit: &Fit) -> ::csv::Result<()> {
    let head = [
        "key",
        "unit",
        "start",
        "value",
        "standard_error",
        "value_in_case",
    ];
    let mut table = Csv::new(out, head)?;
    for (k, v) in fit.values.iter().enumerate() {
        let si = setup.free.get(k).map(|free| free.number.dimension.si());
        table.row([
            v.name.clone(),
            si.unwrap_or(unit(&v.name)).to_string(),
            number(v.start),
            number(v.value),
            cell(v.error),
            cell(v.in_case),
        ])?;
    }
    table.end()
}
