//! A sweep as a document: a table or a map of letters, and where the weld is sound.

use super::look::look;
use crate::document::{Blocks, Cell, Document, Table};
use crate::quantity::{short, text};
use crate::{cautions, joints};
use arcplunge_core::simulation::named::find;
use arcplunge_core::simulation::verdict::{Cause, Verdict};
use arcplunge_core::study::range::Vary;
use arcplunge_core::study::sweep::{Outcome, Row, Sweep};

/// Most lines of a table, most columns and lines of a map.
const LINES: usize = 25;
const ACROSS: usize = 60;

/// Most figures beside each other.
const FIGURES: usize = 4;

/// The document of a sweep; `show` are the figures told.
pub fn document(sweep: &Sweep, rows: &[Row], show: &[&'static str]) -> Document {
    let mut document = Document::of(&sweep.base);
    let b = &mut document.blocks;
    match sweep.vary.len() {
        1 => table(b, sweep, rows, &show[..show.len().min(FIGURES)]),
        _ => b.art(map(sweep, rows)),
    }
    let none = rows.iter().filter_map(|r| match &r.outcome {
        Outcome::None(why) => Some(why),
        Outcome::Shot { .. } => None,
    });
    let none: Vec<_> = none.collect();
    if let [why, ..] = none.as_slice() {
        let (none, all) = (none.len(), rows.len());
        b.say(format!("{none} of {all} values are not valid cases: {why}"));
    }
    if let Some(words) = thin(rows) {
        b.say(words);
    }
    b.gap();
    let keys = sweep.vary.iter().map(|vary| vary.address.to_string());
    if let Some(remark) = joints::varied(keys) {
        b.say(remark);
    }
    cautions::end(b);
    document
}

fn table(b: &mut Blocks, sweep: &Sweep, rows: &[Row], show: &[&'static str]) {
    let vary = &sweep.vary[0];
    let windows = windows(rows, Verdict::Sound);
    for window in &windows {
        let [low, high] = window.map(|k| vary.short(rows[k].values[0]));
        let span = if low == high {
            format!("at {low}")
        } else {
            format!("from {low} to {high}")
        };
        b.line(format!("sound {span}, among the values fired"));
    }
    if windows.is_empty() {
        b.line("sound nowhere among the values fired");
    }
    b.gap();
    let layout = format!("   {{:<16}}  {{:<12}}{}", " {:>10}".repeat(show.len()));
    let mut head = vec![Cell::from(vary.address.to_string()), "verdict".into()];
    head.extend(show.iter().map(|name| Cell::from(short(name))));
    let mut table = Table::of(layout, head, 2);
    let step = rows.len().div_ceil(LINES);
    for row in rows.iter().step_by(step) {
        let verdict = row.outcome.verdict().map_or("–", |v| v.name());
        let mut cells = vec![vary.short(row.values[0]), verdict.to_string()];
        cells.extend(show.iter().map(|name| {
            let value = find(name).and_then(|read| row.outcome.figures().and_then(read));
            text(name, value)
        }));
        table.cells(cells);
    }
    b.table(table);
    if step > 1 {
        let all = rows.len();
        b.note(format!(
            "{all} values, one in {step} shown; --csv writes all"
        ));
    }
    if let Some(words) = rim_decides(rows, show) {
        b.say(words);
    }
}

/// How many of the sound welds have too thin a sheet.
fn thin(rows: &[Row]) -> Option<String> {
    let outcomes = || rows.iter().map(|row| &row.outcome);
    let sound = outcomes().filter(|o| o.verdict() == Some(Verdict::Sound));
    let thin = outcomes().filter(|o| o.sound_but_thin().is_some()).count();
    (thin > 0).then(|| {
        format!(
            "But the sheet is too thin in {thin} of the {} sound welds: thinner than such a stud should have, or its back \
             gets so hot that it dents. `arcplunge fire` says which.",
            sound.count()
        )
    })
}

/// What decides where a filled wedge is not sound for its rim; none where the table tells it, or no row is so.
fn rim_decides(rows: &[Row], show: &[&str]) -> Option<String> {
    const LEAST: &str = "rim_fill_min";
    let uneven = |row: &Row| match &row.outcome {
        Outcome::Shot { figures, cause, .. } => {
            let full = figures.fill_ratio.is_some_and(|fill| fill >= 1.0);
            let rim = matches!(cause, Cause::Underfilled | Cause::PartFilled);
            figures.rim_fill_min.filter(|_| full && rim)
        }
        Outcome::None(_) => None,
    };
    let all: Vec<f64> = rows.iter().filter_map(uneven).collect();
    if all.is_empty() || show.contains(&LEAST) || !show.contains(&"fill_ratio") {
        return None;
    }
    let least = all.iter().copied().fold(f64::INFINITY, f64::min);
    let most = all.iter().copied().fold(0.0, f64::max);
    let [least, most] = [least, most].map(|fill| text(LEAST, Some(fill)));
    let span = match least == most {
        true => least,
        false => format!("{least} to {most}"),
    };
    Some(format!(
        "Cold or one-sided at a fill of 1 or more: tilt or arc blow leaves {span} where the rim has least, and that \
         decides; --show {LEAST} tells it of each."
    ))
}

/// First and last row of each run of rows with this verdict.
fn windows(rows: &[Row], verdict: Verdict) -> Vec<[usize; 2]> {
    let mut out: Vec<[usize; 2]> = Vec::new();
    for (k, row) in rows.iter().enumerate() {
        if row.outcome.verdict() != Some(verdict) {
            continue;
        }
        match out.last_mut() {
            Some([_, last]) if *last + 1 == k => *last = k,
            _ => out.push([k, k]),
        }
    }
    out
}

/// The first key upward, the second across.
fn map(sweep: &Sweep, rows: &[Row]) -> Vec<String> {
    let (up, across) = (&sweep.vary[0], &sweep.vary[1]);
    let (tall, wide) = (up.count, across.count);
    let (row_step, column_step) = (tall.div_ceil(LINES), wide.div_ceil(ACROSS));
    let mark = |vary: &Vary| {
        let now = vary.address.number(&sweep.base)?;
        let step = (vary.to - vary.from) / (vary.count - 1) as f64;
        let k = ((now - vary.from) / step).round();
        (k >= 0.0 && k < vary.count as f64).then_some(k as usize)
    };
    let own = mark(up).zip(mark(across));
    let mut lines = vec![format!("{} vertical", up.address)];
    for k in (0..tall).step_by(row_step).rev() {
        let mut cells = format!("{:>12}  ", up.short(up.value(k)));
        for j in (0..wide).step_by(column_step) {
            let letter = look(rows[k * wide + j].outcome.verdict()).0;
            let here = own.is_some_and(|(a, b)| {
                (k..k + row_step).contains(&a) && (j..j + column_step).contains(&b)
            });
            cells.push(if here { '@' } else { letter });
        }
        lines.push(cells);
    }
    let (left, right) = (across.short(across.from), across.short(across.to));
    let room = wide
        .div_ceil(column_step)
        .saturating_sub(left.chars().count());
    let room = room.max(right.chars().count() + 1);
    lines.push(format!("{:14}{left}{right:>room$}", ""));
    lines.push(format!("{:14}{} horizontal", "", across.address));
    lines.push(String::new());
    // Only what the map shows.
    let there = |v: &&Verdict| rows.iter().any(|row| row.outcome.verdict() == Some(**v));
    let legend: Vec<String> = Verdict::ALL
        .iter()
        .filter(there)
        .map(|v| format!("{} {}", look(Some(*v)).0, v.name()))
        .collect();
    lines.push(format!("{:14}{}   @ this case", "", legend.join("   ")));
    lines
}
