//! A contrast as CSV: RFC 4180, SI, a row for the base and one for each variation.

use std::io::Write;

use crate::report::table::number;
use crate::study::contrast::{Contrast, named};

/// Writes name, verdict, cause and every figure of base and variations; what did not come is empty.
///
/// # Errors
/// When the writer fails.
pub fn csv(out: impl Write, c: &Contrast) -> csv::Result<()> {
    let mut writer = csv::WriterBuilder::new()
        .terminator(csv::Terminator::CRLF)
        .from_writer(out);
    let figures = named(&c.base.shot.figures);
    let mut head = vec!["name".to_string(), "verdict".into(), "cause".into()];
    head.extend(figures.into_iter().map(|(name, _)| name));
    writer.write_record(&head)?;
    for s in std::iter::once(&c.base).chain(&c.variations) {
        let cause = serde_json::to_value(s.shot.cause).unwrap_or_default();
        let mut record = vec![
            s.name.clone(),
            s.shot.verdict.map_or(String::new(), |v| v.name().into()),
            cause.as_str().unwrap_or_default().to_string(),
        ];
        let values = named(&s.shot.figures).into_iter();
        record.extend(values.map(|(_, value)| value.map_or(String::new(), number)));
        writer.write_record(&record)?;
    }
    writer.flush()?;
    Ok(())
}
