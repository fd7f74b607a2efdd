//! What the trade takes for granted.

use super::bench::{or_none, shot};
use super::{Check, Evidence, Source};
use arcplunge_core::case::read::demonstration;
use arcplunge_core::case::{Case, catalogue};
use arcplunge_core::simulation::shot::{Figures, Shot};

const TRADE: Source = Source {
    text: "common practice, no source",
    evidence: Evidence::Practice,
};
/// Mild steel studs of this size on the demonstration case's sheet, at `volts` \[V\].
pub fn steel(size: &str, volts: f64) -> Case {
    let mut case = Case::default();
    let stud = catalogue::stud(size);
    case.stud.flange = stud.flange;
    case.stud.pip_diameter = stud.pip_diameter;
    case.stud.pip_length = stud.pip_length;
    case.bank.voltage = volts;
    case
}

/// A figure of a case's shot, or no number.
pub fn figure(case: &Case, read: fn(&Figures) -> Option<f64>) -> f64 {
    or_none(shot(case).and_then(|shot: Shot| read(&shot.figures)))
}

/// An aluminium weld by the gap method, its usual use, with the tool that it usually has.
fn gap_weld() -> Case {
    let sets = [
        "tool.method=gap",
        "stud.metal=aluminium Mg alloy",
        "sheet.metal=aluminium Mg alloy",
        "bank.voltage=118 V",
    ];
    demonstration(&sets.map(String::from)).map_or_else(|_| Case::default(), |read| read.case)
}

pub(super) fn practice() -> Vec<Check> {
    let arc = |case: &Case| figure(case, |f| f.arc_time_s.map(|t| t * 1e3));
    let (m5, m6) = (Case::default(), steel("M6", 135.0));
    let gap = gap_weld();
    let mut long = Case::default();
    long.lead.length = 12.0;
    let check = |id: &str, quantity: &str, unit, range, computed| {
        Check::within(
            format!("practice.{id}"),
            quantity,
            TRADE,
            unit,
            range,
            computed,
        )
    };
    vec![
        check(
            "arc.m5",
            "M5 by contact, 112 V: arc time",
            "ms",
            (1.0, 3.0),
            arc(&m5),
        ),
        check(
            "arc.m6",
            "M6 by contact, 135 V: arc time",
            "ms",
            (1.0, 3.0),
            arc(&m6),
        ),
        check(
            "arc.gap",
            "aluminium M5 by gap: arc time",
            "ms",
            (0.1, 1.2),
            arc(&gap),
        ),
        check(
            "whole",
            "M5 by contact: touchdown after",
            "ms",
            (1.0, 5.0),
            figure(&m5, |f| f.touchdown_s.map(|t| t * 1e3)),
        ),
        check(
            "m6.fill",
            "M6 at 135 V: melt fills the wedge",
            "",
            (1.0, 2.0),
            figure(&m6, |f| f.fill_ratio),
        ),
        check(
            "m6.vapour",
            "M6 at 135 V: share boiled off",
            "",
            (0.0, 0.1),
            figure(&m6, |f| f.vapour_share),
        ),
        check(
            "long",
            "12 m of gun lead: not filled",
            "",
            (0.0, 0.99),
            figure(&long, |f| f.fill_ratio),
        ),
    ]
}
