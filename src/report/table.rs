//! The trace as CSV.

use std::io::Write;

use super::csv::{Csv, number};
use arcplunge_core::simulation::events::Event;
use arcplunge_core::simulation::trace::{Row, Trace};

/// Which rows of an event are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sides {
    /// The one right after it: each time comes once, so that the table can be interpolated.
    After,
    /// Both, with the same time.
    Both,
}

/// A column of numbers over the time.
pub struct Column {
    /// Its name, unit included: `current_A`.
    pub name: String,
    value: Value,
}

/// Where a column's numbers stand in a row.
enum Value {
    Own(fn(&Row) -> f64),
    Earth(usize),
}

impl Column {
    /// Its number in a row \[SI\].
    pub fn of(&self, row: &Row) -> f64 {
        match self.value {
            Value::Own(read) => read(row),
            Value::Earth(lead) => row.earths_A[lead],
        }
    }
}

/// The columns of numbers of a shot with `earths` earth leads, in the order of the file.
pub fn columns(earths: usize) -> Vec<Column> {
    let own: [(&str, fn(&Row) -> f64); 8] = [
        ("current_A", |r| r.current_A),
        ("bank_V", |r| r.bank_V),
        ("weld_V", |r| r.weld_V),
        ("weld_W", Row::weld_power),
        ("gap_m", |r| r.gap_m),
        ("speed_m_per_s", |r| r.speed_m_per_s),
        ("melt_stud_m", |r| r.melt_stud_m),
        ("melt_sheet_m", |r| r.melt_sheet_m),
    ];
    let own = own.into_iter().map(|(name, read)| Column {
        name: name.into(),
        value: Value::Own(read),
    });
    let earths = (0..earths).map(|lead| Column {
        name: format!("earth_{lead}_A"),
        value: Value::Earth(lead),
    });
    own.chain(earths).collect()
}

/// The rows that are written, with whether each is the last of its time.
pub fn written(rows: &[Row], sides: Sides) -> impl Iterator<Item = (&Row, bool)> {
    let last = move |n: usize| {
        let next = rows.get(n + 1);
        next.is_none_or(|next| next.time_s > rows[n].time_s)
    };
    let all = rows.iter().enumerate().map(move |(n, row)| (row, last(n)));
    all.filter(move |(_, last)| *last || sides == Sides::Both)
}

/// Writes the curves of a shot with `earths` earth leads.
///
/// # Errors
/// When the writer fails.
pub fn csv(out: impl Write, trace: &Trace, earths: usize, sides: Sides) -> ::csv::Result<()> {
    let columns = columns(earths);
    let words = ["time_s", "phase", "event"].map(String::from);
    let numbers = columns.iter().map(|column| column.name.clone());
    let head: Vec<String> = words.into_iter().chain(numbers).collect();
    let mut table = Csv::new(out, &head)?;
    let mut record = ::csv::StringRecord::new();
    let mut events = trace.shot.events.iter().peekable();
    for (row, last) in written(&trace.rows, sides) {
        let mut happened = String::new();
        while let Some(event) = events.next_if(|event| last && event.time_s <= row.time_s) {
            tell(&mut happened, event);
        }
        record.clear();
        record.push_field(&number(row.time_s));
        record.push_field(row.phase.name());
        record.push_field(&happened);
        for column in &columns {
            record.push_field(&number(column.of(row)));
        }
        table.row(&record)?;
    }
    table.end()
}

/// Adds an event to those of its row.
fn tell(happened: &mut String, event: &Event) {
    if !happened.is_empty() {
        happened.push_str("; ");
    }
    happened.push_str(event.name.name());
    if let Some(joint) = event.joint {
        happened.push(' ');
        happened.push_str(&joint.key());
    }
}
