//! Sobol indices as CSV: RFC 4180, ten significant digits; a line a figure and key, and one of what is
//! interaction.

use std::io::Write;

use crate::csv::{Csv, number};
use arcplunge_core::study::scatter::Scatter;
use arcplunge_core::study::sensitivity::Found;
use arcplunge_core::study::sensitivity::indices::Index;

/// Stands for a key in the line of what the first-order indices leave of 1; it has no total.
const INTERACTION: &str = "interaction";

/// The text.
///
/// # Errors
/// When the writer fails, which memory never does.
pub fn csv(out: impl Write, scatter: &Scatter, found: &[Found]) -> ::csv::Result<()> {
    let head = [
        "figure",
        "key",
        "first",
        "first_low",
        "first_high",
        "total",
        "total_low",
        "total_high",
    ];
    let mut table = Csv::new(out, head)?;
    for figure in found {
        let Some(shares) = &figure.indices else {
            continue;
        };
        let cells = |index: Index| [index.value, index.low, index.high].map(number);
        for (draw, i) in scatter.draws.iter().zip(&shares.keys) {
            let mut record = vec![figure.figure.to_string(), draw.address().to_string()];
            record.extend([i.first, i.total].into_iter().flat_map(cells));
            table.row(&record)?;
        }
        let mut record = vec![figure.figure.to_string(), INTERACTION.to_string()];
        record.extend(cells(shares.interaction));
        record.extend([const { String::new() }; 3]);
        table.row(&record)?;
    }
    table.end()
}
