//! The trace as CSV.

use std::io::Write;

use super::csv::{Csv, number};
use arcplunge_core::simulation::events::Event;
use arcplunge_core::simulation::trace::Trace;

/// Which rows of an event are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sides {
    /// The one right after it: each time comes once, so that the table can be interpolated.
    After,
    /// Both, with the same time.
    Both,
}

/// Writes the curves of a shot with `earths` earth leads.
///
/// # Errors
/// When the writer fails.
pub fn csv(out: impl Write, trace: &Trace, earths: usize, sides: Sides) -> ::csv::Result<()> {
    let mut head: Vec<String> = [
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
    ]
    .map(String::from)
    .to_vec();
    head.extend((0..earths).map(|k| format!("earth_{k}_A")));
    let mut table = Csv::new(out, &head)?;
    let mut record = ::csv::StringRecord::new();
    let mut events = trace.shot.events.iter().peekable();
    for (n, row) in trace.rows.iter().enumerate() {
        let last = trace
            .rows
            .get(n + 1)
            .is_none_or(|next| next.time_s > row.time_s);
        if !last && sides == Sides::After {
            continue;
        }
        let mut happened = String::new();
        while let Some(event) = events.next_if(|event| last && event.time_s <= row.time_s) {
            tell(&mut happened, event);
        }
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
        for value in &row.earths_A[..earths] {
            record.push_field(&number(*value));
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
