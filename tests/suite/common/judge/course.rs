//! Events, phases and rows that must follow each other.

use arcplunge_core::case::Case;
use arcplunge_core::case::joint_id::JointId;
use arcplunge_core::case::model::Method;
use arcplunge_core::simulation::discharge::End;
use arcplunge_core::simulation::events::{EventName, Phase};
use arcplunge_core::simulation::fire::{Settings, Workspace};
use arcplunge_core::simulation::rig::Rig;
use arcplunge_core::simulation::shot::Shot;
use arcplunge_core::simulation::trace::{Row, trace};

/// Events and phases come in order, and belong together.
pub fn order(case: &Case, rig: &Rig, shot: &Shot) -> Result<(), String> {
    let f = &shot.figures;
    hold!(
        shot.events.windows(2).all(|w| w[0].time_s <= w[1].time_s),
        "events out of order: {:?}",
        shot.events
    );
    hold!(
        shot.phases.windows(2).all(|w| w[0].1 <= w[1].1),
        "phases out of order: {:?}",
        shot.phases
    );
    let place = |p: Phase| match p {
        Phase::Approach => 0,
        Phase::Short | Phase::Fuse => 1,
        Phase::Arc => 2,
        Phase::Forge => 3,
        Phase::Rest => 4,
    };
    hold!(
        shot.phases
            .windows(2)
            .all(|w| place(w[0].0) < place(w[1].0)),
        "phases in the wrong order: {:?}",
        shot.phases
    );
    for (n, e) in shot.events.iter().enumerate() {
        let before = || shot.events[..n].iter();
        // The diode may conduct again, once it has blocked.
        let again = match e.name {
            EventName::DiodeConducts | EventName::DiodeBlocks => {
                let mut diode = before().filter(|b| {
                    matches!(b.name, EventName::DiodeConducts | EventName::DiodeBlocks)
                });
                diode.next_back().map(|b| b.name) == Some(e.name)
            }
            _ => before().any(|b| (b.name, b.joint) == (e.name, e.joint)),
        };
        hold!(!again, "{:?} came twice", e.name);
    }
    together(case, shot)?;
    if let (Some(a), Some(b)) = (f.time_of_peak_s, f.current_end_s) {
        hold!(a < b, "the peak comes after the end");
    }
    if let Some(t) = f.current_end_s {
        hold!(
            t <= rig.end_time,
            "the current ends at {t}, after the record's end"
        );
    }
    if let (Some(g), Some(_)) = (f.gap_at_ignition_m, f.ignition_s) {
        let start = rig.stud.open_travel();
        hold!(
            g <= start * (1.0 + 1e-12),
            "ignition at gap {g}, start {start}"
        );
        hold!(
            g >= rig.stud.touch_gap,
            "ignition at gap {g}, below touch {}",
            rig.stud.touch_gap
        );
    }
    Ok(())
}

/// Events that belong together or exclude each other.
fn together(case: &Case, shot: &Shot) -> Result<(), String> {
    let f = &shot.figures;
    let came = |name| shot.events.iter().any(|e| e.name == name);
    let bolted = case.stud.short_resistance.is_some();
    hold!(
        shot.events
            .first()
            .is_some_and(|e| e.name == EventName::Trigger),
        "no trigger"
    );
    hold!(
        came(EventName::Ignition) == f.ignition_s.is_some(),
        "ignition and its figure"
    );
    hold!(
        came(EventName::Touchdown) == f.touchdown_s.is_some(),
        "touchdown and its figure"
    );
    hold!(
        came(EventName::CurrentEnd) == f.current_end_s.is_some(),
        "current's end and its figure"
    );
    hold!(
        came(EventName::CurrentEnd) == (shot.how == End::Stopped),
        "{:?} and current-end",
        shot.how
    );
    hold!(
        !came(EventName::ArcOut) || !came(EventName::Touchdown),
        "arc-out and touchdown"
    );
    hold!(
        !came(EventName::ArcOut) || came(EventName::Ignition),
        "arc-out without arc"
    );
    hold!(
        !came(EventName::Stub) || !came(EventName::Ignition),
        "stub and ignition"
    );
    let gap = case.tool.method == Method::Gap && !bolted;
    hold!(
        came(EventName::PipTouch)
            == (gap && shot.how != End::NeverTouched && shot.phases.len() > 1),
        "pip-touch"
    );
    hold!(!came(EventName::PipYield) || (!gap && !bolted), "pip-yield");
    Ok(())
}

/// The curves: finite, in order, two rows at each event, never above the peak.
pub fn rows(
    rig: &Rig,
    settings: &Settings,
    shot: &Shot,
    work: &mut Workspace,
) -> Result<(), String> {
    // Fine enough for the rise as well as for a decay a hundred times as long.
    let end = shot.figures.current_end_s.unwrap_or(rig.end_time);
    let rise = shot.figures.time_of_peak_s.unwrap_or(end) - shot.figures.pip_touch_s.unwrap_or(0.0);
    let every = (end / 200.0).min(rise / 20.0).max(end / 20_000.0);
    let traced = trace(rig, settings, every, work).map_err(|e| format!("march: {e}"))?;
    hold!(traced.shot == *shot, "the shot with rows differs");
    let rows = &traced.rows;
    let peak = shot.figures.peak_current_A.unwrap_or(0.0);
    for r in rows {
        row(rig, r, peak)?;
    }
    if let Some(w) = rows.windows(2).find(|w| w[0].time_s > w[1].time_s) {
        return Err(format!(
            "rows go back from {:e} s to {:e} s",
            w[0].time_s, w[1].time_s
        ));
    }
    if let Some(w) = rows.windows(2).find(|w| w[1].gap_m > w[0].gap_m + 1e-9) {
        return Err(format!(
            "the gap widens at {:e} s: {:e} m to {:e} m",
            w[1].time_s, w[0].gap_m, w[1].gap_m
        ));
    }
    let last = rows.last().map_or(0.0, |r| r.time_s);
    for e in &shot.events {
        let at = rows.iter().filter(|r| r.time_s == e.time_s).count();
        // A joint may freeze after a record that ended with the current still flowing.
        hold!(
            at >= 2 || e.time_s > last,
            "{at} rows at {:?}, {:e} s",
            e.name,
            e.time_s
        );
    }
    let charge = |rows: &[Row]| -> f64 {
        let part =
            |w: &[Row]| 0.5 * (w[0].current_A + w[1].current_A) * (w[1].time_s - w[0].time_s);
        rows.windows(2).map(part).sum()
    };
    let exact = work.discharge.end.sums.charge;
    let off = |sum: f64| (sum - exact).abs() > 0.02 * exact + 1e-12;
    let mut sum = charge(rows);
    if off(sum) {
        // A spike in a long record falls between coarse rows.
        let finer = trace(rig, settings, every / 20.0, work).map_err(|e| format!("march: {e}"))?;
        sum = charge(&finer.rows);
    }
    hold!(!off(sum), "rows carry {sum} C, the march {exact} C");
    Ok(())
}

/// One row: finite, in its bounds, its currents' sum.
fn row(rig: &Rig, r: &Row, peak: f64) -> Result<(), String> {
    let mut values = vec![
        r.time_s,
        r.current_A,
        r.bank_V,
        r.weld_V,
        r.gap_m,
        r.speed_m_per_s,
        r.melt_stud_m,
        r.melt_sheet_m,
    ];
    values.extend(r.earths_A);
    hold!(
        values.iter().all(|v| v.is_finite()),
        "a row that is not finite: {r:?}"
    );
    hold!(
        r.current_A <= peak * (1.0 + 1e-6) + 1e-9,
        "{} A at {} s, above the peak of {peak} A",
        r.current_A,
        r.time_s
    );
    hold!(
        r.current_A >= -1e-6 * peak.max(5.0),
        "{} A at {} s",
        r.current_A,
        r.time_s
    );
    // An arcing joint opposes its own current and conducts one way only.
    for k in (0..rig.circuit.earths).filter(|&k| {
        rig.circuit.earths > 1
            && JointId::of_earth(k)
                .iter()
                .any(|&id| rig.circuit.joints[id].starts_parted())
    }) {
        hold!(
            r.earths_A[k] >= -1e-6 * peak.max(1.0),
            "the arcing earth {k} carries {} A at {} s",
            r.earths_A[k],
            r.time_s
        );
    }
    let sum: f64 = r.earths_A.iter().sum();
    hold!(
        (sum - r.current_A).abs() <= 1e-9 * peak.max(1.0),
        "earths carry {sum} A of {} A",
        r.current_A
    );
    hold!(
        r.gap_m >= 0.0 && r.speed_m_per_s >= -1e-9,
        "gap {} m, speed {} m/s at {} s",
        r.gap_m,
        r.speed_m_per_s,
        r.time_s
    );
    hold!(
        r.melt_stud_m >= 0.0 && r.melt_sheet_m >= 0.0,
        "melt below zero at {} s",
        r.time_s
    );
    hold!(
        r.bank_V <= rig.circuit.voltage * (1.0 + 1e-9)
            && r.bank_V >= -rig.circuit.diode_drop - 1e-6 * rig.circuit.voltage,
        "bank at {} V",
        r.bank_V
    );
    Ok(())
}
