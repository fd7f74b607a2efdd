//! The settings chart as a document: a table a group on a terminal, one to pin beside the machine on paper.

use super::cells::{Short, cells};
use super::groups::{Group, groups};
use super::words::{foot, reasons, rig, searched, title};
use crate::cautions::{self, SCREEN};
use crate::document::{Cell, Document, Look, Row, Style, Table};
use crate::keys;
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
    b.heading(1, title(chart));
    b.say(rig(chart));
    b.in_text(|b| {
        b.say(searched(chart));
        for group in groups(chart) {
            b.gap();
            b.heading(3, &*group.heading);
            let mut table = empty(chart);
            put(&mut table, chart, &group);
            b.table(table);
        }
        b.gap();
    });
    b.on_paper(|b| {
        b.say(format!("{SCREEN} {}", searched(chart)));
        let mut table = empty(chart);
        for group in groups(chart) {
            table.rows.push(Row::Group(0, group.heading.clone()));
            put(&mut table, chart, &group);
        }
        b.table(table);
    });
    b.paragraph(Look::Small, foot(chart));
    b.on_paper(|b| b.paragraph(Look::Small, TEST_WELD));
    let reasons = reasons(chart);
    if !reasons.is_empty() {
        b.gap();
        b.heading(2, "Why not, and what helps");
        b.list(reasons.iter().map(|(who, text)| format!("{who}: {text}")));
    }
    b.gap();
    cautions::screen(b, None);
    cautions::closing(b);
    b.on_paper(|b| {
        keys::case_without(b, &chart.base, origins, &varied(chart), &metals(chart));
    });
    document
}

/// The chart's table without rows; marks only where there is a scale.
fn empty(chart: &Chart) -> Table {
    let scaled = is_scaled(chart);
    // Marks need the room of the arc time on a phone, and stand closer on a terminal.
    let (arc, close) = match scaled {
        [false, false] => ("n", 0),
        _ => ("n x", 1),
    };
    let columns = [
        (Cell::from("set"), [16, 15], ["n", "n set"], true),
        ("mark".into(), [0, 6], ["n", "n set"], scaled[0]),
        ("sound between".into(), [18, 17], ["n"; 2], true),
        ("margin".into(), [9, 8], ["n x"; 2], true),
        ("spring".into(), [10, 8], ["n", "n set"], true),
        ("mark".into(), [0, 6], ["n", "n set"], scaled[1]),
        (Cell::both("arc", "arc time"), [12, 11], [arc; 2], true),
    ];
    let (mut layout, mut head, mut classes) =
        ("   {:<6}".to_string(), vec!["stud".into()], vec![[""; 2]]);
    for (name, widths, class, _) in columns.into_iter().filter(|c| c.3) {
        layout += &format!("{{:>{}}}", widths[close]);
        head.push(name);
        classes.push(class);
    }
    head.push("test weld".into());
    classes.push(["w"; 2]);
    Table {
        style: Style::Classed("chart", classes),
        ..Table::of(layout, head, 1)
    }
}

fn is_scaled(chart: &Chart) -> [bool; 2] {
    KEYS.map(|key| scale_of(&chart.base, key).is_some())
}

/// Adds the lines of a group, and what is not judged of its metals.
fn put(table: &mut Table, chart: &Chart, group: &Group) {
    let scaled = is_scaled(chart);
    for line in group.lines {
        match cells(chart, line) {
            Short::Sound(c) => {
                let [voltage_mark, force_mark] = c.marks;
                let all = [
                    (c.stud, true),
                    (c.voltage, true),
                    (voltage_mark, scaled[0]),
                    (c.sound, true),
                    (c.margin, true),
                    (c.force, true),
                    (force_mark, scaled[1]),
                    (c.arc_time, true),
                    (String::new(), true),
                ];
                table.cells(all.into_iter().filter(|c| c.1).map(|c| c.0));
            }
            Short::Not { stud, hardly, why } => {
                let word = if hardly { "hardly" } else { "not" };
                table.rows.push(Row::Said(stud, word, why));
            }
        }
    }
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
        keys.push("tool.method");
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
