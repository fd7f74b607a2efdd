//! Sobol indices as CSV: RFC 4180, ten significant digits; a line a figure and key, and one of what is
//! interaction.

use ::csv::{Terminator, WriterBuilder};

use crate::table::number;
use arcplunge_core::study::scatter::Scatter;
use arcplunge_core::study::sensitivity::Found;
use arcplunge_core::study::sensitivity::indices::Index;

/// Stands for a key in the line of what the first-order indices leave of 1; it has no total.
const INTERACTION: &str = "interaction";

/// The text.
///
/// # Errors
/// When the writer fails, which memory never does.
pub fn csv(scatter: &Scatter, found: &[Found]) -> ::csv::Result<Vec<u8>> {
    let mut writer = WriterBuilder::new()
        .terminator(Terminator::CRLF)
        .from_writer(Vec::new());
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
    writer.write_record(head)?;
    for figure in found {
        let Some(shares) = &figure.indices else {
            continue;
        };
        let cells = |index: Index| [index.value, index.low, index.high].map(number);
        for (draw, i) in scatter.draws.iter().zip(&shares.keys) {
            let mut record = vec![figure.figure.to_string(), draw.address().to_string()];
            record.extend([i.first, i.total].into_iter().flat_map(cells));
            writer.write_record(&record)?;
        }
        let mut record = vec![figure.figure.to_string(), INTERACTION.to_string()];
        record.extend(cells(shares.interaction));
        record.extend([const { String::new() }; 3]);
        writer.write_record(&record)?;
    }
    writer.into_inner().map_err(|e| e.into_error().into())
}
