//! A design: its rows as CSV and JSON, and where among them the weld is sound.

use ::csv::StringRecord;
use serde_json::{Map, Value, json};

use super::csv::{outcome, results};
use super::json::told;
use crate::csv::number;
use crate::document::{Blocks, Cell as Shown, Document, Table};
use crate::envelope;
use crate::format::percent;
use crate::provenance::{Hash, Study};
use crate::{cautions, verdict};
use arcplunge_core::simulation::verdict::Verdict;
use arcplunge_core::study::design::{Cell, Column, Design, Row};
use arcplunge_core::study::sweep::Outcome;

/// Most words of a key that are listed.
const WORDS: usize = 12;

/// Names of the columns.
pub fn head(design: &Design) -> Vec<String> {
    design
        .columns
        .iter()
        .map(Column::name)
        .chain(results())
        .collect()
}

/// Cells of the keys in row `index`.
pub fn keys(design: &Design, index: usize) -> Vec<String> {
    let text = |cell| match cell {
        Cell::Number(value) => number(value),
        Cell::Word(word) => word.to_string(),
    };
    design.cells(index).map(text).collect()
}

/// Fills `record` with a row.
pub fn record(design: &Design, row: &Row, record: &mut StringRecord) {
    record.clear();
    keys(design, row.index)
        .iter()
        .for_each(|cell| record.push_field(cell));
    outcome(&row.outcome, record);
}

/// All that decides the rows of a design: its columns, and the hash of its cells.
///
/// # Errors
/// When a number cannot be written, which finite figures never bring about.
pub fn study(design: &Design) -> serde_json::Result<Study> {
    let columns: Vec<String> = design.columns.iter().map(Column::name).collect();
    let mut hash = Hash::default();
    for index in 0..design.count() {
        hash.update(keys(design, index).join(",").as_bytes());
        hash.update(b"\n");
    }
    let of = json!({ "columns": columns, "rows": design.count(), "sha256": hash.digits() });
    Ok(Study::new("sweep", &design.base)?.with("design", of))
}

/// The rows as JSON text, with a closing line feed.
///
/// # Errors
/// When a number cannot be written, which finite figures never bring about.
pub fn json(design: &Design, rows: &[Row]) -> serde_json::Result<String> {
    let row = |row: &Row| {
        let values = design.cells(row.index).map(|cell| match cell {
            Cell::Number(value) => json!(value),
            Cell::Word(word) => json!(word),
        });
        let keys = design.columns.iter().map(Column::key);
        let values: Map<String, Value> = keys.zip(values).collect();
        told(values, &row.outcome)
    };
    envelope::text(&json!({
        "rows": rows.iter().map(row).collect::<Vec<_>>(),
        "case": &design.base,
    }))
}

/// The document of a design: the verdicts, and for each key where it was fired and where it was sound.
pub fn document(design: &Design, rows: &[Row]) -> Document {
    let mut document = Document::of(&design.base);
    let b = &mut document.blocks;
    verdicts(b, rows);
    b.gap();
    let mut table = Table::new("   {:<26} {:<24} {:<24}", ["key", "fired", "sound"], 1);
    for (place, column) in design.columns.iter().enumerate() {
        let sound = |row: &&Row| row.outcome.verdict() == Some(Verdict::Sound);
        let all = span(design, place, column, rows.iter());
        let some = span(design, place, column, rows.iter().filter(sound));
        table.row([Shown::from(column.key()), all.into(), some.into()]);
    }
    b.table(table);
    b.note(
        "ranges of single keys among the rows fired; not every combination within them is sound",
    );
    let none: Vec<&String> = rows.iter().filter_map(|row| why(&row.outcome)).collect();
    if let [why, ..] = none.as_slice() {
        b.say(format!(
            "{} of {} rows are not valid cases: {why}",
            none.len(),
            rows.len()
        ));
    }
    cautions::end(b);
    document
}

fn verdicts(b: &mut Blocks, rows: &[Row]) {
    for each in Verdict::ALL {
        let count = rows
            .iter()
            .filter(|row| row.outcome.verdict() == Some(each))
            .count();
        if count > 0 {
            let share = percent(count as f64 / rows.len() as f64);
            b.line(format!(
                "{:<13} {count} of {} rows, {share}",
                verdict::word(Some(each)).0,
                rows.len()
            ));
        }
    }
}

fn why(outcome: &Outcome) -> Option<&String> {
    match outcome {
        Outcome::None(why) => Some(why),
        Outcome::Shot { .. } => None,
    }
}

/// The values of a key in these rows: from least to most, or its words.
fn span<'a>(
    design: &'a Design,
    place: usize,
    column: &Column,
    rows: impl Iterator<Item = &'a Row>,
) -> String {
    let (mut least, mut most) = (f64::INFINITY, f64::NEG_INFINITY);
    let mut words: Vec<&str> = Vec::new();
    for cell in rows.filter_map(|row| design.cells(row.index).nth(place)) {
        match cell {
            Cell::Number(value) => (least, most) = (least.min(value), most.max(value)),
            Cell::Word(word) if !words.contains(&word) && words.len() < WORDS => words.push(word),
            Cell::Word(_) => {}
        }
    }
    match column {
        Column::Number { number, .. } if least <= most => {
            let [least, most] = [least, most].map(|value| number.short(value, 4));
            if least == most {
                least
            } else {
                format!("{least} to {most}")
            }
        }
        Column::Number { .. } => "nowhere".into(),
        Column::Word { .. } if words.is_empty() => "nowhere".into(),
        Column::Word { .. } => words.join(", "),
    }
}
