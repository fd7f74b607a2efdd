//! Preload and torque of a screw against the tables of VDI 2230-1.

use super::{Allowed, Check, Evidence, Source};
use arcplunge_core::physics::thread::Thread;

const VDI_2230: Source = Source {
    text: "VDI 2230-1 (2003), table A1: 8.8, shank bolts, friction 0.12",
    evidence: Evidence::Memory,
};

/// Yield of class 8.8 \[Pa\], and the share of it that the table's preloads use.
const YIELD: f64 = 640e6;
const SHARE: f64 = 0.9;
const FRICTION: f64 = 0.12;

/// Nominal diameter \[mm\], preload \[kN\] and torque \[N·m\].
const TABLE: [(f64, f64, f64); 6] = [
    (4.0, 4.4, 3.0),
    (5.0, 7.2, 5.9),
    (6.0, 10.2, 10.1),
    (8.0, 18.6, 24.6),
    (10.0, 29.6, 48.0),
    (12.0, 43.0, 84.0),
];

pub(super) fn checks() -> Vec<Check> {
    let mut out = Vec::new();
    for (diameter, preload, torque) in TABLE {
        let Some(thread) = Thread::coarse(diameter * 1e-3) else {
            continue;
        };
        let force = thread.preload(YIELD, SHARE, FRICTION);
        // The table is printed to two or three digits.
        out.push(Check::new(
            format!("thread.M{diameter}.preload"),
            format!("M{diameter} preload at 0.9 of yield"),
            VDI_2230,
            "kN",
            preload,
            force * 1e-3,
            Allowed::Relative(0.015),
        ));
        out.push(Check::new(
            format!("thread.M{diameter}.torque"),
            format!("M{diameter} torque for it"),
            VDI_2230,
            "N m",
            torque,
            thread.torque(force, FRICTION),
            Allowed::Relative(0.025),
        ));
    }
    out
}
