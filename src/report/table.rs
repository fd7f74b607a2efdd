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

const HEAD: [&str; 11] = [
    "time_s",
    "phase",
    "event",
    "current_A",
    "bank_V",
    "weld_V",
    "weld_W",
    "gap_m",
    "speed_m_per_s",
    "melt_stud_m",
    "melt_sheet_m",
];

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
    earths: usize,
    sides: Sides,
    held: Option<Row>,
}

impl<'a, W: Write> Table<'a, W> {
    /// A table of the curves of a shot with these events, in order, and `earths` earth leads.
    ///
    /// # Errors
    /// When the writer fails.
    pub fn new(out: W, events: &'a [Event], earths: usize, sides: Sides) -> ::csv::Result<Self> {
        let currents = (0..earths).map(|k| format!("earth_{k}_A"));
        let head = HEAD.map(String::from).into_iter().chain(currents);
        Ok(Table {
            csv: Csv::new(out, head)?,
            record: ::csv::StringRecord::new(),
            events: events.iter().peekable(),
            earths,
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
            Some(held) => self.write(&held, row.time_s > held.time_s),
            None => Ok(()),
        }
    }

    /// Ends the table.
    ///
    /// # Errors
    /// When the writer fails.
    pub fn end(mut self) -> ::csv::Result<()> {
        if let Some(held) = self.held.take() {
            self.write(&held, true)?;
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
        for value in [
            row.current_A,
            row.bank_V,
            row.weld_V,
            row.weld_power(),
            row.gap_m,
            row.speed_m_per_s,
            row.melt_stud_m,
            row.melt_sheet_m,
        ] {
            record.push_field(&number(value));
        }
        for value in &row.earths_A[..self.earths] {
            record.push_field(&number(*value));
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
