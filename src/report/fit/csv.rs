//! The fitted values as CSV, a row a value.

use std::io::Write;

use super::values::unit;
use crate::csv::{Csv, cell, number};
use arcplunge_core::study::fit::{Fit, Setup};

/// Writes key, unit, start, value, standard error, that of the noise alone, value in the fitted case and number of the
/// trace, from 1, of a value that is not the same in all.
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
        "noise_error",
        "value_in_case",
        "trace",
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
            cell(v.noise_error),
            cell(v.in_case),
            v.record.map_or(String::new(), |r| (r + 1).to_string()),
        ])?;
    }
    table.end()
}
