use super::*;
use crate::simulation::named::find;
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

#[test]
fn the_pair_lies_deeper_in_the_window_than_the_case_does() {
    let d = dial(
        Case::default(),
        &["bank.voltage=60..200V", "tool.spring_force=20..200N"],
    );
    let ([voltage, force], windows) = d.pair().unwrap();
    assert!(is_sound(&d.fire(&[voltage, force])));
    assert!(windows.iter().all(|w| w.margin() > 0.09), "{windows:?}");
}

#[test]
fn the_widest_pair_is_the_same_for_other_ranges_and_either_order() {
    // The case's own force lies outside of what is as good as the widest.
    let mut case = Case::default();
    case.tool.spring_force = 20.0;
    let margin = |turn: [&str; 2], voltage: usize| {
        let (at, windows) = dial(case.clone(), &turn).pair().unwrap();
        (windows[voltage].margin(), at[1 - voltage])
    };
    let (force, near) = ("tool.spring_force=20..160N", "tool.spring_force=40..120N");
    let (volts, wide) = ("bank.voltage=40..200V", "bank.voltage=28..224V");
    let (most, at) = margin([wide, force], 0);
    for (found, other) in [margin([volts, near], 0), margin([near, volts], 1)] {
        assert!((found - most).abs() < 1e-3, "{found} and {most}");
        assert!((other / at - 1.0).abs() < 0.1, "{other} and {at}");
    }
    // No force of a finer search has a margin wider by more than a thousandth.
    let d = dial(case, &[volts, force]);
    for force in (56..100).step_by(4) {
        for w in d.windows(0, Some(f64::from(force))) {
            assert!(w.margin() < most / FLAT + 1e-3, "{force} N: {}", w.margin());
        }
    }
}

#[test]
fn of_pairs_as_good_the_one_nearest_the_case_is_taken() {
    let turn = ["bank.voltage=40..200V", "tool.spring_force=20..160N"];
    let force = |own: f64| {
        let mut case = Case::default();
        case.tool.spring_force = own;
        let (at, windows) = dial(case, &turn).pair().unwrap();
        (at[1], windows[0].margin())
    };
    let ((below, a), (above, b)) = (force(30.0), force(150.0));
    assert!(below + 2.0 < above, "{below} and {above}");
    assert!((a - b).abs() < 1e-3, "{a} and {b}");
    let inside = 0.5 * (below + above);
    assert!((force(inside).0 - inside).abs() < 1e-9);
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
    let (at, windows) = dial(Case::default(), &turn).pair().unwrap();
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
