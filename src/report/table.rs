//! The trace as CSV: RFC 4180, SI, ten significant digits.

use std::io::Write;

use super::csv::{Csv, number};
use arcplunge_core::simulation::trace::Row;

/// Writes the rows of a shot with `earths` earth leads.
///
/// # Errors
/// When the writer fails.
pub fn csv(out: impl Write, rows: &[Row], earths: usize) -> ::csv::Result<()> {
    let mut head: Vec<String> = [
        "time_s",
        "phase",
        "current_A",
        "bank_V",
        "weld_V",
        "weld_W",
        "gap_m",
        "speed_m_per_s",
        "melt_stud_m",
        "melt_sheet_m",
    ]
    .map(String::from)
    .to_vec();
    head.extend((0..earths).map(|k| format!("earth_{k}_A")));
    let mut table = Csv::new(out, &head)?;
    let mut record = ::csv::StringRecord::new();
    for row in rows {
        record.clear();
        record.push_field(&number(row.time_s));
        record.push_field(row.phase.name());
        for value in [
            row.current_A,
            row.bank_V,
            row.weld_V,
            row.weld_power(),
            row.gap_m,
            row.speed_m_per_s,
            row.melt_stud_m,
            row.melt_sheet_m,
        ] {
            record.push_field(&number(value));
        }
        for value in &row.earths_A[..earths] {
            record.push_field(&number(*value));
        }
        table.row(&record)?;
    }
    table.end()
}
