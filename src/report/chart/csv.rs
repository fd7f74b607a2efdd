//! A chart as CSV: RFC 4180, SI, ten significant digits, a row for each stud.

use std::io::Write;

use super::cells::{full, thin};
use super::groups::method_name;
use crate::csv::{Csv, cell, number};
use crate::dial::limit_name;
use arcplunge_core::case::keys::scale_of;
use arcplunge_core::study::chart::{Answer, Chart, KEYS};
use arcplunge_core::study::dial::Window;

const HEAD: [&str; 26] = [
    "stud.size",
    "stud.metal",
    "sheet.metal",
    "sheet.thickness_m",
    "tool.method",
    "bank.voltage_V",
    "bank.voltage_mark",
    "voltage_low_V",
    "voltage_high_V",
    "voltage_below",
    "voltage_above",
    "tool.spring_force_N",
    "tool.spring_mark",
    "force_low_N",
    "force_high_N",
    "force_below",
    "force_above",
    "margin",
    "sound_shots",
    "shots",
    "stored_energy_J",
    "arc_time_s",
    "arc_energy_J",
    "fill_ratio",
    "own_spring_force_N",
    "note",
];

/// Writes the chart; what has no mark, and what a stud that cannot be welded lacks, is empty; `note` says why, and what is wrong with
/// the sheet.
///
/// # Errors
/// When the writer fails.
pub fn csv(out: impl Write, chart: &Chart) -> ::csv::Result<()> {
    let mut table = Csv::new(out, HEAD)?;
    let mark = |k: usize, value| {
        let mark = scale_of(&chart.base, KEYS[k]).and_then(|scale| scale.mark(value));
        cell(mark)
    };
    for line in &chart.lines {
        let job = &line.job;
        let mut record = vec![
            job.size.clone(),
            job.stud_metal.clone(),
            job.sheet_metal.clone(),
            number(chart.base.sheet.thickness),
            method_name(job.method).to_string(),
        ];
        if let Answer::Sound(s) = &line.answer {
            record.push(number(s.voltage));
            record.push(mark(0, s.voltage));
            window(&mut record, &s.voltages);
            record.push(number(s.force));
            record.push(mark(1, s.force));
            window(&mut record, &s.forces);
            record.push(number(s.margin));
            record.extend([s.chance.map(|c| c.sound), s.chance.map(|c| c.shots)].map(count));
            let f = &s.figures;
            let figures = [
                Some(f.stored_energy_J),
                f.arc_time_s,
                f.arc_energy_J,
                f.fill_ratio,
            ];
            record.extend(figures.map(cell));
        }
        record.resize(HEAD.len() - 2, String::new());
        record.push(cell(line.own.as_ref().map(|own| own.force)));
        record.push(thin(chart, line).unwrap_or_else(|| full(line)));
        table.row(&record)?;
    }
    table.end()
}

fn count(count: Option<usize>) -> String {
    count.map_or(String::new(), |count| count.to_string())
}

fn window(record: &mut Vec<String>, w: &Window) {
    record.extend([number(w.low), number(w.high)]);
    record.extend([w.below, w.above].map(|limit| limit_name(limit).to_string()));
}
