//! A comparison as CSV: RFC 4180, SI, a row for the base and one for each variation.

use std::io::Write;

use crate::csv::{Csv, cell};
use arcplunge_core::simulation::named::FIGURES;
use arcplunge_core::study::compare::Comparison;

/// Writes name, verdict, cause, every figure, and whether it is borderline, of base and variations; what did not
/// come is empty.
///
/// # Errors
/// When the writer fails.
pub fn csv(out: impl Write, c: &Comparison) -> ::csv::Result<()> {
    let mut head = vec!["name".to_string(), "verdict".into(), "cause".into()];
    head.extend(FIGURES.iter().map(|(name, _)| (*name).to_string()));
    head.push("borderline".to_string());
    let mut table = Csv::new(out, &head)?;
    for s in std::iter::once(&c.base).chain(&c.variations) {
        let mut record = vec![
            s.name.clone(),
            s.shot.verdict.map_or(String::new(), |v| v.name().into()),
            s.shot.cause.name().to_string(),
        ];
        let values = FIGURES.iter().map(|(_, read)| read(&s.shot.figures));
        record.extend(values.map(cell));
        let borderline = s.band.as_ref().map(|b| b.borderline.to_string());
        record.push(borderline.unwrap_or_default());
        table.row(&record)?;
    }
    table.end()
}
