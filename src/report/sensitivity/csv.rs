//! Sobol indices as CSV: RFC 4180, ten significant digits; a line a figure and key.

use ::csv::{Terminator, WriterBuilder};

use crate::report::table::number;
use crate::study::scatter::Scatter;
use crate::study::sensitivity::Found;

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
        let indices = figure.indices.iter().flatten();
        for (draw, i) in scatter.draws.iter().zip(indices) {
            let mut record = vec![figure.figure.to_string(), draw.address().to_string()];
            for index in [i.first, i.total] {
                record.extend([index.value, index.low, index.high].map(number));
            }
            writer.write_record(&record)?;
        }
    }
    writer.into_inner().map_err(|e| e.into_error().into())
}
