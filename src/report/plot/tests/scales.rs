//! Ticks are nice, the prefix fits, and two axes share their gridlines.

use proptest::prelude::*;

use crate::plot::axis::{Scale, Span, Unit, matched, prefix};

const AMPERE: Unit = Unit {
    symbol: "A",
    usual: 3,
};
const VOLT: Unit = Unit {
    symbol: "V",
    usual: 0,
};

fn up_to(most: f64) -> Span {
    Span { least: 0.0, most }
}

/// The leading figure of a step.
fn mantissa(step: f64) -> f64 {
    step / 10f64.powf((step.log10() + 1e-9).floor())
}

proptest! {
    #[test]
    fn matched_axes_hold_all_and_share_their_ticks(
        a in -12.0..9.0f64,
        b in -12.0..9.0f64,
        below in 0.0..0.5f64,
        most in 3i64..8,
    ) {
        let spans = [
            Span { least: -below * 10f64.powf(a), most: 10f64.powf(a) },
            up_to(10f64.powf(b)),
        ];
        let scales = matched(&[(AMPERE, spans[0]), (VOLT, spans[1])], 0.1, most);
        for (scale, span) in scales.iter().zip(spans) {
            prop_assert!(scale.low * scale.factor <= span.least);
            prop_assert!(scale.high * scale.factor >= span.most * 1.1);
            let m = mantissa(scale.step);
            let nice = [1.0, 2.0, 2.5, 3.0, 4.0, 5.0];
            prop_assert!(nice.iter().any(|n| (n - m).abs() < 1e-6), "step {}", scale.step);
        }
        prop_assert_eq!(scales[0].ticks().len(), scales[1].ticks().len());
        let place = |s: &Scale, t: f64| (t - s.low) / (s.high - s.low);
        for (p, q) in scales[0].ticks().into_iter().zip(scales[1].ticks()) {
            prop_assert!((place(&scales[0], p) - place(&scales[1], q)).abs() < 1e-9);
        }
    }

    #[test]
    fn numbers_on_an_axis_differ_and_line_up(size in -11.0..11.0f64) {
        let scale = &matched(&[(AMPERE, up_to(10f64.powf(size)))], 0.0, 7)[0];
        let numbers: Vec<String> = scale.ticks().iter().map(|t| scale.number(*t)).collect();
        for pair in numbers.windows(2) {
            prop_assert_ne!(&pair[0], &pair[1]);
        }
        let decimals = |n: &String| n.split_once('.').map_or(0, |(_, d)| d.len());
        prop_assert!(numbers.iter().all(|n| decimals(n) == decimals(&numbers[0])), "{numbers:?}");
        prop_assert!(numbers.iter().all(|n| n.chars().count() <= 7), "{numbers:?}");
    }

    #[test]
    fn the_common_axis_has_a_handful_of_ticks(size in -9.0..3.0f64, most in 5usize..15) {
        let second = Unit { symbol: "s", usual: -3 };
        let scale = Scale::along(second, 0.0, 10f64.powf(size), most);
        let ticks = scale.ticks();
        prop_assert!(ticks.len() >= 2 && ticks.len() <= most + 1, "{} of {most}", ticks.len());
        prop_assert!(ticks.iter().all(|t| *t <= scale.high * (1.0 + 1e-6)));
    }
}

#[test]
fn the_prefix_fits_the_trade() {
    let metre = |usual| Unit { symbol: "m", usual };
    for (unit, largest, expected) in [
        (AMPERE, 6140.0, "kA"),
        (AMPERE, 710.0, "kA"),
        (AMPERE, 52.0, "A"),
        (VOLT, 112.0, "V"),
        (VOLT, 0.02, "mV"),
        (metre(-3), 0.8e-3, "mm"),
        (metre(-6), 71e-6, "µm"),
        (metre(-6), 1.2e-3, "mm"),
        (metre(-6), 0.0, "µm"),
    ] {
        assert_eq!(prefix(unit, largest).1, expected, "{largest}");
    }
}

#[test]
fn an_axis_with_nothing_on_it_still_has_numbers() {
    let scale = &matched(&[(AMPERE, Span::of([]))], 0.1, 5)[0];
    assert!(scale.ticks().len() >= 3);
    assert!(Span::of([f64::NAN, f64::INFINITY, 2.0]) == up_to(2.0));
}

#[test]
fn the_demonstration_s_scales_are_as_expected() {
    let scales = matched(&[(AMPERE, up_to(6142.0)), (VOLT, up_to(112.0))], 0.12, 7);
    let ends: Vec<String> = scales
        .iter()
        .map(|s| s.number(*s.ticks().last().expect("ticks")))
        .collect();
    assert_eq!(ends, ["7", "140"]);
}
