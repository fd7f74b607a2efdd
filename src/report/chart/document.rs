//! The settings chart as a document: a table a group on a terminal, one to pin beside the machine on paper.

use super::cells::{Cells, Short, cells, stud, thin};
use super::groups::{Group, groups};
use super::words::{foot, reasons, rig, searched, title};
use crate::cautions::{self, SCREEN};
use crate::document::{Blocks, Cell, Document, Look, Row, Style, Table};
use crate::keys;
use crate::program::PROGRAM;
use arcplunge_core::case::keys::scale_of;
use arcplunge_core::case::model::Metal;
use arcplunge_core::case::read::Origins;
use arcplunge_core::study::chart::{Chart, KEYS, metal};

/// What makes a line of the chart more than a proposal.
const TEST_WELD: &str = "Test weld: who welded and judged it, to which standard, and when. Until then a line \
of this chart is only a proposal.";

/// The document of a chart.
pub fn document(chart: &Chart, origins: &Origins) -> Document {
    let mut document = Document {
        title: title(chart),
        ..Document::default()
    };
    let b = &mut document.blocks;
    b.in_text(|b| on_terminal(b, chart));
    b.on_paper(|b| {
        b.group("section", "sheet", |b| to_pin_up(b, chart));
        b.heading(2, "How to read it");
        b.say(foot(chart));
    });
    let reasons = reasons(chart);
    if !reasons.is_empty() {
        b.gap();
        b.heading(2, "Why not, and what helps");
        b.list(reasons.iter().map(|(who, text)| format!("{who}: {text}")));
    }
    b.gap();
    cautions::screen(b, None);
    b.on_paper(|b| {
        b.paragraph(Look::Small, cautions::limits("the band of a single shot"));
        keys::case_without(b, &chart.base, origins, &varied(chart), &metals(chart));
    });
    document
}

fn on_terminal(b: &mut Blocks, chart: &Chart) {
    b.heading(1, title(chart));
    b.say(rig(chart));
    b.say(searched(chart));
    for group in groups(chart) {
        b.gap();
        b.heading(3, &*group.heading);
        let mut table = empty(chart);
        put(&mut table, chart, &group);
        b.table(table);
    }
    b.gap();
    b.paragraph(Look::Small, foot(chart));
}

/// The sheet that hangs beside the machine: the rig, its table, the cautions, the program that made it.
fn to_pin_up(b: &mut Blocks, chart: &Chart) {
    b.heading(1, title(chart));
    b.say(rig(chart));
    b.paragraph(Look::Small, format!("{SCREEN} {}", searched(chart)));
    let mut table = empty(chart);
    for group in groups(chart) {
        table.rows.push(Row::Group(0, group.heading.clone()));
        put(&mut table, chart, &group);
    }
    b.table(table);
    b.paragraph(Look::Small, format!("{TEST_WELD} {PROGRAM}."));
    cautions::dangers(b);
}

/// A column of the chart.
struct Column {
    head: Cell,
    /// Its place on a terminal, and where there are more columns.
    places: [&'static str; 2],
    classes: [&'static str; 2],
    there: bool,
    cell: fn(&Cells) -> Cell,
}

/// The columns of a chart: marks only where there is a scale, the spring's own only with one spring for all.
fn columns(chart: &Chart) -> Vec<Column> {
    let scaled = KEYS.map(|key| scale_of(&chart.base, key).is_some());
    let one = chart.one_spring.is_some();
    let column = |head: &str, places, classes, there, cell| Column {
        head: Cell::from(head),
        places,
        classes,
        there,
        cell,
    };
    let (n, set) = (["n"; 2], ["n", "n set"]);
    // Marks need the room of the energy on a terminal, and that of the arc time on a phone.
    let close = is_close(chart);
    let volts: fn(&Cells) -> Cell = match close {
        true => |c| Cell::both(&*c.volts, &*c.voltage),
        false => |c| Cell::from(&*c.voltage),
    };
    let all = vec![
        column(
            "stud",
            ["   {:<5}", "  {:<4}"],
            [""; 2],
            true,
            |c: &Cells| Cell::from(&*c.stud),
        ),
        column("set", ["{:>15}", "{:>7}"], set, true, volts),
        column("mark", ["{:>6}"; 2], set, scaled[0], |c| {
            Cell::from(&*c.marks[0])
        }),
        column("sound between", ["{:>15}", "{:>14}"], n, true, |c| {
            Cell::from(&*c.sound[0])
        }),
        column("spring", ["{:>7}"; 2], set, !one, |c| Cell::from(&*c.force)),
        column("mark", ["{:>6}"; 2], set, scaled[1] && !one, |c| {
            Cell::from(&*c.marks[1])
        }),
        column("sound between", ["{:>15}", "{:>14}"], n, true, |c| {
            Cell::from(&*c.sound[1])
        }),
        column("margin", ["{:>8}"; 2], n, true, |c| Cell::from(&*c.margin)),
        column("own spring", ["  {:<10}"; 2], n, one, |c| {
            Cell::from(&*c.own)
        }),
        column("sound", ["  {:<10}"; 2], n, true, |c| {
            Cell::from(&*c.chance)
        }),
        column("", [""; 2], ["n x"; 2], true, |c| {
            Cell::both("", &*c.arc_time)
        }),
        column("", [""; 2], ["w"; 2], true, |_| Cell::from("")),
    ];
    all.into_iter().filter(|column| column.there).collect()
}

fn is_close(chart: &Chart) -> bool {
    let scaled = KEYS.iter().any(|key| scale_of(&chart.base, key).is_some());
    scaled || chart.one_spring.is_some()
}

/// The chart's table without rows.
fn empty(chart: &Chart) -> Table {
    let close = usize::from(is_close(chart));
    let mut columns = columns(chart);
    for (column, name) in columns.iter_mut().rev().zip(["test weld", "arc time"]) {
        column.head = Cell::both("", name);
    }
    let layout: String = columns.iter().map(|c| c.places[close]).collect();
    let classes = columns.iter().map(|c| c.classes).collect();
    Table {
        style: Style::Classed("chart", classes),
        ..Table::of(layout, columns.into_iter().map(|c| c.head).collect(), 1)
    }
}

/// Adds the lines of a group, and what is not judged of its metals.
fn put(table: &mut Table, chart: &Chart, group: &Group) {
    let columns = columns(chart);
    for line in group.lines {
        match cells(chart, line) {
            Short::Sound(c) => table.cells(columns.iter().map(|column| (column.cell)(&c))),
            Short::Not { stud, hardly, why } => {
                let word = if hardly { "hardly" } else { "not" };
                table.rows.push(Row::Said(stud, word, why));
            }
        }
    }
    let thin = group.lines.iter().filter_map(|line| {
        let words = thin(chart, line)?;
        let words = words.replacen('S', "s", 1);
        Some(Row::Remark(format!("{}: {words}", stud(line))))
    });
    table.rows.extend(thin);
    let remarks = group.remarks.iter().map(|r| Row::Remark(r.to_string()));
    table.rows.extend(remarks);
}

/// The keys the chart sets itself.
fn varied(chart: &Chart) -> Vec<&'static str> {
    let mut keys = KEYS.to_vec();
    keys.extend([
        "stud.size",
        "stud.flange",
        "stud.pip_diameter",
        "stud.pip_length",
    ]);
    keys.extend(["stud.metal", "sheet.metal"]);
    if chart
        .lines
        .iter()
        .any(|l| l.job.method != chart.base.tool.method)
    {
        keys.extend([
            "tool.method",
            "tool.lift",
            "tool.moving_mass",
            "tool.spring_rate",
        ]);
    }
    keys
}

/// Every metal of the chart, once.
fn metals(chart: &Chart) -> Vec<Metal> {
    let mut out: Vec<Metal> = Vec::new();
    for line in &chart.lines {
        for name in [&line.job.stud_metal, &line.job.sheet_metal] {
            if !out.iter().any(|m| m.name == *name) {
                out.extend(metal(&chart.base, name));
            }
        }
    }
    out
}
