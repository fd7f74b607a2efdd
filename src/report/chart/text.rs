//! The chart in the terminal, 80 columns.

use super::{Cells, Short, cells, foot, groups, reasons, rig, searched, title};
use crate::case::keys::scale_of;
use crate::report::cautions::SCREEN;
use crate::report::sheet::Sheet;
use crate::study::chart::{Chart, KEYS};

/// The whole page. Colour only where asked for.
pub fn page(chart: &Chart, color: bool) -> String {
    let mut sheet = Sheet::new(color);
    let head = sheet.paint(&title(chart), "1");
    sheet.line(head);
    sheet.paragraph(&rig(chart));
    sheet.paragraph(&searched(chart));
    let scaled = KEYS.map(|key| scale_of(&chart.base, key).is_some());
    for group in groups(chart) {
        sheet.line("");
        let heading = sheet.paint(&group.heading, "1");
        sheet.line(heading);
        let head = [
            "stud",
            "set",
            "mark",
            "sound between",
            "margin",
            "spring",
            "mark",
            "arc",
            "energy",
        ];
        sheet.line(row(head, scaled));
        for line in group.lines {
            match cells(chart, line) {
                Short::Sound(c) => sheet.line(cells_row(&c, scaled)),
                Short::Not { stud, why } => {
                    sheet.indented(&why, &format!("   {stud:<8}not: "), 16);
                }
            }
        }
    }
    sheet.line("");
    sheet.paragraph(&foot(chart));
    let reasons = reasons(chart);
    if !reasons.is_empty() {
        sheet.line("");
        let head = sheet.paint("Why not, and what helps", "1");
        sheet.line(head);
        for (who, text) in reasons {
            sheet.indented(&format!("{who}: {text}"), "  - ", 4);
        }
    }
    sheet.line("");
    sheet.paragraph(SCREEN);
    sheet.cautions();
    sheet.text
}

fn cells_row(c: &Cells, scaled: [bool; 2]) -> String {
    let cells = [
        &c.stud,
        &c.voltage,
        &c.marks[0],
        &c.sound,
        &c.margin,
        &c.force,
        &c.marks[1],
        &c.arc_time,
        &c.energy,
    ];
    row(cells.map(String::as_str), scaled)
}

/// Cells to the right, closer together where marks need room.
fn row(cells: [&str; 9], scaled: [bool; 2]) -> String {
    let [stud, rest @ ..] = cells;
    let wide = [7, 0, 17, 9, 10, 0, 12, 10];
    let close = [7, 6, 16, 8, 8, 6, 11, 9];
    let mut line = format!("   {stud:<6}");
    for (n, cell) in rest.into_iter().enumerate() {
        let width = match n {
            1 | 5 if !scaled[n / 5] => continue,
            _ if scaled == [false; 2] => wide[n],
            _ => close[n],
        };
        line += &format!("{cell:>width$}");
    }
    line
}
