//! The plot of one weld cycle: current and voltages, gap and speed, melt and arc power.

use super::axis::{Unit, prefix};
use super::events::Label;
use super::figure::{Band, Figure};
use super::panel::{Axis, Mark, Panel, Series, Side};
use super::smooth::smooth;
use super::span::shown;
use super::theme::{self, Stroke};
use crate::event_words::moments;
use crate::format::{engineering, milliseconds, significant};
use crate::title;
use arcplunge_core::case::Case;
use arcplunge_core::case::joint_id::JointId;
use arcplunge_core::physics::joint::MELTING_VOLTAGE;
use arcplunge_core::simulation::events::Phase;
use arcplunge_core::simulation::trace::{Row, Trace};
use arcplunge_core::simulation::verdict::Cause;

pub(super) const AMPERE: Unit = Unit {
    symbol: "A",
    usual: 3,
};
const VOLT: Unit = Unit {
    symbol: "V",
    usual: 0,
};
pub(super) const GAP: Unit = Unit {
    symbol: "m",
    usual: -3,
};
pub(super) const MELT: Unit = Unit {
    symbol: "m",
    usual: -6,
};
const SPEED: Unit = Unit {
    symbol: "m/s",
    usual: 0,
};
pub(super) const WATT: Unit = Unit {
    symbol: "W",
    usual: 3,
};
pub(super) const SECOND: Unit = Unit {
    symbol: "s",
    usual: -3,
};

/// Share of the melting voltage from which a joint counts as molten, which holds that voltage but for rounding.
const MOLTEN: f64 = 0.999;

/// The figure of a shot; `line` says the verdict and the figure that decides it.
pub fn figure(case: &Case, trace: &Trace, line: &str) -> Figure {
    let what = title::what(case);
    let own = super::text::clean(&case.title);
    let (title, mut lines) = if own.is_empty() {
        (what, Vec::new())
    } else {
        (own, vec![what])
    };
    lines.extend((!line.is_empty()).then(|| line.to_string()));
    let range = shown(trace);
    let mut panels = vec![electrical(trace, range)];
    panels.extend(joints(case, trace));
    if trace.shot.cause != Cause::DischargeTest {
        panels.push(plunge(trace));
        panels.push(melt(trace));
    }
    let events = moments(&trace.shot).into_iter().map(|m| Label {
        at: m.time_s,
        name: m.words,
    });
    let events: Vec<Label> = events.collect();
    Figure {
        description: describe(&lines, &events),
        title,
        lines,
        axis: "time from trigger".into(),
        unit: SECOND,
        range,
        bands: bands(&trace.rows),
        events,
        panels,
    }
}

fn describe(lines: &[String], events: &[Label]) -> String {
    let events: Vec<String> = events
        .iter()
        .map(|e| format!("{} {}", e.name, milliseconds(e.at)))
        .collect();
    format!("{} Events: {}.", lines.join(" "), events.join(", "))
}

/// Phases as bands; rest stays white and unnamed.
fn bands(rows: &[Row]) -> Vec<Band> {
    let mut bands: Vec<(Phase, f64, f64)> = Vec::new();
    for row in rows {
        match bands.last_mut() {
            Some((phase, _, to)) if *phase == row.phase => *to = row.time_s,
            _ => bands.push((row.phase, row.time_s, row.time_s)),
        }
    }
    let band = |(phase, from, to): (Phase, f64, f64)| Band {
        name: match phase {
            Phase::Rest | Phase::Short => "",
            phase => phase.name(),
        },
        tint: theme::tint(phase),
        range: (from, to),
    };
    bands.into_iter().map(band).collect()
}

fn series(
    name: &str,
    side: Side,
    stroke: Stroke,
    rows: &[Row],
    value: impl Fn(&Row) -> f64,
) -> Series {
    Series {
        name: name.to_string(),
        side,
        stroke,
        points: rows.iter().map(|r| (r.time_s, value(r))).collect(),
    }
}

fn electrical(trace: &Trace, range: (f64, f64)) -> Panel {
    let rows = &trace.rows;
    let f = &trace.shot.figures;
    let flows = rows.iter().any(|r| r.current_A > 0.0);
    let across = match trace.shot.cause {
        Cause::DischargeTest => "short",
        _ => "weld",
    };
    let mut curves = vec![
        series("bank", Side::Right, theme::BANK, rows, |r| r.bank_V),
        series(across, Side::Right, theme::WELD, rows, |r| r.weld_V),
        series("current", Side::Left, theme::CURRENT, rows, |r| r.current_A),
    ];
    if !flows {
        curves.truncate(1);
    }
    let (second, unit) = prefix(SECOND, range.1);
    let mark = f.peak_current_A.zip(f.time_of_peak_s).filter(|_| flows);
    Panel {
        left: Axis {
            quantity: "current",
            unit: AMPERE,
        },
        right: Some(Axis {
            quantity: "voltage",
            unit: VOLT,
        }),
        series: curves,
        mark: mark.map(|(peak, at)| Mark {
            series: 2,
            at: (at, peak),
            word: format!(
                "current peaks at {}, {} {unit}",
                engineering(peak, "A"),
                significant(at / second, 3)
            ),
        }),
        note: (!flows).then(|| "no current flows".to_string()),
        weight: 1.3,
        legend: true,
    }
}

/// The voltages of the joints that melt or part; none where all hold.
fn joints(case: &Case, trace: &Trace) -> Option<Panel> {
    let rows = &trace.rows;
    let melts = |id: &JointId| {
        rows.iter()
            .any(|r| r.joints_V[*id] >= MOLTEN * MELTING_VOLTAGE)
    };
    let hot: Vec<JointId> = JointId::all(case.earths.len()).filter(melts).collect();
    let strokes = theme::IN_FRONT.iter().cycle();
    let curves = hot.iter().zip(strokes).map(|(id, stroke)| {
        let read = |r: &Row| r.joints_V[*id];
        series(&id.to_string(), Side::Left, *stroke, rows, read)
    });
    (!hot.is_empty()).then(|| Panel {
        left: Axis {
            quantity: "joints",
            unit: VOLT,
        },
        right: None,
        series: curves.collect(),
        mark: None,
        note: None,
        weight: 0.8,
        legend: true,
    })
}

fn plunge(trace: &Trace) -> Panel {
    Panel {
        left: Axis {
            quantity: "gap",
            unit: GAP,
        },
        right: Some(Axis {
            quantity: "speed",
            unit: SPEED,
        }),
        series: vec![
            series("speed", Side::Right, theme::SPEED, &trace.rows, |r| {
                r.speed_m_per_s
            }),
            series("gap", Side::Left, theme::GAP, &trace.rows, |r| r.gap_m),
        ],
        mark: None,
        note: None,
        weight: 1.0,
        legend: true,
    }
}

/// A melt front.
fn front(name: &str, stroke: Stroke, rows: &[Row], value: impl Fn(&Row) -> f64) -> Series {
    let raw = series(name, Side::Left, stroke, rows, value);
    Series {
        points: smooth(&raw.points),
        ..raw
    }
}

fn melt(trace: &Trace) -> Panel {
    let arc: Vec<Row> = trace
        .rows
        .iter()
        .filter(|r| r.phase == Phase::Arc)
        .copied()
        .collect();
    let left = Axis {
        quantity: "melt",
        unit: MELT,
    };
    if arc.is_empty() {
        return Panel {
            left,
            right: None,
            series: Vec::new(),
            mark: None,
            note: Some("no arc, no melt".to_string()),
            weight: 0.3,
            legend: true,
        };
    }
    let rows = &trace.rows;
    Panel {
        left,
        right: Some(Axis {
            quantity: "power",
            unit: WATT,
        }),
        series: vec![
            series("arc power", Side::Right, theme::ARC_POWER, &arc, |r| {
                r.weld_power()
            }),
            front("stud", theme::MELT_STUD, rows, |r| r.melt_stud_m),
            front("sheet", theme::MELT_SHEET, rows, |r| r.melt_sheet_m),
        ],
        mark: None,
        note: None,
        weight: 1.0,
        legend: true,
    }
}
