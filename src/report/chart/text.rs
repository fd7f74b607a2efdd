//! The chart in the terminal, 80 columns.

use super::{Cells, Short, cells, foot, groups, reasons, rig, searched, title};
use crate::report::cautions::SCREEN;
use crate::report::sheet::Sheet;
use crate::study::chart::Chart;

/// The whole page. Colour only where asked for.
pub fn page(chart: &Chart, color: bool) -> String {
    let mut sheet = Sheet::new(color);
    let head = sheet.paint(&title(chart), "1");
    sheet.line(head);
    sheet.paragraph(&rig(chart));
    sheet.paragraph(&searched(chart));
    for group in groups(chart) {
        sheet.line("");
        let heading = sheet.paint(&group.heading, "1");
        sheet.line(heading);
        sheet.line(row(
            "stud",
            "set",
            "sound between",
            "margin",
            "spring",
            "arc",
            "energy",
        ));
        for line in group.lines {
            match cells(line) {
                Short::Sound(c) => sheet.line(cells_row(&c)),
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

fn cells_row(c: &Cells) -> String {
    row(
        &c.stud,
        &c.voltage,
        &c.sound,
        &c.margin,
        &c.force,
        &c.arc_time,
        &c.energy,
    )
}

fn row(
    stud: &str,
    voltage: &str,
    sound: &str,
    margin: &str,
    force: &str,
    arc: &str,
    energy: &str,
) -> String {
    format!("   {stud:<6}{voltage:>7}{sound:>17}{margin:>9}{force:>10}{arc:>12}{energy:>10}")
}
