use super::*;
use crate::simulation::named::find;
use crate::simulation::verdict::Cause;
use crate::study::range::USUAL;

fn dial(base: Case, turn: &[&str]) -> Dial {
    let turn = turn
        .iter()
        .map(|t| Vary::read(&base, t, USUAL).unwrap())
        .collect();
    Dial::new(base, turn)
}

#[test]
fn the_window_of_the_demonstration_case_is_sound_inside_and_not_outside() {
    let d = dial(Case::default(), &["bank.voltage=40..250V"]);
    let w = d.window(0, None).unwrap();
    assert!(w.low < 112.0 && 112.0 < w.high, "{w:?}");
    for (value, sound) in [
        (w.low, true),
        (w.high, true),
        (w.low * (1.0 - 1e-6), false),
        (w.high * (1.0 + 1e-6), false),
    ] {
        assert_eq!(is_sound(&d.fire(&[value])), sound, "{value}");
    }
    assert_eq!(
        w.below,
        Limit::Verdict(Some(Verdict::Cold), Cause::Underfilled)
    );
    assert_eq!(
        w.above,
        Limit::Verdict(Some(Verdict::Hot), Cause::BoiledOff)
    );
}

#[test]
fn a_figure_is_reached_or_its_range_is_told() {
    let d = dial(Case::default(), &["bank.voltage=40..250V"]);
    let fill = find("fill_ratio").unwrap();
    let Reached::At(v) = d.reach(fill, 1.2) else {
        panic!("not reached");
    };
    let found = d.fire(&[v]).figures().and_then(fill).unwrap();
    assert!((found - 1.2).abs() < 1e-6, "{found}");
    let Reached::Between([_, (most, _)]) = d.reach(fill, 3.0) else {
        panic!("reached");
    };
    assert!(most > 1.2 && most < 2.5, "{most}");
}

/// The demonstration case dialled over voltage and spring force.
fn pair(base: &Case, turn: [&str; 2]) -> Pair {
    dial(base.clone(), &turn).pair().unwrap()
}

const BOTH: [&str; 2] = ["bank.voltage=40..200V", "tool.spring_force=20..160N"];

#[test]
fn both_keys_may_be_off_by_the_margin_at_once_and_not_by_more() {
    let d = dial(Case::default(), &BOTH);
    let pair = d.pair().unwrap();
    let sound = |margin: f64| {
        // Round the square, in logarithms of the ratios.
        let side = -(1.0 - margin).ln();
        let around = (0..40).flat_map(|k| {
            let along = f64::from(k) / 20.0 - 1.0;
            [[along, 1.0], [along, -1.0], [1.0, along], [-1.0, along]]
        });
        around
            .filter(|s| is_sound(&d.fire(&[0, 1].map(|k| pair.at[k] * (side * s[k]).exp()))))
            .count()
    };
    assert!(pair.margin > 0.05, "{pair:?}");
    // The edges between two windows are straight to a thousandth.
    assert_eq!(sound(pair.margin - 1e-3), 160, "{pair:?}");
    assert!(sound(pair.margin + 5e-3) < 160, "{pair:?}");
}

#[test]
fn the_pair_is_the_same_for_other_ranges_either_order_and_any_setting_of_the_case() {
    let base = Case::default();
    let one = pair(&base, BOTH);
    // Forces as good go on to the end of the range, which therefore moves the middle a little.
    let near = |other: [f64; 2]| {
        for ((a, b), by) in other.into_iter().zip(one.at).zip([0.002, 0.03]) {
            assert!((a / b - 1.0).abs() < by, "{other:?} and {one:?}");
        }
    };
    let swapped = pair(&base, [BOTH[1], BOTH[0]]);
    assert_eq!([swapped.at[1], swapped.at[0]], one.at);
    near(
        pair(
            &base,
            ["bank.voltage=28..224V", "tool.spring_force=25..140N"],
        )
        .at,
    );
    let mut other = base;
    (other.bank.voltage, other.tool.spring_force) = (90.0, 150.0);
    assert_eq!(pair(&other, BOTH).at, one.at);
}

/// The largest step, as a share, between the pairs of neighbouring cases.
fn largest_step(cases: impl Iterator<Item = Case>) -> f64 {
    let searched = |case: Case| {
        let most = case.bank.voltage_max.unwrap_or(200.0);
        pair(&case, [&format!("bank.voltage=40..{most}V"), BOTH[1]])
    };
    let pairs: Vec<Pair> = cases.map(searched).collect();
    let steps = pairs.windows(2).map(|two| {
        let ratio = |k: usize| (two[1].at[k] / two[0].at[k] - 1.0).abs();
        ratio(0).max(ratio(1))
    });
    let most = steps.fold(0.0, f64::max);
    println!(
        "{most}: {:?}",
        pairs.iter().map(|p| p.at).collect::<Vec<_>>()
    );
    most
}

#[test]
fn small_steps_of_the_rig_move_the_pair_by_little() {
    let section = (22..=30).step_by(2).map(|mm2| {
        let mut case = Case::default();
        case.lead.section = f64::from(mm2) * 1e-6;
        case
    });
    assert!(largest_step(section) < 0.03);
    let highest = (118..=142).rev().step_by(6).map(|volts| {
        let mut case = Case::default();
        case.bank.voltage_max = Some(f64::from(volts));
        case
    });
    assert!(largest_step(highest) < 0.06);
    // From mild steel half the way to 18/8, in steps of an eighth of every figure.
    let [from, to] = ["mild steel", "stainless 18/8"].map(crate::case::catalogue::metal);
    let metal = (0..=4).map(|step| {
        let mut case = Case::default();
        for key in crate::case::keys::METAL_KEYS {
            let [a, b] = [&from, &to].map(|metal| *(key.field)(metal));
            let mixed = a * (b / a).powf(f64::from(step) / 8.0);
            *(key.field_mut)(&mut case.stud.metal) = mixed;
            *(key.field_mut)(&mut case.sheet.metal) = mixed;
        }
        case
    });
    assert!(largest_step(metal) < 0.08);
}

#[test]
fn ratios_are_left_where_zero_is_chosen_or_in_the_range() {
    let ratio = |turn: &str| dial(Case::default(), &[turn]).by_ratio(0);
    assert!(ratio("bank.voltage=40..200V") && ratio("tool.friction=1..20N"));
    for turn in [
        "tool.friction=0..20N",
        "lead.temperature=-20..60degC",
        "earth.0.at.x=100..300mm",
    ] {
        assert!(!ratio(turn), "{turn}");
    }
    // Pairs with such keys are found and finite.
    let turn = ["tool.friction=0..40N", "lead.temperature=-20..60degC"];
    let Pair { at, windows, .. } = dial(Case::default(), &turn).pair().unwrap();
    assert!(at.iter().chain(&[windows[0].half()]).all(|v| v.is_finite()));
    assert_eq!(
        (windows[0].below, windows[1].below),
        (Limit::NoCase, Limit::Range)
    );
}

#[test]
fn the_bank_ends_a_window_where_it_may_be_charged_no_higher() {
    let mut case = Case::default();
    case.bank.voltage_max = Some(115.0);
    let w = dial(case.clone(), &["bank.voltage=40..115V"]).window(0, None);
    let w = w.unwrap();
    assert_eq!((w.high, w.above, w.is_cut()), (115.0, Limit::NoCase, false));
    case.bank.voltage_max = None;
    let w = dial(case, &["bank.voltage=40..115V"])
        .window(0, None)
        .unwrap();
    assert_eq!((w.above, w.is_cut()), (Limit::Range, true));
}

#[test]
fn a_rim_that_is_uneven_is_told_from_too_little_melt() {
    let voltage = ["bank.voltage=90..112V"];
    let mut tilted = Case::default();
    tilted.tool.tilt = 2f64.to_radians();
    let mut blown = Case::default();
    blown.earths.truncate(1);
    blown.earths[0].at = [-25e-3, 0.0];
    let mut both = blown.clone();
    both.tool.tilt = tilted.tool.tilt;
    for (case, mend) in [
        (tilted, Mend::Square),
        (blown, Mend::Clamps),
        (both, Mend::Both),
    ] {
        let found = dial(case, &voltage).window(0, None).unwrap_err();
        assert_eq!(found.why, Why::Uneven(mend));
        let (_, fill, _) = found.best.unwrap();
        let least = found.least.unwrap();
        assert!(fill >= 1.0 && least < 1.0, "{fill} {least}");
    }
}

#[test]
fn nowhere_says_why() {
    let mut case = Case::default();
    case.stud.cone = 6f64.to_radians();
    let found = dial(case, &["bank.voltage=40..300V"]).window(0, None);
    assert_eq!(found.map_err(|n| n.why), Err(Why::Boils));
    let mut case = Case::default();
    case.lead.length = 30.0;
    case.bank.capacitance = 10e-3;
    let found = dial(case, &["bank.voltage=40..300V"]).window(0, None);
    assert_eq!(found.map_err(|n| n.why), Err(Why::RangeEnds));
    // Too weak a bank: a corner of the range lets the arc go out, yet what lacks is voltage.
    let mut case = Case::default();
    case.stud.metal = crate::case::catalogue::metal("copper");
    let weak = ["bank.voltage=60..110V", "tool.spring_force=40..120N"];
    let found = dial(case, &weak).pair();
    assert_eq!(found.map_err(|n| n.why), Err(Why::RangeEnds));
}

/// Why nothing is sound, of one key or two.
fn nowhere(base: &Case, turn: &[&str]) -> Nowhere {
    let d = dial(base.clone(), turn);
    match turn.len() {
        1 => d.window(0, None).unwrap_err(),
        _ => d.pair().unwrap_err(),
    }
}

#[test]
fn nowhere_tells_the_voltages_that_would_do() {
    use std::cmp::Ordering;
    let base = Case::default();
    let mut weak = base.clone();
    weak.bank.voltage = 60.0;
    for (case, turn, side, held) in [
        (
            &base,
            &["bank.voltage=20..60V"][..],
            Ordering::Greater,
            [None; 2],
        ),
        (
            &base,
            &["bank.voltage=150..300V"],
            Ordering::Less,
            [None; 2],
        ),
        (
            &weak,
            &["tool.spring_force"],
            Ordering::Greater,
            [Some(80.0), None],
        ),
        // The force of the case was not searched, and none that was would do.
        (
            &base,
            &["bank.voltage=20..60V", "tool.spring_force=4..8N"],
            Ordering::Greater,
            [None, Some(80.0)],
        ),
    ] {
        let turn: Vec<String> = turn.iter().map(|t| ranged(case, t)).collect();
        let turn: Vec<&str> = turn.iter().map(String::as_str).collect();
        let found = nowhere(case, &turn);
        let voltages = found.voltages.unwrap();
        assert_eq!((voltages.side, voltages.held), (side, held), "{found:?}");
        let mut told = case.clone();
        told.tool.spring_force = held.into_iter().flatten().next().unwrap_or(80.0);
        let [low, high] = voltages.range;
        for (volts, sound) in [
            (low, true),
            (high, true),
            (0.99 * low, false),
            (1.01 * high, false),
        ] {
            let shot = dial(told.clone(), &["bank.voltage=1..400V"]).fire(&[volts]);
            assert_eq!(is_sound(&shot), sound, "{volts} V of {found:?}");
        }
    }
    // Where all of them were searched there is nothing more to tell.
    let mut steep = base;
    steep.stud.cone = 6f64.to_radians();
    assert_eq!(nowhere(&steep, &["bank.voltage=28..200V"]).voltages, None);
}

/// A key with its range: its own, or what a dial searches.
fn ranged(case: &Case, text: &str) -> String {
    if text.contains('=') {
        return text.into();
    }
    let vary = asked::asked(case, text).unwrap();
    format!("{text}={}..{}N", vary.from, vary.to)
}

#[test]
fn no_stud_that_stays_up_is_the_best_of_those_that_fail() {
    let found = nowhere(&Case::default(), &["tool.spring_force=20..50N"]);
    assert_eq!((found.why, found.best), (Why::ArcOut, None), "{found:?}");
    let none = nowhere(&Case::default(), &["bank.voltage=5..30V"]);
    assert_eq!((none.why, none.best), (Why::NoArc, None), "{none:?}");
}

#[test]
fn of_what_there_is_best_none_of_none_is_advised() {
    let advised = |turn: &str| {
        let d = dial(Case::default(), &[turn]);
        let w = d.window(0, None).unwrap();
        (d.is_from_none(0, &w), d.advised(0, w).value, w)
    };
    let (none, value, w) = advised("tool.tilt=0..5deg");
    assert!(none && value == 0.0 && w.middle() > 0.01, "{w:?}");
    let (none, value, w) = advised("bank.voltage=28..200V");
    assert!(!none && w.low < value && value < w.high, "{w:?}");
    // A temperature of 0 °C is chosen, and a window that does not begin at zero has a middle.
    assert!(!advised("lead.temperature=0..60degC").0);
    assert!(!advised("tool.tilt=0.1..5deg").0);
}
