//! One shot as a document: verdict and reasons, events, figures, ledger, joints, cautions.

use super::cautions::{self, LIMITS};
use super::document::{Block, Blocks, Cell, Document, Look, Medium, Style, Table};
use super::figures::{self, FILL};
use super::format::{engineering, milliseconds};
use super::reasons::Reasons;
use super::{joints, keys, title, verdict};
use crate::event_words::{note, words};
use arcplunge_core::case::read::Origins;
use arcplunge_core::simulation::discharge::End;
use arcplunge_core::simulation::shot::Shot;
use arcplunge_core::study::assessment::Assessment;

/// Column of the sentence beside the verdict; characters of the longest bar.
const VERDICT: usize = 9;
const BAR: usize = 28;

/// Share of the bank below which a terminal does not name an element, and below which it is rounding.
const SMALL: f64 = 2e-3;
const ROUNDING: f64 = 1e-6;

/// The document of a shot; `drawing` is the one of its curves.
pub fn document(weld: &Assessment, origins: &Origins, drawing: Option<String>) -> Document {
    let shot = &weld.shot;
    let rows = figures::rows(shot, weld.band.as_ref());
    let band = weld.band.as_ref();
    let band = band.filter(|_| rows.iter().any(|row| !row.band.is_empty()));
    let ninety = band.map(|band| {
        let shots = band.shots;
        format!("90 % of {shots} shots over the spread of the model's own constants.")
    });
    let mut document = Document::about(&weld.case);
    let b = &mut document.blocks;
    // What one takes to the machine is on the first sheet of paper.
    b.group("div", "first", |b| {
        b.title(&weld.case);
        b.on_paper(|b| b.paragraph(Look::Soft, title::leads(&weld.case)));
        let mut reasons = Reasons::of(weld).all().into_iter();
        let first = reasons.next().unwrap_or_default();
        b.verdict(verdict::full(weld), VERDICT, first);
        b.list(reasons);
        b.gap();
        b.0.extend(drawing.map(Block::Picture));
        b.group("div", "pair", |b| {
            events(b, shot);
            if shot.verdict.is_some() {
                b.0.push(test_weld());
            }
        });
        b.on_paper(cautions::dangers);
    });
    b.on_paper(|b| b.heading(2, "Figures"));
    b.table(figures(rows, band.is_some()));
    if shot.figures.fill_ratio.is_some() {
        b.note(FILL);
    }
    if let Some(words) = band.and_then(|band| figures::outside(shot, band)) {
        b.note(words);
    }
    b.gap();
    b.on_paper(|b| {
        let shown_by = match &ninety {
            Some(ninety) => {
                b.note(format!("Band: {ninety}"));
                "the band"
            }
            None => "the band of a single shot",
        };
        b.note(cautions::limits(shown_by));
        b.heading(2, "Where the joules went");
    });
    ledger(b, shot);
    joints::suffering(b, &weld.rig, shot);
    if let Some(ninety) = ninety {
        b.in_text(|b| b.say(format!("* {ninety}")));
    }
    cautions::screen(b, Some(LIMITS.into()));
    b.on_paper(|b| keys::case(b, &weld.case, origins));
    document
}

/// Room for the weld that decides.
fn test_weld() -> Block {
    let names = [
        "date",
        "operator",
        "test welds",
        "bent or torqued",
        "result",
        "signature",
    ];
    Block::Form("Test welds decide", names.to_vec())
}

fn events(b: &mut Blocks, shot: &Shot) {
    let head = ["event", "time", ""].map(|head| Cell::both("", head));
    let longest = shot.events.iter().map(|e| words(e).chars().count()).max();
    let widths = format!("   {{1:>9}}  {{0:<{}}}  {{2}}", longest.unwrap_or(0));
    let mut table = Table::new(widths, head, 9);
    for e in &shot.events {
        table.row([words(e), milliseconds(e.time_s), note(e, shot)]);
    }
    if shot.how == End::StillFlowing {
        let open = if shot.figures.action_A2s == 0.0 {
            "the record ends with the stud still travelling"
        } else {
            "the record ends with the current still flowing"
        };
        table.only(Medium::Text, [open, "", ""]);
    }
    b.table(table);
    b.gap();
}

fn figures(rows: Vec<figures::Row>, banded: bool) -> Table {
    let head = [("figures", "figure"), ("", "value"), ("band*", "band")];
    let columns = if banded { 3 } else { 2 };
    let head = head.map(|(text, paper)| Cell::both(text, paper));
    let head = head.into_iter().take(columns).collect();
    let mut table = Table::of("   {:<21} {:<28} {}", head, 9);
    for row in rows {
        let cells = [row.name.to_string(), row.value, row.band];
        table.cells(cells.into_iter().take(columns));
    }
    table
}

/// Where the joules went, largest first.
fn ledger(b: &mut Blocks, shot: &Shot) {
    let stored = shot.figures.stored_energy_J;
    let mut entries = shot.ledger.entries();
    // Rounding must not decide the order of two alike leads.
    entries.sort_by_key(|e| std::cmp::Reverse((e.1 / stored * 1e6).round() as i64));
    let (scale, unit) = match stored < 1.0 {
        true => (1e3, "mJ"),
        false => (1.0, "J"),
    };
    let largest = entries.first().map_or(1.0, |e| e.1);
    let share = |joules: f64| format!("{:.1} %", joules / stored * 100.0);
    let told = |joules: f64| format!("{:.1} {unit}", joules * scale);
    let pad = " ".repeat(unit.len());
    let head = [
        Cell::both("where the joules went", "element"),
        Cell::both(
            format!("{}{}", engineering(stored, "J"), &pad[1..]),
            "energy",
        ),
        Cell::both("", "share"),
        "".into(),
    ];
    let number = 8 + unit.len();
    let mut table = Table::new(format!("   {{:<26}} {{:>{number}}} {{:>7}}  {{}}"), head, 1);
    table.style = Style::Bars;
    for (name, joules) in entries.iter().filter(|e| e.1 > ROUNDING * stored) {
        let cells = [
            name.as_str().into(),
            Cell::both(told(*joules), engineering(*joules, "J")),
            share(*joules).into(),
            Cell::bar(joules / largest, BAR),
        ];
        if *joules < SMALL * stored {
            table.only(Medium::Paper, cells);
        } else {
            table.row(cells);
        }
    }
    let small = entries.iter().map(|e| e.1).filter(|e| *e < SMALL * stored);
    let rest: f64 = small.sum();
    if rest > 0.0 {
        let cells = ["other".to_string(), told(rest), share(rest), String::new()];
        table.only(Medium::Text, cells);
    }
    let all = [
        "stored in the bank".to_string(),
        engineering(stored, "J"),
        share(stored),
        String::new(),
    ];
    table.only(Medium::Paper, all);
    b.table(table);
    b.gap();
}
