//! Shots of a scattered weld as CSV: RFC 4180, SI, ten significant digits; written, and read back.

use ::csv::StringRecord;

use crate::csv::push;
use crate::sweep::csv::{outcome, results};
use arcplunge_core::simulation::named::FIGURES;
use arcplunge_core::simulation::verdict::{Cause, Verdict};
use arcplunge_core::study::range::column;
use arcplunge_core::study::scatter::summary::Taken;
use arcplunge_core::study::scatter::{Row, Scatter};

/// Names of the columns.
pub fn head(scatter: &Scatter) -> Vec<String> {
    let keys = scatter.draws.iter().map(|d| column(d.address(), &d.number));
    let first = std::iter::once("shot".to_string());
    first.chain(keys).chain(results()).collect()
}

/// Fills `record` with a row.
pub fn record(row: &Row, record: &mut StringRecord) {
    record.clear();
    record.push_field(&row.shot.to_string());
    push(record, row.values.iter().copied().map(Some));
    outcome(&row.outcome, record);
}

/// What a row tells, `keys` of them drawn; `None` when it is no such row.
pub fn taken(record: &StringRecord, keys: usize) -> Option<Taken> {
    let mut fields = record.iter().skip(1);
    let values: Vec<f64> = fields
        .by_ref()
        .take(keys)
        .map(|text| text.parse().ok())
        .collect::<Option<_>>()?;
    let mut figures = [None; FIGURES.len()];
    for figure in &mut figures {
        *figure = match fields.next()? {
            "" => None,
            text => Some(text.parse().ok()?),
        };
    }
    let (verdict, cause, note) = (fields.next()?, fields.next()?, fields.next()?);
    Some(Taken {
        values,
        figures,
        verdict: Verdict::named(verdict),
        cause: Cause::named(cause),
        note: (!note.is_empty()).then(|| note.to_string()),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use arcplunge_core::case::Case;
    use arcplunge_core::simulation::fire::{Settings, Workspace};
    use arcplunge_core::study::points::{Points, Sampling};

    #[test]
    fn a_row_reads_back_to_its_ten_digits() {
        let scatter = Scatter {
            base: Case::default(),
            draws: Vec::new(),
            dependence: None,
            points: Points {
                sampling: Sampling::Sobol,
                seed: 1,
            },
            shots: 1,
            settings: Settings::default(),
        };
        let mut row = scatter.row(0, &mut Workspace::default());
        row.values = vec![1.5, -2e-9];
        let mut text = StringRecord::new();
        record(&row, &mut text);
        assert_eq!(text.len(), head(&scatter).len() + 2);
        let back = taken(&text, 2).unwrap();
        assert_eq!(back.values, row.values);
        assert_eq!(back.verdict, row.outcome.verdict());
        let figures = row.outcome.figures().unwrap();
        for ((name, read), back) in FIGURES.iter().zip(back.figures) {
            let (now, back) = (read(figures), back);
            assert_eq!(now.is_some(), back.is_some(), "{name}");
            let (now, back) = (now.unwrap_or(0.0), back.unwrap_or(0.0));
            assert!((now - back).abs() <= 1e-9 * now.abs(), "{name}");
        }
        text.truncate(5);
        assert_eq!(taken(&text, 2), None);
    }
}
