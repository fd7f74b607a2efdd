use std::f64::consts::FRAC_PI_2;

use proptest::prelude::*;
use proptest::strategy::ValueTree;

use super::*;
use crate::case::check::check;
use crate::case::keys::{numbers, set_text};
use crate::case::model::{Earth, Joint};
use crate::case::read::{demonstration, read_text};

/// A case written and read again, by both ways of writing.
fn again(case: &Case) -> Case {
    let text = to_toml(case);
    let read = read_text("again.toml", &text, &[]).unwrap_or_else(|told| panic!("{told}\n{text}"));
    let shown = show(&read);
    let twice =
        read_text("again.toml", &shown, &[]).unwrap_or_else(|told| panic!("{told}\n{shown}"));
    assert_eq!(twice.case, read.case);
    let json = Case::from_json(&read.case.to_json()).unwrap();
    assert_eq!(json, read.case);
    read.case
}

#[test]
fn regress_the_default_case_reads_back_the_same() {
    assert_eq!(again(&Case::default()), Case::default());
}

#[test]
fn regress_varied_cases_read_back_the_same() {
    let changes: &[&[(&str, &str)]] = &[
        &[("title", "a \"b\" \\ µ # [x]")],
        &[
            ("stud.size", "M8"),
            ("stud.metal", "copper"),
            ("sheet.metal", "brass 63/37"),
        ],
        &[
            ("stud.flange", "8.1 mm"),
            ("stud.short_resistance", "0 ohm"),
        ],
        &[("stud.size", "own"), ("stud.pip_length", "0.7 mm")],
        &[
            ("sheet.centre_mark.depth", "0.7 mm"),
            ("sheet.centre_mark.angle", "80 deg"),
        ],
        &[
            ("joints.tool", "arcing"),
            ("joints.bank", "0.3 mohm"),
            ("joints.chuck.drop", "3 V"),
        ],
        &[
            ("tool.method", "gap"),
            ("tool.attitude", "up"),
            ("tool.tilt", "7 deg"),
        ],
        &[
            ("metal.mild steel.density", "7800 kg/m3"),
            ("lead.temperature", "68 degF"),
        ],
        &[
            ("earth.0.at", "-1 ft, 3 in"),
            ("earth.1.clamp", "loose"),
            ("lead.length", "20 ft"),
        ],
    ];
    for list in changes {
        let mut case = Case::default();
        for (key, text) in *list {
            set_text(&mut case, key, text).unwrap();
        }
        assert_eq!(again(&case), case, "{list:?}");
    }
}

#[test]
fn regress_two_metals_of_one_name_stay_two() {
    let mut case = Case::default();
    case.sheet.metal.density = 7000.0;
    let read = again(&case);
    assert_eq!(read.sheet.metal.name, "mild steel (sheet)");
    assert_eq!(
        (read.stud.metal.density, read.sheet.metal.density),
        (7850.0, 7000.0)
    );
}

#[test]
fn regress_origins_stand_beside_the_values() {
    let text = "[bank]\nvoltage = \"120 V\"\n";
    let sets = [
        "joints.tool.drop=5 V",
        "earth.1.clamp=loose",
        "stud.size=M6",
    ]
    .map(String::from);
    let shown = show(&read_text("my.toml", text, &sets).unwrap());
    for line in [
        "# my.toml",
        "voltage = \"120 V\"                       # line 2",
        "esr = \"2 mohm\"                          # default",
        "clamp = \"loose\"                         # --set: 2 mohm, 5 N",
        "bank = \"tight\"                          # default: 0.015 mohm, 300 N",
        "tool = { resistance = \"0.015 mohm\", force = \"300 N\", drop = \"5 V\" }  # --set",
        "flange = \"7.5 mm\"                       # catalogue, M6",
        "short_resistance = \"none\"               # default",
        "density = \"7850 kg/m3\"                  # catalogue, mild steel",
    ] {
        assert!(shown.lines().any(|shown| shown == line), "{line}\n{shown}");
    }
    let plain = show(&demonstration(&[]).unwrap());
    assert!(plain.starts_with("title = \"\" "), "{plain}");
}

prop_compose! {
    /// A joint of the catalogue or of the user's own.
    fn joints()(preset in 0_usize..8, resistance in 0.0..1.0_f64, force in 0.0..1e5_f64,
        drop in 0.0..100.0_f64) -> Joint {
        match catalogue::joints().get(preset) {
            Some(entry) => entry.value.clone(),
            None => Joint {
                name: OWN.to_string(),
                resistance,
                force: (preset > 4).then_some(force),
                drop: (preset % 2 == 0).then_some(drop),
            },
        }
    }
}

prop_compose! {
    fn earth()(length in 0.1..200.0_f64, section in 1e-6..1e-3_f64, terminal in joints(), clamp in joints(), clamp_radius in 1e-4..1.0_f64,
        x in -20.0..20.0_f64, y in -20.0..20.0_f64, rise in -1..=1, turn in -4..=4) -> Earth {
        let [elevation, azimuth] = [rise, turn].map(|quarters| f64::from(quarters) * FRAC_PI_2);
        Earth { length, section, terminal, clamp, clamp_radius, at: [x, y], elevation, azimuth }
    }
}

prop_compose! {
    /// Every number anywhere within its bounds, so most cases break some rule between keys.
    fn cases()(
        shares in proptest::collection::vec(0.0..1.0_f64, 200),
        earths in proptest::collection::vec(earth(), 1..=4),
        chuck in joints(),
        words in (0_usize..2, 0_usize..3, 0_usize..5, 0_usize..5, any::<bool>(), any::<bool>()),
    ) -> Case {
        let mut case = Case::default();
        let (method, attitude, stud, sheet, mark, bolted) = words;
        set_text(&mut case, "tool.method", ["contact", "gap"][method]).unwrap();
        set_text(&mut case, "tool.attitude", ["down", "level", "up"][attitude]).unwrap();
        set_text(&mut case, "stud.metal", catalogue::metal_names()[stud]).unwrap();
        set_text(&mut case, "sheet.metal", catalogue::metal_names()[sheet]).unwrap();
        if mark { set_text(&mut case, "sheet.centre_mark", "0.5 mm").unwrap(); }
        if bolted { set_text(&mut case, "stud.short_resistance", "1 mohm").unwrap(); }
        case.earths = earths;
        case.joints.chuck = chuck;
        for ((address, value), share) in numbers(&case).into_iter().zip(shares) {
            let number = match &address {
                Address::Metal(_, key) => key.number,
                Address::Case(key) => *key.number().unwrap(),
                Address::Earth(..) => continue,
            };
            // Near the default, so that some cases keep every rule, or anywhere.
            let range = number.range;
            let anywhere = range.least + share * (range.most - range.least);
            let value = if share < 0.9 { (value * (0.9 + 0.2 * share)).min(range.most) } else { anywhere };
            if range.holds(value) && !address.to_string().starts_with("joints.") {
                address.set_number(&mut case, value).unwrap();
            }
        }
        case
    }
}

/// Largest relative difference over all numbers.
fn difference(a: &Case, b: &Case) -> f64 {
    let pairs = numbers(a).into_iter().zip(numbers(b));
    pairs
        .map(|((_, a), (_, b))| (a - b).abs() / a.abs().max(1e-300))
        .fold(0.0, f64::max)
}

proptest! {
    #[test]
    fn regress_random_valid_cases_read_back_the_same(mut case in cases()) {
        // Rules between keys are for another test; make the commonest ones hold.
        case.lead.spacing = case.lead.spacing.clamp(0.06, 0.09);
        case.lead.turns = 0.0;
        case.arc.to_cathode *= 0.5;
        case.arc.to_anode *= 0.5;
        if let Some(mark) = &mut case.sheet.centre_mark { mark.depth = 0.4 * case.sheet.thickness.min(case.stud.pip_length); }
        if check(&case).is_empty() {
            let read = again(&case);
            // Degrees and °C may turn the last digit.
            prop_assert!(difference(&case, &read) < 1e-15, "{}", difference(&case, &read));
            prop_assert_eq!(read.joints, case.joints);
            prop_assert_eq!(read.earths, case.earths);
            prop_assert_eq!(read.bank, case.bank);
        }
    }
}

#[test]
fn regress_enough_random_cases_are_valid() {
    // Guards the test above against a generator that makes none.
    let mut runner = proptest::test_runner::TestRunner::deterministic();
    let valid = (0..200).filter(|_| {
        let mut case = cases().new_tree(&mut runner).unwrap().current();
        case.lead.spacing = 0.08;
        case.lead.turns = 0.0;
        case.arc.to_cathode *= 0.5;
        case.arc.to_anode *= 0.5;
        case.sheet.centre_mark = None;
        check(&case).is_empty()
    });
    let count = valid.count();
    assert!(count > 40, "{count} of 200");
}

#[test]
fn the_spreads_of_a_case_read_back_the_same() {
    let given = [
        "tolerance.bank.voltage=3 V",
        "tolerance.stud.cone={ spread = \"0.2 deg\", shape = \"truncated\", limit = \"0.5 deg\" }",
        "tolerance.tool.tilt=none",
        "tolerance.batch_size=250",
        "uncertainty.model.hot_share=0.1",
    ];
    let read = demonstration(&given.map(String::from)).unwrap();
    let text = to_toml_with(&read.case, &read.tolerances);
    let again = read_text("again.toml", &text, &[]).unwrap_or_else(|told| panic!("{told}\n{text}"));
    assert_eq!(again.case, read.case);
    assert_eq!(again.tolerances, read.tolerances);
    let plain = demonstration(&[]).unwrap();
    assert_eq!(
        to_toml_with(&plain.case, &plain.tolerances),
        to_toml(&plain.case)
    );
}
