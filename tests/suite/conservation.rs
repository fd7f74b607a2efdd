//! The books of whole shots and the solvers' orders, and proof that a gap in them is seen.

use crate::proof::{hold, named};
use arcplunge_core::simulation::ledger::Ledger;
use arcplunge_core::simulation::rig::Rig;
use arcplunge_validation::{Evidence, balance, bench};

const BOOKS: &[Evidence] = &[Evidence::Conservation];

#[test]
fn conserves_energy_charge_and_heat() {
    hold("Energy balance", BOOKS);
    hold("Integrator", BOOKS);
}

#[test]
fn conserves_the_heat_of_lumps_and_sheet() {
    hold("Shift", BOOKS);
}

#[test]
fn conserves_the_current_of_the_sheet() {
    hold("Arc blow", BOOKS);
}

#[test]
fn conserves_flux_as_a_lead_grows() {
    hold("Inductance", BOOKS);
}

#[test]
fn conserves_the_order_of_the_melting_front() {
    hold("Melting and freezing", BOOKS);
    hold("A front at constant speed", BOOKS);
}

#[test]
fn conserves_a_ledger_with_any_one_element_left_out_fails() {
    let mut tried = 0;
    for (name, case) in balance::cases() {
        let check = named(&format!("balance.energy.{}", name.replace(' ', "-")));
        assert!(check.passed());
        let rig = Rig::new(&case);
        let ledger = Ledger::new(&rig, &bench::run(&rig));
        for (element, joules) in ledger.entries() {
            // What no joule goes through cannot be missed.
            if joules > 2e-6 * check.published {
                let without = check.with_computed(ledger.total() - joules);
                assert!(!without.passed(), "{name} without {element}");
                tried += 1;
            }
        }
    }
    assert!(tried > 100, "{tried}");
}

#[test]
fn conserves_entries_sum_to_the_total() {
    let cases = balance::cases();
    assert!(cases.len() >= 9, "{}", cases.len());
    for (name, case) in cases {
        let rig = Rig::new(&case);
        let ledger = Ledger::new(&rig, &bench::run(&rig));
        let sum: f64 = ledger.entries().iter().map(|(_, joules)| joules).sum();
        assert!((sum - ledger.total()).abs() < 1e-9, "{name}");
    }
}

#[test]
fn conserves_charge_of_another_bank_fails() {
    let check = named("balance.charge.M5");
    let mut case = arcplunge_core::case::Case::default();
    case.bank.capacitance *= 1.0 + 1e-6;
    let d = bench::run(&Rig::new(&case));
    let charge = d.diode_conducts.unwrap_or(d.end).sums.charge;
    assert!(!check.with_computed(charge).passed());
}
