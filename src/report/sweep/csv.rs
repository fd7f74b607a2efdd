//! Rows of a sweep as CSV: RFC 4180, SI, ten significant digits.

use ::csv::StringRecord;

use crate::csv::{number, push};
use arcplunge_core::simulation::named::FIGURES;
use arcplunge_core::study::sweep::{Outcome, Row, Sweep};

/// Names of the columns.
pub fn head(sweep: &Sweep) -> Vec<String> {
    sweep
        .vary
        .iter()
        .map(|v| v.column())
        .chain(results())
        .collect()
}

/// Names of the columns behind the keys: figures, verdict, cause and note.
pub fn results() -> impl Iterator<Item = String> {
    let figures = FIGURES.iter().map(|(name, _)| *name);
    figures
        .chain(["verdict", "cause", "note"])
        .map(String::from)
}

/// Cells of numbers.
pub fn cells(values: &[f64]) -> Vec<String> {
    values.iter().map(|value| number(*value)).collect()
}

/// Fills `record` with a row; `cause` says what decided the verdict, `note` why there is no shot.
pub fn record(row: &Row, record: &mut StringRecord) {
    record.clear();
    push(record, row.values.iter().copied().map(Some));
    outcome(&row.outcome, record);
}

/// Adds figures, verdict, cause and note.
pub fn outcome(outcome: &Outcome, record: &mut StringRecord) {
    match outcome {
        Outcome::Shot {
            figures,
            verdict,
            cause,
            ..
        } => {
            push(record, FIGURES.iter().map(|(_, read)| read(figures)));
            record.push_field(verdict.map_or("", |v| v.name()));
            record.push_field(cause.name());
            record.push_field("");
        }
        Outcome::None(why) => {
            for _ in 0..FIGURES.len() + 2 {
                record.push_field("");
            }
            record.push_field(why);
        }
    }
}
