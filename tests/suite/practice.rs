//! What the trade takes for granted, and proof that a weld out of the ordinary is seen.

use crate::proof::{hold, named};
use arcplunge_core::case::Case;
use arcplunge_validation::measured::{self, Outcome};
use arcplunge_validation::trade::{figure, steel};
use arcplunge_validation::{Evidence, blow};

#[test]
fn practice_of_the_trade() {
    hold("Practice of the trade", &[Evidence::Practice]);
}

#[test]
fn practice_arc_blow() {
    hold("Arc blow", &[Evidence::Practice]);
}

#[test]
fn practice_a_clamp_on_the_other_side_fails() {
    // What pulls towards a clamp at -200 mm is what pushes away from one at 200 mm.
    let drift = blow::drift(&blow::single(0.2)).expect("an arc")[0] * 1e6;
    assert!(!named("blow.away").with_computed(drift).passed(), "{drift}");
}

#[test]
fn practice_m6_at_too_low_a_voltage_does_not_fill() {
    let fill = figure(&steel("M6", 100.0), |f| f.fill_ratio);
    assert!(!named("practice.m6.fill").with_computed(fill).passed());
}

#[test]
fn practice_m6_at_too_high_a_voltage_boils() {
    let vapour = figure(&steel("M6", 180.0), |f| f.vapour_share);
    assert!(!named("practice.m6.vapour").with_computed(vapour).passed());
}

#[test]
fn practice_a_light_fast_stud_arcs_too_short() {
    let mut case = Case::default();
    case.tool.moving_mass = 20e-3;
    let arc = figure(&case, |f| f.arc_time_s.map(|t| t * 1e3));
    assert!(
        !named("practice.arc.m5").with_computed(arc).passed(),
        "{arc}"
    );
}

#[test]
fn practice_a_short_lead_fills() {
    let fill = figure(&Case::default(), |f| f.fill_ratio);
    assert!(!named("practice.long").with_computed(fill).passed());
}

#[test]
fn reported_whole_welds() {
    hold("Whole welds in the literature", &[Evidence::Reported]);
}

#[test]
fn reported_what_is_known_to_miss_does_miss() {
    let rows = measured::rows();
    assert!(rows.len() > 10);
    let missed: Vec<&str> = rows
        .iter()
        .filter(|row| row.outcome == Outcome::Miss)
        .map(|row| row.id)
        .collect();
    assert_eq!(
        missed,
        ["danks", "thaneepakorn", "wilson.ejected", "yamaguchi"]
    );
}

#[test]
fn reported_a_tip_without_its_influence_fails() {
    assert!(!named("measured.wilson.tip").with_computed(1.0).passed());
    assert!(!named("measured.wilson.drop").with_computed(1.0).passed());
}

#[test]
fn reported_a_weld_that_touches_down_too_late_fails() {
    let mut case = Case::default();
    case.tool.spring_force = 60.0;
    let current = figure(&case, |f| f.touchdown_current_A) * 1e-3;
    assert!(
        !named("measured.oh-yoo").with_computed(current).passed(),
        "{current}"
    );
}

#[test]
fn reported_an_arc_as_short_as_a_tenth_fails() {
    let check = named("measured.wilson.spread");
    assert!(check.passed());
    assert!(!check.with_computed(10.0 * check.computed).passed());
}
