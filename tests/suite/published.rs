//! The built-in checks against printed values, and proof that a wrong constant fails them.

use crate::proof::{hold, named};
use arcplunge_core::case::catalogue;
use arcplunge_core::physics::joint::melting_voltage;
use arcplunge_core::physics::pip::{PipHeat, Spot};
use arcplunge_core::physics::thread::Thread;
use arcplunge_validation::{Evidence, contacts, pip};

/// Printed values, read or quoted from memory.
const PRINTED: &[Evidence] = &[Evidence::Published, Evidence::Memory];

#[test]
fn published_leads() {
    hold("Leads", PRINTED);
}

#[test]
fn published_arc_blow() {
    hold("Arc blow", PRINTED);
}

#[test]
fn published_discharge() {
    hold("Discharge", PRINTED);
}

#[test]
fn published_pip_as_a_fuse() {
    hold("Pip as a fuse", PRINTED);
}

#[test]
fn published_torque_of_a_screw() {
    hold("Tightening", PRINTED);
}

#[test]
fn published_a_screw_with_a_tenth_less_friction_fails_its_torque() {
    let check = named("thread.M8.torque");
    assert!(check.passed());
    let thread = Thread::coarse(8e-3).unwrap();
    let force = thread.preload(640e6, 0.9, 0.12);
    let wrong = thread.torque(force, 0.9 * 0.12);
    assert!(!check.with_computed(wrong).passed());
}

#[test]
fn published_the_rig_between_shots() {
    hold("Shift", PRINTED);
}

#[test]
fn published_a_cable_with_a_fifth_more_resistance_fails_its_ratings() {
    for section in [16, 35, 95] {
        let check = named(&format!("shift.cable.{section}"));
        let wrong = check.computed / 1.44f64.sqrt();
        assert!(check.passed() && !check.with_computed(wrong).passed());
    }
}

#[test]
fn published_contacts() {
    hold("Contacts", PRINTED);
}

#[test]
fn published_a_lead_five_per_cent_off_fails() {
    let check = named("lead.class5.35");
    assert!(check.passed());
    assert!(!check.with_computed(1.05 * check.computed).passed());
}

#[test]
fn published_copper_five_per_cent_off_fails_the_k_of_every_range() {
    let wrong = pip::Conductor {
        resistivity: 1.05 * pip::COPPER.resistivity,
        ..pip::COPPER
    };
    for (from, to) in [(30, 160), (70, 160), (90, 250), (30, 250)] {
        let check = named(&format!("pip.k.copper.{from}.{to}"));
        assert!(check.passed());
        let wrong = wrong.k(f64::from(from), f64::from(to));
        assert!(!check.with_computed(wrong).passed(), "{wrong}");
    }
}

#[test]
fn published_a_fuse_law_without_latent_heat_fails() {
    let metal = catalogue::metal("copper");
    let mut wrong = metal.clone();
    wrong.fusion_heat = 1.0;
    let molten = wrong.heat_solid * (metal.melting_point - 293.15) + wrong.fusion_heat;
    let check = named("pip.action.copper.molten");
    assert!(
        !check
            .with_computed(pip::action(&wrong, molten) * 1e-16)
            .passed()
    );
}

#[test]
fn published_arc() {
    hold("Arc", PRINTED);
}

#[test]
fn published_conduction() {
    hold("Conduction", PRINTED);
}

#[test]
fn published_squeeze() {
    hold("Squeeze", PRINTED);
}

#[test]
fn published_liquid_metals() {
    hold("Liquid metals", PRINTED);
}

#[test]
fn published_a_melt_as_heavy_as_its_solid_fails() {
    let solid = catalogue::metal("mild steel").density;
    assert!(!named("liquid.density.iron").with_computed(solid).passed());
    // The melt's conductivity of the first edition.
    assert!(
        !named("liquid.conductivity.aluminium")
            .with_computed(95.0)
            .passed()
    );
}

#[test]
fn published_a_spot_that_melts_at_the_boiling_point_fails() {
    let wrong = melting_voltage(catalogue::metal("mild steel").boiling_point, 293.15);
    assert!(
        !named("contact.melts.mild-steel")
            .with_computed(wrong)
            .passed(),
        "{wrong}"
    );
}

#[test]
fn published_a_thread_on_its_core_fails() {
    // The core of an M5 has 12.7 mm².
    assert!(!named("stud.M5.holds").with_computed(420.0 * 12.7).passed());
}

#[test]
fn published_studs() {
    hold("Studs", PRINTED);
}

#[test]
fn published_a_spot_twice_as_wide_fails() {
    let wide = contacts::pip(1e3, 2e-4, 1.7241e-8, 1.7241e-8);
    let cold = wide.heated(PipHeat::Solid, 0.0);
    let column = wide.column(&cold, contacts::LENGTH, 0.0, Spot::Plastic);
    let ohm = column.constriction;
    assert!(
        !named("contact.spot.copper")
            .with_computed(ohm * 1e6)
            .passed()
    );
}
