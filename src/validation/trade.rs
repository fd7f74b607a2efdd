//! What the trade takes for granted, and what the literature reports of whole welds.

use super::bench::{or_none, shot};
use super::{Check, Evidence, Source};
use arcplunge_core::case::model::{Attitude, Method};
use arcplunge_core::case::read::demonstration;
use arcplunge_core::case::{Case, catalogue};
use arcplunge_core::physics::arc;
use arcplunge_core::simulation::shot::{Figures, Shot};

const TRADE: Source = Source {
    text: "common practice, no source",
    evidence: Evidence::Practice,
};
const WILSON: Source = Source {
    text: "Wilson et al., MRS Proc. (1993): 1e6 K/s",
    evidence: Evidence::Reported,
};
const WILSON_TIME: Source = Source {
    text: "Wilson et al. (1993): weld time set by tip length, drop height",
    evidence: Evidence::Reported,
};

const WILSON_SPREAD: Source = Source {
    text: "Wilson et al., MRS Proc. 314 (1993): 109 m/s, tube welds",
    evidence: Evidence::Reported,
};
const THANEEPAKORN: Source = Source {
    text: "Thaneepakorn (1999): 1e5 to 1e6 K/s, copper, melt of 91.5 µm",
    evidence: Evidence::Reported,
};
const OH_YOO: Source = Source {
    text: "Oh & Yoo: fewer voids from 1.2 to 1.7 kA, their own rig",
    evidence: Evidence::Reported,
};

/// Voltage that melts as much copper as was reported \[V\].
const COPPER_VOLTAGE: f64 = 141.0;

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

/// A stud that falls with a weight of `mass` \[kg\] from `height` \[m\] and has no spring: the weight is
/// the force, whichever way the tool points.
pub fn drop_rig(mass: f64, height: f64, volts: f64) -> Case {
    let mut case = steel("M5", volts);
    let tool = &mut case.tool;
    (tool.method, tool.attitude) = (Method::Gap, Attitude::Level);
    (tool.lift, tool.moving_mass) = (height, mass);
    (tool.spring_force, tool.spring_rate) = (mass * arcplunge_core::physics::GRAVITY, 0.0);
    tool.friction = 0.0;
    case
}

/// The demonstration case with a pip of this length \[m\].
pub fn with_pip(length: f64) -> Case {
    let mut case = Case::default();
    case.stud.pip_length = length;
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

/// A small copper stud on copper whose arc melts about 91.5 µm of each face.
pub fn copper_weld() -> Case {
    let mut case = steel("M3", COPPER_VOLTAGE);
    case.stud.metal = catalogue::metal("copper");
    case.sheet.metal = case.stud.metal.clone();
    case.sheet.thickness = 3e-3;
    case
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

pub(super) fn literature() -> Vec<Check> {
    let arc = |case: &Case| figure(case, |f| f.arc_time_s);
    let m5 = Case::default();
    let check = |id: &str, quantity: &str, source, unit, range, computed| {
        Check::within(
            format!("literature.{id}"),
            quantity,
            source,
            unit,
            range,
            computed,
        )
    };
    vec![
        // The order of magnitude: half a decade either way.
        check(
            "cooling",
            "M5: cooling of the joint",
            WILSON,
            "1e6 K/s",
            (0.3, 3.0),
            figure(&m5, |f| f.cooling_rate_K_per_s) * 1e-6,
        ),
        // The order of magnitude: half a decade either way.
        check(
            "cooling.copper",
            "copper, 91.5 µm melted: cooling of the joint",
            THANEEPAKORN,
            "1e6 K/s",
            (0.03, 3.0),
            figure(&copper_weld(), |f| f.cooling_rate_K_per_s) * 1e-6,
        ),
        check(
            "melt.copper",
            "that weld's melt, stud",
            THANEEPAKORN,
            "um",
            (75.0, 110.0),
            figure(&copper_weld(), |f| f.melt_stud_m) * 1e6,
        ),
        check(
            "spread",
            "the arc spreads over a face at",
            WILSON_SPREAD,
            "m/s",
            (50.0, 200.0),
            arc::SPREAD,
        ),
        check(
            "voids",
            "M5 at 112 V: current at touchdown, few voids",
            OH_YOO,
            "kA",
            (1.2, 1.7),
            figure(&m5, |f| f.touchdown_current_A) * 1e-3,
        ),
        check(
            "tip",
            "arc time, pip of 1 over 0.6 mm",
            WILSON_TIME,
            "",
            (1.05, 1.7),
            arc(&with_pip(1e-3)) / arc(&with_pip(0.6e-3)),
        ),
        check(
            "drop",
            "arc time, drop of 20 over 10 mm",
            WILSON_TIME,
            "",
            (0.2, 0.95),
            arc(&drop_rig(1.0, 20e-3, 110.0)) / arc(&drop_rig(1.0, 10e-3, 110.0)),
        ),
    ]
}
