//! A sweep on a terminal: a table or a map of letters, and where the weld is sound.

use super::look;
use crate::cautions::SCREEN;
use crate::quantity::{text, words};
use crate::terminal::Sheet;
use arcplunge_core::simulation::named::find;
use arcplunge_core::simulation::verdict::Verdict;
use arcplunge_core::study::range::Vary;
use arcplunge_core::study::sweep::{Outcome, Row, Sweep};

/// Most lines of a table, most columns and lines of a map.
const LINES: usize = 25;
const ACROSS: usize = 60;

/// Most figures beside each other.
const FIGURES: usize = 4;

/// The page of a sweep. Colour only where asked for.
pub fn page(sweep: &Sweep, rows: &[Row], show: &[&'static str], color: bool) -> String {
    let mut sheet = Sheet::new(color);
    sheet.heading(&sweep.base);
    match sweep.vary.len() {
        1 => table(sweep, rows, show, &mut sheet),
        _ => map(sweep, rows, &mut sheet),
    }
    if let Some(why) = rows.iter().find_map(|r| match &r.outcome {
        Outcome::None(why) => Some(why),
        Outcome::Shot { .. } => None,
    }) {
        let none = rows.iter().filter(|r| r.outcome.figures().is_none());
        let none = none.count();
        sheet.paragraph(&format!(
            "{none} of {} values make no case: {why}",
            rows.len()
        ));
    }
    sheet.line("");
    sheet.paragraph(SCREEN);
    sheet.cautions();
    sheet.text
}

fn table(sweep: &Sweep, rows: &[Row], show: &[&'static str], sheet: &mut Sheet) {
    let vary = &sweep.vary[0];
    for window in windows(rows, Verdict::Sound) {
        let [low, high] = window.map(|k| vary.short(rows[k].values[0]));
        let span = if low == high {
            format!("at {low}")
        } else {
            format!("from {low} to {high}")
        };
        sheet.line(format!("sound {span}, among the values fired"));
    }
    if !rows
        .iter()
        .any(|r| r.outcome.verdict() == Some(Verdict::Sound))
    {
        sheet.line("sound nowhere among the values fired");
    }
    sheet.line("");
    let show = &show[..show.len().min(FIGURES)];
    let heads: Vec<&str> = show.iter().map(|name| words(name).short).collect();
    let name = vary.address.to_string();
    let mut head = format!("   {name:<16}  {:<12}", "verdict");
    for h in heads {
        head.push_str(&format!(" {h:>10}"));
    }
    sheet.line(&head);
    let step = rows.len().div_ceil(LINES);
    for row in rows.iter().step_by(step) {
        let verdict = row.outcome.verdict().map_or("–", |v| v.name());
        let mut cells = format!("   {:<16}  {verdict:<12}", vary.short(row.values[0]));
        for name in show {
            let value = find(name).and_then(|read| row.outcome.figures().and_then(read));
            cells.push_str(&format!(" {:>10}", text(name, value)));
        }
        sheet.line(&cells);
    }
    if step > 1 {
        sheet.line(format!(
            "   {} values, one in {step} shown; --csv writes all",
            rows.len()
        ));
    }
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
fn map(sweep: &Sweep, rows: &[Row], sheet: &mut Sheet) {
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
    sheet.line(format!("{} upward", up.address));
    for k in (0..tall).step_by(row_step).rev() {
        let mut cells = format!("{:>12}  ", up.short(up.value(k)));
        for j in (0..wide).step_by(column_step) {
            let letter = look(rows[k * wide + j].outcome.verdict()).0;
            let here = own.is_some_and(|(a, b)| {
                (k..k + row_step).contains(&a) && (j..j + column_step).contains(&b)
            });
            cells.push(if here { '@' } else { letter });
        }
        sheet.line(&cells);
    }
    let (left, right) = (across.short(across.from), across.short(across.to));
    let room = wide
        .div_ceil(column_step)
        .saturating_sub(left.chars().count());
    let room = room.max(right.chars().count() + 1);
    sheet.line(format!("{:14}{left}{right:>room$}", ""));
    sheet.line(format!("{:14}{} across", "", across.address));
    sheet.line("");
    let legend: Vec<String> = Verdict::ALL
        .iter()
        .map(|v| format!("{} {}", look(Some(*v)).0, v.name()))
        .collect();
    sheet.line(format!("{:14}{}   @ this case", "", legend.join("   ")));
}
