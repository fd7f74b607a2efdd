//! Curves before they are drawn.

use proptest::collection::vec;
use proptest::prelude::*;

use crate::plot::curve::{cut, distance, simplify};
use crate::plot::geometry::Rect;
use crate::plot::place::around;
use crate::plot::smooth::{LIMIT, smooth};

proptest! {
    #[test]
    fn a_simplified_line_stays_within_its_tolerance(
        ys in vec(-50.0..50.0f64, 2..60),
        tolerance in 0.1..5.0f64,
    ) {
        let line: Vec<(f64, f64)> = ys.iter().enumerate().map(|(k, y)| (k as f64, *y)).collect();
        let few = simplify(&line, tolerance);
        prop_assert!(few.len() <= line.len());
        for p in &line {
            let near = few.windows(2).map(|s| distance(*p, s[0], s[1]));
            prop_assert!(near.fold(f64::INFINITY, f64::min) <= tolerance * (1.0 + 1e-9));
        }
    }

    #[test]
    fn smoothing_moves_no_point_beyond_its_limit(ys in vec(0.1..1.0f64, 20..200)) {
        let line: Vec<(f64, f64)> = ys.iter().enumerate().map(|(k, y)| (k as f64, *y)).collect();
        let most = ys.iter().copied().fold(0.0, f64::max);
        for (x, y) in smooth(&line) {
            let k = (x.floor() as usize).min(line.len() - 2);
            let raw = line[k].1 + (line[k + 1].1 - line[k].1) * (x - k as f64);
            prop_assert!((y - raw).abs() <= LIMIT * most * (1.0 + 1e-9));
        }
    }
}

#[test]
fn a_cut_curve_ends_on_the_edge() {
    let line = [
        (0.0, 0.0),
        (1.0, 2.0),
        (1.0, 5.0),
        (3.0, 9.0),
        (f64::NAN, 1.0),
    ];
    assert_eq!(
        cut(&line, 0.5, 2.0),
        [(0.5, 1.0), (1.0, 2.0), (1.0, 5.0), (2.0, 7.0)]
    );
    assert_eq!(cut(&line, 0.0, 3.0).len(), 4);
    assert!(cut(&line, 4.0, 5.0).is_empty());
}

#[test]
fn closed_form_a_parabola_passes_the_smoothing_unchanged() {
    let line: Vec<(f64, f64)> = (0..=1000)
        .map(|k| f64::from(k) / 1000.0)
        .map(|x| (x, 0.2 + x - x * x))
        .collect();
    for (x, y) in smooth(&line) {
        assert!((y - (0.2 + x - x * x)).abs() < 1e-5, "{x} {y}");
    }
}

#[test]
fn smoothing_takes_small_waves_out() {
    let wave = |amplitude: f64| -> Vec<(f64, f64)> {
        (0..=1000)
            .map(|k| f64::from(k) / 1000.0)
            .map(|x| {
                (
                    x,
                    0.5 + x - x * x + amplitude * (x * 40.0 * std::f64::consts::TAU).sin(),
                )
            })
            .collect()
    };
    let worst = |line: &[(f64, f64)]| {
        let inner = line.iter().filter(|(x, _)| (0.1..0.9).contains(x));
        let off = inner.map(|(x, y)| (y - (0.5 + x - x * x)).abs());
        off.fold(0.0, f64::max)
    };
    let waves = wave(0.01);
    assert!(worst(&waves) > 0.0099);
    assert!(worst(&smooth(&waves)) < 0.002);
}

#[test]
fn nothing_melted_is_drawn_as_it_is() {
    let flat = [(0.0, 0.0), (1.0, 0.0)];
    assert_eq!(smooth(&flat), flat);
    assert!(smooth(&[]).is_empty());
}

#[test]
fn an_upright_line_leaves_words_alone() {
    let word = Rect::about((50.0, 30.0), (40.0, 10.0));
    assert_eq!(
        around(50.0, 0.0, 100.0, &[word]),
        [(0.0, 22.0), (38.0, 100.0)]
    );
    assert_eq!(around(90.0, 0.0, 100.0, &[word]), [(0.0, 100.0)]);
}
