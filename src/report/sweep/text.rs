//! A sweep on a terminal: a table or a map of letters, and where the weld is sound.

use super::{VERDICTS, look};
use crate::cycle::named::find;
use crate::cycle::verdict::Verdict;
use crate::report::cautions::{CAUTIONS, SCREEN};
use crate::report::format::wrap;
use crate::report::quantity::{text, words};
use crate::study::sweep::{Outcome, Row, Sweep};

/// Most lines of a table, most columns and lines of a map.
const LINES: usize = 25;
const ACROSS: usize = 60;

/// Most figures beside each other.
const FIGURES: usize = 4;

/// The page of a sweep; `title` says what is welded.
pub fn page(sweep: &Sweep, rows: &[Row], show: &[&'static str], title: &str) -> String {
    let mut out = String::new();
    let mut line = |text: &str| {
        out.push_str(text.trim_end());
        out.push('\n');
    };
    for part in wrap(title, 80) {
        line(&part);
    }
    line("");
    match sweep.vary.len() {
        1 => table(sweep, rows, show, &mut line),
        _ => map(sweep, rows, &mut line),
    }
    if let Some(why) = rows.iter().find_map(|r| match &r.outcome {
        Outcome::None(why) => Some(why),
        Outcome::Shot { .. } => None,
    }) {
        let none = rows
            .iter()
            .filter(|r| r.outcome.figures().is_none())
            .count();
        for part in wrap(
            &format!("{none} of {} values make no case: {why}", rows.len()),
            80,
        ) {
            line(&part);
        }
    }
    line("");
    for part in wrap(SCREEN, 80) {
        line(&part);
    }
    for caution in CAUTIONS {
        let mut lead = "  - ";
        for part in wrap(caution, 76) {
            line(&format!("{lead}{part}"));
            lead = "    ";
        }
    }
    out
}

fn table(sweep: &Sweep, rows: &[Row], show: &[&'static str], line: &mut impl FnMut(&str)) {
    let vary = &sweep.vary[0];
    for window in windows(rows, Verdict::Sound) {
        let [low, high] = window.map(|k| vary.text(rows[k].values[0]));
        line(&format!(
            "sound from {low} to {high}, among the values fired"
        ));
    }
    if !rows
        .iter()
        .any(|r| r.outcome.verdict() == Some(Verdict::Sound))
    {
        line("sound nowhere among the values fired");
    }
    line("");
    let show = &show[..show.len().min(FIGURES)];
    let heads: Vec<&str> = show.iter().map(|name| words(name).short).collect();
    let name = vary.address.to_string();
    let mut head = format!("   {name:<16}  {:<12}", "verdict");
    for h in heads {
        head.push_str(&format!(" {h:>10}"));
    }
    line(&head);
    let step = rows.len().div_ceil(LINES);
    for row in rows.iter().step_by(step) {
        let verdict = row.outcome.verdict().map_or("–", |v| v.name());
        let mut cells = format!("   {:<16}  {verdict:<12}", vary.text(row.values[0]));
        for name in show {
            let value = find(name).and_then(|read| row.outcome.figures().and_then(read));
            cells.push_str(&format!(" {:>10}", text(name, value)));
        }
        line(&cells);
    }
    if step > 1 {
        line(&format!(
            "   every {step}th of {} values; --csv writes all",
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
fn map(sweep: &Sweep, rows: &[Row], line: &mut impl FnMut(&str)) {
    let (up, across) = (&sweep.vary[0], &sweep.vary[1]);
    let (tall, wide) = (up.count, across.count);
    let (row_step, column_step) = (tall.div_ceil(LINES), wide.div_ceil(ACROSS));
    let mark = |vary: &crate::study::vary::Vary| {
        let now = vary.address.number(&sweep.base)?;
        let step = (vary.to - vary.from) / (vary.count - 1) as f64;
        let k = ((now - vary.from) / step).round();
        (k >= 0.0 && k < vary.count as f64).then_some(k as usize)
    };
    let own = mark(up).zip(mark(across));
    line(&format!("{} upward", up.address));
    for k in (0..tall).step_by(row_step).rev() {
        let mut cells = format!("{:>12}  ", up.text(up.value(k)));
        for j in (0..wide).step_by(column_step) {
            let letter = look(rows[k * wide + j].outcome.verdict()).0;
            let here = own.is_some_and(|(a, b)| {
                (k..k + row_step).contains(&a) && (j..j + column_step).contains(&b)
            });
            cells.push(if here { '@' } else { letter });
        }
        line(&cells);
    }
    let (left, right) = (across.text(across.from), across.text(across.to));
    let room = wide
        .div_ceil(column_step)
        .saturating_sub(left.chars().count());
    line(&format!("{:14}{left}{right:>room$}", ""));
    line(&format!("{:14}{} across", "", across.address));
    line("");
    let legend: Vec<String> = VERDICTS
        .iter()
        .map(|(verdict, letter, _)| format!("{letter} {}", verdict.name()))
        .collect();
    line(&format!("{:14}{}   @ this case", "", legend.join("   ")));
}
