//! The trace as CSV.

use std::io::Write;
use std::iter::Peekable;
use std::slice;

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

/// Reads a number off a row.
type Read = fn(&Row) -> f64;

/// Where a column's numbers stand in a row.
enum Value {
    Own(Read),
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
    let own: [(&str, Read); 8] = [
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

/// Whether a row is the last of its time: the one right after an event, where there are two.
pub fn is_last(row: &Row, next: Option<&Row>) -> bool {
    next.is_none_or(|next| next.time_s > row.time_s)
}

/// Writes the curves of a shot with `earths` earth leads.
///
/// # Errors
/// When the writer fails.
pub fn csv(out: impl Write, trace: &Trace, earths: usize, sides: Sides) -> ::csv::Result<()> {
    let mut table = Table::new(out, &trace.shot.events, earths, sides)?;
    for row in &trace.rows {
        table.row(row)?;
    }
    table.end()
}

/// The table in the making. It holds a row back until the next tells whether it is the last of its time.
pub struct Table<'a, W: Write> {
    csv: Csv<W>,
    record: ::csv::StringRecord,
    events: Peekable<slice::Iter<'a, Event>>,
    columns: Vec<Column>,
    sides: Sides,
    held: Option<Row>,
}

impl<'a, W: Write> Table<'a, W> {
    /// A table of the curves of a shot with these events, in order, and `earths` earth leads.
    ///
    /// # Errors
    /// When the writer fails.
    pub fn new(out: W, events: &'a [Event], earths: usize, sides: Sides) -> ::csv::Result<Self> {
        let columns = columns(earths);
        let words = ["time_s", "phase", "event"];
        let numbers = columns.iter().map(|column| column.name.as_str());
        let csv = Csv::new(out, words.into_iter().chain(numbers))?;
        Ok(Table {
            csv,
            columns,
            record: ::csv::StringRecord::new(),
            events: events.iter().peekable(),
            sides,
            held: None,
        })
    }

    /// Adds the next row.
    ///
    /// # Errors
    /// When the writer fails.
    pub fn row(&mut self, row: &Row) -> ::csv::Result<()> {
        match self.held.replace(*row) {
            Some(held) => self.write(&held, is_last(&held, Some(row))),
            None => Ok(()),
        }
    }

    /// Ends the table.
    ///
    /// # Errors
    /// When the writer fails.
    pub fn end(mut self) -> ::csv::Result<()> {
        if let Some(held) = self.held.take() {
            self.write(&held, is_last(&held, None))?;
        }
        self.csv.end()
    }

    /// Writes a row, the `last` of its time or not.
    fn write(&mut self, row: &Row, last: bool) -> ::csv::Result<()> {
        if !last && self.sides == Sides::After {
            return Ok(());
        }
        let mut happened = String::new();
        let due = |event: &&Event| last && event.time_s <= row.time_s;
        while let Some(event) = self.events.next_if(due) {
            tell(&mut happened, event);
        }
        let record = &mut self.record;
        record.clear();
        record.push_field(&number(row.time_s));
        record.push_field(row.phase.name());
        record.push_field(&happened);
        for column in &self.columns {
            record.push_field(&number(column.of(row)));
        }
        self.csv.row(&*record)
    }
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
