//! What must hold of every shot, whatever the case.

use std::panic::{AssertUnwindSafe, catch_unwind};

use arcplunge_core::case::Case;
use arcplunge_core::case::joint_id::JointId;
use arcplunge_core::case::model::Method;
use arcplunge_core::case::read;
use arcplunge_core::simulation::discharge::{Discharge, End};
use arcplunge_core::simulation::events::{EventName, Phase};
use arcplunge_core::simulation::fire::{Settings, Workspace, fire};
use arcplunge_core::simulation::mesh::{Cells, Resolution};
use arcplunge_core::simulation::rig::Rig;
use arcplunge_core::simulation::shot::Shot;
use arcplunge_core::simulation::trace::{Row, trace};

/// The ledger closes to this share of the stored energy.
const LEDGER: f64 = 1e-6;
/// Work that no shot needs: four times the most of a hunt over 20,000 rigs. A guard against work without end.
pub const MOST_WORK: u64 = 200_000;
/// The books of heat close to this share of the heat.
const HEAT: f64 = 1e-9;

/// The enthalpy method on a mesh that is fine for little melt, too, which the usual one is not.
pub fn fine_enthalpy() -> Resolution {
    Resolution {
        cells: Cells::Finest,
        first_cell: 0.004,
        arc_steps: 1600,
        ..Resolution::enthalpy()
    }
}

/// The case of these overrides, or `None` where they break a rule.
pub fn case(sets: &[String]) -> Option<Case> {
    read::demonstration(sets).ok().map(|r| r.case)
}

/// Work of a shot: evaluations of the circuit's equations and linear solves of the heat. Unlike its time it is the
/// same on every machine.
pub fn work(shot: &Shot) -> u64 {
    shot.effort.evaluations + shot.effort.heat_solves
}

/// Fires the case and holds the shot against everything that must be true of it, and its work against `most`.
///
/// # Errors
/// What does not hold, in words.
pub fn judge(case: &Case, most: u64) -> Result<Shot, String> {
    catch_unwind(AssertUnwindSafe(|| examine(case, most))).unwrap_or_else(|panic| {
        let text = panic
            .downcast_ref::<String>()
            .cloned()
            .or_else(|| panic.downcast_ref::<&str>().map(ToString::to_string));
        Err(format!("panic: {}", text.unwrap_or_default()))
    })
}

macro_rules! hold {
    ($condition:expr, $($text:tt)*) => {
        let holds: bool = $condition; // named, so that a comparison with NaN still fails
        if !holds {
            return Err(format!($($text)*));
        }
    };
}

fn examine(case: &Case, most: u64) -> Result<Shot, String> {
    let rig = Rig::new(case);
    let settings = Settings::default();
    let mut work = Workspace::default();
    let shot = fire(&rig, &settings, &mut work).map_err(|e| format!("march: {e}"))?;
    hold!(
        self::work(&shot) <= most,
        "laborious: {} evaluations, {} solves of the heat",
        shot.effort.evaluations,
        shot.effort.heat_solves
    );
    figures(&shot)?;
    order(case, &rig, &shot)?;
    books(&rig, &shot, &work.discharge)?;
    verdict(&shot)?;
    rows(&rig, &settings, &shot, &mut work)?;
    let again = fire(&rig, &settings, &mut work).map_err(|e| format!("march: {e}"))?;
    hold!(again == shot, "a second shot of the same case differs");
    Ok(shot)
}

/// All finite, none below zero, shares at most one.
fn figures(shot: &Shot) -> Result<(), String> {
    let f = &shot.figures;
    let all = [
        ("stored energy", Some(f.stored_energy_J)),
        ("peak current", f.peak_current_A),
        ("time of peak", f.time_of_peak_s),
        ("pip touch", f.pip_touch_s),
        ("pip yield", f.pip_yield_s),
        ("ignition", f.ignition_s),
        ("touchdown", f.touchdown_s),
        ("arc time", f.arc_time_s),
        ("touchdown speed", f.touchdown_speed_m_per_s),
        ("touchdown current", f.touchdown_current_A),
        ("gap at ignition", f.gap_at_ignition_m),
        ("action", Some(f.action_A2s)),
        ("current end", f.current_end_s),
        ("melt of the stud", f.melt_stud_m),
        ("melt of the sheet", f.melt_sheet_m),
        ("largest melt of the sheet", f.melt_sheet_max_m),
        ("closed", f.squeeze_travel_m),
        ("fill", f.fill_ratio),
        ("vapour share", f.vapour_share),
        ("arc energy", f.arc_energy_J),
        ("freeze", f.freeze_s),
        ("cooling rate", f.cooling_rate_K_per_s),
        ("back face", f.back_face_K),
        ("loop resistance", Some(f.loop_resistance_ohm)),
        ("loop inductance", Some(f.loop_inductance_H)),
    ];
    for (name, value) in all {
        if let Some(v) = value {
            hold!(v.is_finite() && v >= 0.0, "{name} is {v}");
        }
    }
    hold!(f.loop_inductance_H > 0.0, "no loop inductance");
    hold!(
        f.vapour_share.is_none_or(|s| s <= 1.0),
        "vapour share {:?}",
        f.vapour_share
    );
    hold!(
        f.back_face_K.is_none_or(|t| t >= 293.0),
        "back face {:?} K",
        f.back_face_K
    );
    hold!(
        f.time_of_peak_s.is_some() == f.peak_current_A.is_some(),
        "peak without time"
    );
    let arc = f.ignition_s.is_some();
    hold!(
        [
            f.melt_sheet_max_m.is_some(),
            f.squeeze_travel_m.is_some(),
            f.vapour_share.is_some(),
            f.arc_energy_J.is_some(),
            f.gap_at_ignition_m.is_some()
        ] == [arc; 5],
        "figures of the arc there and not there"
    );
    let down = f.touchdown_s.is_some();
    hold!(down || f.fill_ratio.is_none(), "a fill without a touchdown");
    hold!(
        [
            f.melt_stud_m.is_some(),
            f.melt_sheet_m.is_some(),
            f.touchdown_speed_m_per_s.is_some(),
            f.touchdown_current_A.is_some()
        ] == [down; 4],
        "figures of touchdown there and not there"
    );
    hold!(arc || !down, "touchdown without ignition");
    if let (Some(a), Some(b)) = (f.melt_sheet_m, f.melt_sheet_max_m) {
        hold!(a <= b, "the sheet melted {a} at touchdown, {b} at most");
    }
    let melted = f
        .melt_stud_m
        .zip(f.melt_sheet_m)
        .is_some_and(|(a, b)| a + b > 0.0);
    hold!(
        melted || f.cooling_rate_K_per_s.is_none(),
        "cools at {:?} K/s what never melted",
        f.cooling_rate_K_per_s
    );
    hold!(melted || f.freeze_s.is_none(), "freezes what never melted");
    hold!(
        f.cooling_rate_K_per_s.is_none_or(|r| r < 1e10),
        "cools at {:?} K/s",
        f.cooling_rate_K_per_s
    );
    Ok(())
}

/// Events and phases come in order, and belong together.
fn order(case: &Case, rig: &Rig, shot: &Shot) -> Result<(), String> {
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

/// Energy, heat, charge.
fn books(rig: &Rig, shot: &Shot, d: &Discharge) -> Result<(), String> {
    let gap = shot.imbalance();
    hold!(gap <= LEDGER, "ledger open by {gap:e}");
    let heat = shot.effort.heat_imbalance;
    hold!(heat <= HEAT, "books of heat open by {heat:e}");
    let unsettled = shot.effort.heat_unsettled;
    hold!(unsettled == 0, "{unsettled} steps of heat did not settle");
    let stored = shot.figures.stored_energy_J;
    for (name, joules) in shot.ledger.entries() {
        hold!(
            joules >= -1e-7 * stored && joules <= stored * (1.0 + 1e-6),
            "{name} took {joules} J of {stored} J"
        );
    }
    // Until the diode conducts, the bank's loss of charge is the charge that flowed.
    let at = d.diode_conducts.unwrap_or(d.end);
    let lost = rig.circuit.capacitance * (rig.circuit.voltage - at.bank);
    let off = (lost - at.sums.charge).abs() / (rig.circuit.capacitance * rig.circuit.voltage);
    // Twice the march's own tolerance.
    hold!(off <= 2e-7, "charge off by {off:e}");
    joints(rig, shot)?;
    if d.how == End::Stopped {
        let i = d.end.current;
        let peak = d.peak.0;
        hold!(
            i.abs() <= 1e-6 * peak + 1e-5,
            "the current ends at {i} A, peak {peak} A"
        );
    }
    Ok(())
}

/// Each joint melts before it sets, and takes no joules from the loop's currents beyond what its law allows.
fn joints(rig: &Rig, shot: &Shot) -> Result<(), String> {
    let end = shot.figures.current_end_s.unwrap_or(rig.end_time);
    for id in JointId::all(rig.circuit.earths) {
        let (joint, contact) = (&shot.joints[id], &rig.circuit.joints[id]);
        let times = [joint.melts_s, joint.sets_s, joint.parts_s];
        hold!(
            times.iter().flatten().all(|t| (0.0..=end).contains(t)),
            "{id}: {joint:?} beyond {end} s"
        );
        if let Some(sets) = joint.sets_s {
            let melts = joint.melts_s.unwrap_or(f64::INFINITY);
            hold!(melts <= sets, "{id} sets before it melts: {joint:?}");
        }
        let parted = contact.starts_parted() || joint.parts_s.is_some();
        hold!(
            !parted || contact.force.is_finite(),
            "{id} parts without a force: {joint:?}"
        );
    }
    Ok(())
}

fn verdict(shot: &Shot) -> Result<(), String> {
    use arcplunge_core::simulation::verdict::Verdict;
    let f = &shot.figures;
    if shot.verdict == Some(Verdict::Sound) {
        hold!(
            f.fill_ratio.is_some_and(|r| r >= 1.0)
                && f.touchdown_s.is_some()
                && f.vapour_share.is_some_and(|s| s <= 1.0),
            "sound with fill {:?}",
            f.fill_ratio
        );
    }
    if f.touchdown_s.is_none() {
        hold!(
            !matches!(shot.verdict, Some(Verdict::Sound | Verdict::Hot)),
            "{:?} without touchdown",
            shot.verdict
        );
    }
    Ok(())
}

/// The curves: finite, in order, two rows at each event, never above the peak.
fn rows(rig: &Rig, settings: &Settings, shot: &Shot, work: &mut Workspace) -> Result<(), String> {
    // Fine enough for the rise as well as for a decay a hundred times as long.
    let end = shot.figures.current_end_s.unwrap_or(rig.end_time);
    let rise = shot.figures.time_of_peak_s.unwrap_or(end) - shot.figures.pip_touch_s.unwrap_or(0.0);
    let every = (end / 200.0).min(rise / 20.0).max(end / 20_000.0);
    let traced = trace(rig, settings, every, work).map_err(|e| format!("march: {e}"))?;
    hold!(traced.shot == *shot, "the shot with rows differs");
    let rows = &traced.rows;
    let peak = shot.figures.peak_current_A.unwrap_or(0.0);
    for r in rows {
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
