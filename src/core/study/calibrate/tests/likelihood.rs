//! The words and numbers of one weld.

use crate::case::Case;
use crate::simulation::fire::{Settings, Workspace};
use crate::study::calibrate::likelihood::{Look, fit, most};
use crate::study::calibrate::predicted::Predicted;
use crate::study::calibrate::spreads::{Kind, Spreads, Values};
use crate::study::calibrate::weld::Seen;
use crate::study::calibrate::words::{Back, Bend, Broke, Spatter, Torque, Witness};

const LOOK: Look = Look { uneven: 0.15 };

fn spreads() -> Values {
    Spreads::default().values(&[])
}

fn predicted(volts: f64) -> Predicted {
    let mut case = Case::default();
    case.bank.voltage = volts;
    Predicted::of(&case, &Settings::default(), &mut Workspace::default()).unwrap()
}

fn chance(seen: Seen, volts: f64) -> f64 {
    fit(&seen, &predicted(volts), &spreads(), LOOK)
        .fitting
        .exp()
}

fn witness(w: Witness) -> Seen {
    Seen {
        witness: Some(w),
        ..Seen::default()
    }
}

#[test]
fn closed_form_the_words_of_a_column_make_up_one() {
    let sum = |all: &[Seen], volts: f64| all.iter().map(|s| chance(*s, volts)).sum::<f64>();
    for volts in [60.0, 85.0, 100.0, 112.0, 140.0, 180.0] {
        let rims = [Witness::Full, Witness::Part, Witness::None].map(witness);
        assert!((sum(&rims, volts) - 1.0).abs() < 1e-9, "{volts}");
        let thrown = [Spatter::Little, Spatter::Some, Spatter::Much].map(|s| Seen {
            spatter: Some(s),
            ..Seen::default()
        });
        assert!((sum(&thrown, volts) - 1.0).abs() < 1e-9, "{volts}");
        let backs = [Back::Clean, Back::Coloured, Back::Dented, Back::Holed].map(|b| Seen {
            back: Some(b),
            ..Seen::default()
        });
        assert!((sum(&backs, volts) - 1.0).abs() < 1e-9, "{volts}");
        let breaks = [Broke::Stud, Broke::Weld, Broke::Sheet].map(|b| Seen {
            broke: Some(b),
            ..Seen::default()
        });
        assert!((sum(&breaks, volts) - 1.0).abs() < 1e-9, "{volts}");
        let bends = [Bend::Held, Bend::Broke(0.1)].map(|b| Seen {
            bend: Some(b),
            ..Seen::default()
        });
        assert!((sum(&bends, volts) - 1.0).abs() < 1e-9, "{volts}");
    }
}

#[test]
fn more_voltage_makes_more_rim_more_spatter_and_a_weld_that_holds() {
    let spatter = |s| Seen {
        spatter: Some(s),
        ..Seen::default()
    };
    let bend = Seen {
        bend: Some(Bend::Held),
        ..Seen::default()
    };
    assert!(chance(witness(Witness::Full), 125.0) > chance(witness(Witness::Full), 95.0));
    assert!(chance(witness(Witness::None), 70.0) > chance(witness(Witness::None), 95.0));
    assert!(chance(spatter(Spatter::Much), 170.0) > chance(spatter(Spatter::Much), 112.0));
    assert!(chance(bend, 112.0) > chance(bend, 75.0));
}

#[test]
fn two_words_on_one_weld_are_not_two_welds() {
    // At a fill of about 1 the scatter of the fill decides both words: together they are more probable than apart.
    let held = Seen {
        broke: Some(Broke::Stud),
        ..Seen::default()
    };
    let full = witness(Witness::Full);
    let both = Seen {
        broke: Some(Broke::Stud),
        ..full
    };
    for volts in [80.0, 90.0, 100.0] {
        assert!(chance(both, volts) >= 0.999 * chance(held, volts) * chance(full, volts));
    }
}

#[test]
fn closed_form_numbers_lie_about_what_is_computed() {
    let p = predicted(112.0);
    let arc = p.arc_time.unwrap();
    let seen = |time| Seen {
        arc_time: Some(time),
        ..Seen::default()
    };
    let s = spreads();
    let log = |time| fit(&seen(time), &p, &s, LOOK).fitting;
    let one = (s.of(Kind::ArcTime)).exp();
    // Half of a unit of deviation squared.
    assert!((log(arc) - log(arc * one) - 0.5).abs() < 1e-9);
    // Far off it does not fit.
    let far = fit(&seen(arc * 1.6), &p, &s, LOOK);
    assert!(far.outlier() > 0.9 && fit(&seen(arc), &p, &s, LOOK).outlier() < 0.05);
}

#[test]
fn torques_are_held_up_to_the_failing_one() {
    let torque = |t| Seen {
        torque: Some(t),
        ..Seen::default()
    };
    let held = |nm| chance(torque(Torque::Held(nm)), 112.0);
    assert!(held(1.0) > 0.99 && held(1.0) > held(4.0) && held(100.0) < 1e-3);
}

#[test]
fn closed_form_the_rule_of_gauss_and_hermite_integrates_the_witness() {
    // Against 20001 points of the trapezoidal rule.
    let (p, s) = (predicted(88.0), spreads());
    let found = chance(witness(Witness::Full), 88.0);
    let n = 20_000;
    let sum: f64 = (0..=n)
        .map(|k| {
            let x = -8.0 + 16.0 * f64::from(k) / f64::from(n);
            let density = (-0.5 * x * x).exp() / std::f64::consts::TAU.sqrt() * 16.0 / f64::from(n);
            let shifted = Predicted {
                fill: p.fill + x * s.of(Kind::Fill),
                least: p.least + x * s.of(Kind::Fill),
                ..p.clone()
            };
            // Without scatter of its own.
            let sharp = Spreads {
                learnt: vec![super::super::spreads::Prior {
                    median: 1e-9,
                    ..super::super::spreads::ALL[0]
                }],
            };
            let sharp = sharp.values(&[0.0]);
            density
                * fit(&witness(Witness::Full), &shifted, &sharp, LOOK)
                    .fitting
                    .exp()
        })
        .sum();
    assert!((found - sum).abs() < 2e-3, "{found} {sum}");
}

#[test]
fn no_weld_is_more_probable_than_the_most() {
    let s = spreads();
    let shots = [60.0, 85.0, 112.0, 140.0, 180.0].map(predicted);
    let numbers = shots
        .each_ref()
        .map(|p| (p.arc_time, p.peak_current, p.melt));
    let mut closest = f64::INFINITY;
    for (arc_time, peak_current, melt) in numbers {
        for torque in [None, Some(Torque::Held(8.0)), Some(Torque::Failed(8.0))] {
            let seen = Seen {
                witness: Some(Witness::Full),
                spatter: Some(Spatter::Little),
                back: Some(Back::Clean),
                torque,
                arc_time,
                peak_current,
                melt,
                ..Seen::default()
            };
            let most = most(&seen, &s);
            for p in &shots {
                closest = closest.min(most - fit(&seen, p, &s, LOOK).log());
            }
        }
    }
    assert!((0.0..1.0).contains(&closest), "{closest}");
}
