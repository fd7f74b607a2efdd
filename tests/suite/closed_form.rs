//! The built-in checks against closed forms, and proof that a wrong law fails them.

use crate::proof::{hold, named};
use arcplunge_core::physics::blow::{run_field, sheet_field};
use arcplunge_core::physics::{MU0, lead};
use arcplunge_core::simulation::mesh::Resolution;
use arcplunge_validation::bench::{self, Series};
use arcplunge_validation::slab::Slab;
use arcplunge_validation::{Check, Evidence, blow, melting, squeeze};

const CLOSED: &[Evidence] = &[Evidence::ClosedForm];

#[test]
fn closed_form_leads() {
    hold("Leads", CLOSED);
}

#[test]
fn closed_form_inductance() {
    hold("Inductance", CLOSED);
}

#[test]
fn closed_form_sheet() {
    hold("Sheet", CLOSED);
}

#[test]
fn closed_form_the_rig_between_shots() {
    hold("Shift", CLOSED);
}

#[test]
fn closed_form_threads() {
    hold("Studs", CLOSED);
}

#[test]
fn closed_form_a_sheet_whose_clamp_is_its_whole_rim_fails() {
    // ln(d/R_f) alone, without what the current has to converge on the clamp.
    let wrong = (200.0_f64 / 3.25).ln();
    for id in ["sheet.one.rim", "sheet.one.images", "sheet.one.plate"] {
        assert!(!named(id).with_computed(wrong).passed(), "{id}");
    }
}

#[test]
fn closed_form_discharge() {
    hold("Discharge", CLOSED);
}

#[test]
fn closed_form_free_wheel_diode() {
    hold("Free-wheel diode", CLOSED);
}

#[test]
fn closed_form_contacts() {
    hold("Contacts", CLOSED);
}

#[test]
fn closed_form_the_surface_current_formula_fails_for_a_rod() {
    // −1 instead of −3/4: the whole current on the rod's surface.
    let wrong = lead::self_inductance(1.0, 5e-3) - 0.25 * MU0 / (2.0 * std::f64::consts::PI);
    assert!((wrong * 1e6 - 0.998292909).abs() < 1e-8, "{wrong}");
    for id in ["inductance.rod", "inductance.rod.rosa"] {
        assert!(!named(id).with_computed(wrong * 1e6).passed());
    }
}

#[test]
fn closed_form_an_inductance_one_per_mille_off_fails_the_discharge() {
    let wrong = Series {
        inductance: 1.001 * bench::UNDER_DAMPED.inductance,
        ..bench::UNDER_DAMPED
    };
    let (peak, at) = wrong.run().peak;
    assert!(!named("discharge.under.peak").with_computed(peak).passed());
    assert!(
        !named("discharge.under.time")
            .with_computed(at * 1e3)
            .passed()
    );
}

#[test]
fn closed_form_no_number_fails() {
    let check = named("discharge.under.peak");
    assert!(!check.with_computed(f64::NAN).passed());
}

#[test]
fn closed_form_arc() {
    hold("Arc", CLOSED);
}

#[test]
fn closed_form_conduction() {
    hold("Conduction", CLOSED);
}

#[test]
fn closed_form_melting_and_freezing() {
    hold("Melting and freezing", CLOSED);
}

#[test]
fn closed_form_front_at_constant_speed() {
    hold("A front at constant speed", CLOSED);
}

#[test]
fn closed_form_plunge() {
    hold("Plunge", CLOSED);
}

#[test]
fn closed_form_squeeze() {
    hold("Squeeze", CLOSED);
}

#[test]
fn closed_form_a_travelling_front_with_a_tenth_less_heat_of_fusion_fails() {
    use arcplunge_validation::travelling;
    let wrong = Slab {
        fusion: 0.9 * melting::STEEL.fusion,
        boils: 1e6,
        depth: 2e-3,
        ..melting::STEEL
    };
    let depth = travelling::standard_depth(&wrong);
    assert!((depth / 50e-6 - 1.0).abs() > 5e-3, "{depth}");
}

#[test]
fn closed_form_stress_areas() {
    hold("Studs", CLOSED);
}

#[test]
fn closed_form_arc_blow() {
    hold("Arc blow", CLOSED);
}

#[test]
fn closed_form_a_long_wire_in_place_of_a_run_fails() {
    // The run's ends forgotten: every piece a long wire.
    let endless: blow::Law = |from, to, at, radius| {
        let stretch = |a: f64, b: f64| a + 1e6 * (a - b);
        let ends = [0, 1, 2].map(|c| [stretch(from[c], to[c]), stretch(to[c], from[c])]);
        run_field(ends.map(|e| e[0]), ends.map(|e| e[1]), at, radius)
    };
    let ends = ["blow.segment", "blow.half", "blow.square", "blow.circle"];
    assert_eq!(failed(blow::runs(endless)), ends);
}

fn failed(checks: Vec<Check>) -> Vec<String> {
    let failed = checks.into_iter().filter(|check| !check.passed());
    failed.map(|check| check.id).collect()
}

#[test]
fn closed_form_a_sheet_with_the_whole_field_on_one_side_fails() {
    let whole: blow::SheetLaw = |density| sheet_field(density).map(|b| 2.0 * b);
    let reversed: blow::SheetLaw = |density| sheet_field(density).map(|b| -b);
    for law in [whole, reversed] {
        assert_eq!(
            failed(blow::sheets(law)),
            ["blow.plane", "blow.rising", "blow.hanging"]
        );
    }
}

#[test]
fn closed_form_a_front_with_a_tenth_less_heat_of_fusion_fails() {
    let wrong = Slab {
        fusion: 0.9 * melting::STEEL.fusion,
        ..melting::STEEL
    };
    let melt = wrong
        .weld(1e12, 1e-3, &Resolution::default(), |_| ())
        .at_touchdown;
    let front = melt.unwrap()[0] * 1e6;
    assert!(
        !named("melt.steel").with_computed(front).passed(),
        "{front}"
    );
}

#[test]
fn closed_form_a_film_one_per_cent_more_viscous_fails() {
    let film = squeeze::film_left(1.01 * 5e-3, 0.2e-3, 0.190374624e-3, 1e-7);
    let check = named("squeeze.closing");
    assert!(!check.with_computed(film * 1e6).passed(), "{film}");
}
