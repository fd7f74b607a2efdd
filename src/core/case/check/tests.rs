use nalgebra::DMatrix;
use proptest::prelude::*;

use super::check;
use crate::case::Case;
use crate::case::keys::set_text;

/// The messages of what is wrong with the default case after some changes.
fn wrong(changes: &[(&str, &str)]) -> Vec<String> {
    let mut case = Case::default();
    for (key, value) in changes {
        set_text(&mut case, key, value).unwrap();
    }
    check(&case).iter().map(ToString::to_string).collect()
}

/// Changes of the demonstration case, and what is said of them.
const RULES: &[(&[(&str, &str)], &str)] = &[
    (
        &[("bank.voltage_max", "100 V")],
        "`bank.voltage` of 112 V exceeds `bank.voltage_max`, 100 V",
    ),
    (
        &[("tool.spring_min", "90 N"), ("tool.spring_max", "70 N")],
        "`tool.spring_min` of 90 N exceeds `tool.spring_max`, 70 N",
    ),
    (
        &[("arc.to_stud", "0.7")],
        "stud and sheet together take 1.08 of the arc's power, more than all of it",
    ),
    (
        &[("tool.friction", "90 N")],
        "the stud does not press on the sheet: spring and weight less friction leave -8.8232 N",
    ),
    (
        &[("lead.turns", "5")],
        "the coil takes up 6.283 m of a lead of 5 m",
    ),
    (
        &[("lead.turns", "3.95")],
        "the coil leaves a straight length of 0.03628 m; more than 0.1 m must run beside the earth leads",
    ),
    (
        &[
            ("lead.turns", "40"),
            ("lead.coil_diameter", "50 mm"),
            ("lead.length", "20 m"),
        ],
        "a bundle of 76.85 mm across is too thick for a coil of 50 mm",
    ),
    (
        &[("earth.1.length", "0.1 m")],
        "earth lead 1 is 0.1 m long, no longer than its distance of 0.1 m from the other leads",
    ),
    (
        &[("lead.spacing", "8 mm")],
        "at a spacing of 8 mm the leads overlap; they need 8.304 mm",
    ),
    (
        &[("earth.1.at.x", "3 mm")],
        "the clamp of earth lead 1 is 3 mm from the stud, not clear of the flange: that needs 18.25 mm",
    ),
    (
        &[("earth.1.at", "-200 mm, 5 mm")],
        "the clamps of earth leads 0 and 1 are 5 mm apart; they need 10 mm",
    ),
    (
        &[("stud.pip_diameter", "6.5 mm")],
        "the pip is 6.5 mm across, no smaller than the flange of 6.5 mm",
    ),
    (
        &[
            ("sheet.thickness", "0.7 mm"),
            ("sheet.centre_mark.depth", "0.7 mm"),
        ],
        "a centre mark of 0.7 mm goes through a sheet of 0.7 mm",
    ),
    (
        &[("sheet.centre_mark.depth", "0.9 mm")],
        "a centre mark of 0.9 mm is deeper than the pip of 0.8 mm is long",
    ),
    (
        &[("tool.tilt", "20 deg")],
        "at this tilt the rim of the flange, 1.013 mm below the pip's root, meets the sheet before the pip does",
    ),
    (
        &[("tool.method", "gap"), ("tool.lift", "0 mm")],
        "the gap method needs a lift above zero",
    ),
    (
        &[("metal.mild steel.boiling_point", "1700 K")],
        "mild steel boils at 1700 K, no higher than it melts at 1793 K",
    ),
];

#[test]
fn regress_each_rule_speaks_up() {
    for (changes, message) in RULES {
        assert_eq!(wrong(changes), [*message], "{changes:?}");
    }
    assert!(wrong(&[]).is_empty());
    // What is just allowed.
    assert!(wrong(&[("arc.to_stud", "0.7"), ("arc.to_sheet", "0.3")]).is_empty());
    assert!(wrong(&[("lead.turns", "3.5")]).is_empty());
    assert!(wrong(&[("tool.lift", "0 mm")]).is_empty());
    assert!(wrong(&[("tool.tilt", "15 deg")]).is_empty());
}

#[test]
fn regress_a_case_built_by_a_program_is_held_to_the_bounds() {
    let mut case = Case::default();
    case.bank.voltage = f64::NAN;
    case.earths.clear();
    case.sheet.metal.density = -1.0;
    let wrong = check(&case);
    assert_eq!(wrong.len(), 3, "{wrong:?}");
    assert_eq!(wrong[0].keys(), ["bank.voltage"]);
    assert_eq!(wrong[1].keys(), ["metal.\"mild steel\".density"]);
}

/// Self partial inductance over μ0/2π of a straight rope: Rosa (1908).
fn own(length: f64, section: f64) -> f64 {
    length * ((2.0 * length / crate::physics::lead::rope_radius(section)).ln() - 0.75)
}

/// Mutual partial inductance over μ0/2π of two parallel runs: Rosa (1908).
fn mutual(length: f64, apart: f64) -> f64 {
    let ratio = apart / length;
    length
        * ((1.0 / ratio + (1.0 + ratio.powi(-2)).sqrt()).ln() - (1.0 + ratio * ratio).sqrt()
            + ratio)
}

/// Whether the inductance matrix of the branches is positive definite.
fn positive_definite(case: &Case) -> bool {
    let lead = &case.lead;
    let straight = lead.length - lead.turns * std::f64::consts::PI * lead.coil_diameter;
    let to = |k: usize| mutual(straight.min(case.earths[k].length), lead.spacing);
    let between = |j: usize, k: usize| {
        let (a, b) = (&case.earths[j], &case.earths[k]);
        if j == k {
            own(a.length, a.section)
        } else {
            mutual(a.length.min(b.length), lead.spacing)
        }
    };
    let count = case.earths.len();
    let matrix = DMatrix::from_fn(count, count, |j, k| {
        own(straight, lead.section) - to(j) - to(k) + between(j, k)
    });
    matrix.cholesky().is_some()
}

proptest! {
    #[test]
    fn closed_form_allowed_leads_have_a_positive_definite_inductance(
        lengths in proptest::collection::vec(-1.0..2.3_f64, 5),
        sections in proptest::collection::vec(-6.0..-3.0_f64, 5),
        spacing in -2.3..1.3_f64,
        turns in 0.0..5.0_f64,
        count in 1_usize..=4,
    ) {
        let mut case = Case::default();
        let model = case.earths[0].clone();
        case.earths = (0..count).map(|k| {
            let mut earth = model.clone();
            earth.at = [0.1 * (k + 1) as f64, 0.0];
            earth.length = 10f64.powf(lengths[k]);
            earth.section = 10f64.powf(sections[k]);
            earth
        }).collect();
        let straight = 10f64.powf(1.3 * lengths[4] - 0.7);
        case.lead.length = straight + turns * std::f64::consts::PI * case.lead.coil_diameter;
        case.lead.section = 10f64.powf(sections[4]);
        case.lead.spacing = 10f64.powf(spacing);
        case.lead.turns = turns;
        // About a third of these cases are allowed.
        if check(&case).is_empty() {
            prop_assert!(positive_definite(&case));
        }
    }
}

#[test]
fn closed_form_leads_inside_one_another_are_caught() {
    // Negative control: the matrix can fail, and the rule says so first.
    let mut case = Case::default();
    case.lead.section = 1e-3;
    for earth in &mut case.earths {
        earth.section = 1e-3;
    }
    case.lead.spacing = 5e-3;
    assert!(!positive_definite(&case));
    assert!(!check(&case).is_empty());
}
