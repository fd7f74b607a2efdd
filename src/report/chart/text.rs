//! The chart in the terminal, 80 columns.

use super::{Cells, Short, cells, foot, groups, reasons, rig, searched, title};
use crate::cautions::SCREEN;
use crate::terminal::Sheet;
use arcplunge_core::case::keys::scale_of;
use arcplunge_core::study::chart::{Chart, KEYS};

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
        ];
        sheet.line(row(head, scaled));
        for line in group.lines {
            match cells(chart, line) {
                Short::Sound(c) => sheet.line(cells_row(&c, scaled)),
                Short::Not { stud, hardly, why } => {
                    let word = if hardly { "hardly" } else { "not" };
                    sheet.indented(&why, &format!("   {stud:<8}{word}: "), 16);
                }
            }
        }
        for remark in group.remarks {
            sheet.indented(remark, "   ", 3);
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
    ];
    row(cells.map(String::as_str), scaled)
}

/// Cells to the right, closer together where marks need room.
fn row(cells: [&str; 8], scaled: [bool; 2]) -> String {
    let [stud, rest @ ..] = cells;
    let wide = [16, 0, 18, 9, 10, 0, 12];
    let close = [15, 6, 17, 8, 8, 6, 11];
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
