//! What must hold of every shot, whatever the case.

use std::panic::{AssertUnwindSafe, catch_unwind};

use arcplunge_core::case::Case;
use arcplunge_core::case::joint_id::JointId;
use arcplunge_core::case::read;
use arcplunge_core::simulation::discharge::{Discharge, End};
use arcplunge_core::simulation::fire::{Settings, Workspace, fire};
use arcplunge_core::simulation::mesh::{Cells, Resolution};
use arcplunge_core::simulation::rig::Rig;
use arcplunge_core::simulation::shot::Shot;

/// Ends the judgement with these words where the condition does not hold.
macro_rules! hold {
    ($condition:expr, $($text:tt)*) => {
        let holds: bool = $condition; // named, so that a comparison with NaN still fails
        if !holds {
            return Err(format!($($text)*));
        }
    };
}

mod course;
mod figures;

use course::{order, rows};
use figures::{figures, verdict};

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
