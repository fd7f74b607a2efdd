//! The discharge against ngspice: true diode, coupled leads, the sheet's common path, a branch that arcs.

use arcplunge_core::case::{Case, catalogue};
use arcplunge_core::simulation::fire::{Settings, Workspace};
use arcplunge_core::simulation::rig::Rig;
use arcplunge_core::simulation::trace::trace;
use serde_json::Value;

use crate::agreement::json;

/// The demonstration case's loop as ngspice was given it.
fn spice_rig(run: &Value) -> Rig {
    let mut case = Case::default();
    case.stud.short_resistance = Some(1e-3);
    if run["stud"] != "bolted" {
        // A fixed drop of 20 V and no resistance in place of the stud.
        case.bank.internal_resistance -= 1e-4;
        case.stud.short_resistance = Some(1e-4);
        case.bank.switch_drop += 20.0;
    }
    match run["earth_leads"].as_str() {
        Some("unequal") => case.earths[1].length = 3.0,
        Some("arcing") => {
            // The simulator's one-way path adds a diode's drop, 0.02·kT/e·ln(2 kA/1 nA).
            let arc = &mut case.earths[0].clamp;
            *arc = catalogue::joint("arcing");
            arc.drop = arc.drop.map(|volt| volt + 14.6e-3);
        }
        _ => {}
    }
    let mut rig = Rig::new(&case);
    if run["diode"] == "none" {
        rig.circuit.diode_drop = 1e3;
    }
    rig
}

/// A figure of a shot beside ngspice's of this name, if it has one: 1 if it has.
fn beside(run: &Value, name: &str, own: Option<f64>, allowed: f64) -> usize {
    let Some(theirs) = run["ngspice"][name].as_f64() else {
        return 0;
    };
    let own = own.unwrap_or_else(|| panic!("no {name} of {run}"));
    let off = (own - theirs).abs();
    assert!(off < allowed, "{name} of {run}: {own} against {theirs}");
    1
}

#[test]
fn agrees_with_ngspice_on_the_discharge() {
    let reference = json("discharge_ngspice.json");
    let mut compared = 0;
    for run in reference["runs"].as_array().expect("runs") {
        let rig = spice_rig(run);
        let common = run["parameters"]["R_12"].as_f64().expect("a number");
        assert!((rig.circuit.sheet[0][1] / common - 1.0).abs() < 1e-9);
        let mut work = Workspace::default();
        let shot = trace(&rig, &Settings::default(), 20e-6, &mut work)
            .expect("a shot")
            .shot;
        let f = shot.figures;
        let conducts = work.discharge.diode_conducts;
        // ngspice's nearly ideal diode drops about 1 mV, and its step is 0.05 µs.
        let (time, peak) = (5e-7, f.peak_current_A.unwrap());
        // The drop of the one-way path's diode follows its current by 1 mV.
        let share = if run["earth_leads"] == "arcing" {
            1e-5
        } else {
            1e-6
        };
        compared += beside(run, "peak", Some(peak), share * peak);
        compared += beside(run, "t_peak", f.time_of_peak_s, 1e-7);
        compared += beside(run, "t_conducts", conducts.map(|m| m.t), time);
        compared += beside(run, "i_conducts", conducts.map(|m| m.current), share * peak);
        compared += beside(run, "t_end", f.current_end_s, time);
        compared += beside(run, "u_end", Some(work.discharge.end.bank), 1.5e-3);
        compared += beside(run, "action", Some(f.action_A2s), 2e-5 * f.action_A2s);
        compared += beside(run, "esr_J", Some(shot.ledger.bank_esr), 2e-3);
        compared += beside(run, "diode_J", Some(shot.ledger.diode), 4e-3);
    }
    assert!(compared >= 71, "only {compared} figures were compared");
}
