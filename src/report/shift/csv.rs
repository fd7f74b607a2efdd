//! The welds of a shift as CSV: RFC 4180, SI, ten significant digits.

use std::io::Write;

use crate::csv::{Csv, cell, number};
use arcplunge_core::simulation::verdict::Verdict;
use arcplunge_core::study::shift::Shift;
use arcplunge_core::study::shift::fired::Figure;

/// Figures beside the temperatures, and their columns.
const FIGURES: [(&str, Figure); 6] = [
    ("peak_current_A", Figure::Peak),
    ("action_A2s", Figure::Action),
    ("arc_energy_J", Figure::ArcEnergy),
    ("fill_ratio", Figure::Fill),
    ("rim_fill_min", Figure::RimFill),
    ("vapour_share", Figure::Vapour),
];

/// The text.
///
/// # Errors
/// When the writer fails, which memory never does.
pub fn csv(out: impl Write, shift: &Shift) -> ::csv::Result<()> {
    let head = [
        "weld",
        "time_s",
        "voltage_V",
        "ready",
        "conductor_K",
        "jacket_K",
        "joint_K",
        "core_K",
        "junction_K",
        "sheet_K",
        "chuck_grip",
    ];
    let figures = FIGURES.map(|(name, _)| name);
    let rest = ["verdict", "cause", "fired"];
    let mut table = Csv::new(out, head.iter().chain(&figures).chain(&rest))?;
    for (n, weld) in shift.run.welds.iter().enumerate() {
        let mut row = vec![(n + 1).to_string(), number(weld.time), number(weld.voltage)];
        row.push(weld.is_ready.to_string());
        let warm = [
            weld.conductor,
            weld.jacket,
            weld.joint,
            weld.core,
            weld.junction,
            weld.sheet,
            weld.grip,
        ];
        row.extend(warm.map(number));
        row.extend(FIGURES.map(|(_, figure)| cell(weld.shot.known(figure))));
        row.push(
            weld.verdict()
                .map_or(String::new(), |v: Verdict| v.name().into()),
        );
        row.push(weld.cause().name().into());
        row.push(weld.fired.to_string());
        table.row(&row)?;
    }
    table.end()
}
