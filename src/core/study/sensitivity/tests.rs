use std::f64::consts::PI;

use super::indices::Values;
use super::*;
use crate::case::Case;
use crate::case::keys::find as key;
use crate::case::tolerance::{Amount, Shape, Spread, Tolerance};
use crate::simulation::fire::Settings;
use crate::study::points::{Points, Sampling};
use crate::study::scatter::draw::Draw;

/// Values of a function of points of the unit cube.
fn values(n: usize, keys: usize, seed: u64, f: impl Fn(&[f64]) -> f64) -> Values {
    drawn(Sampling::Sobol, n, keys, seed, f)
}

fn drawn(
    sampling: Sampling,
    n: usize,
    keys: usize,
    seed: u64,
    f: impl Fn(&[f64]) -> f64,
) -> Values {
    let points = Points { sampling, seed };
    let mut out = Values {
        mixed: vec![Vec::new(); keys],
        ..Values::default()
    };
    for index in 0..n {
        let mut point = vec![0.0; 2 * keys];
        let (replicate, number) = place(index, n);
        points.fill(number, &mut point);
        out.replicate.push(replicate);
        let (a, b) = point.split_at(keys);
        out.a.push(f(a));
        out.b.push(f(b));
        for key in 0..keys {
            let mut mixed = a.to_vec();
            mixed[key] = b[key];
            out.mixed[key].push(f(&mixed));
        }
    }
    out
}

/// T. Ishigami and T. Homma, Proc. ISUMA (1990) 398.
fn ishigami(a: f64, b: f64) -> impl Fn(&[f64]) -> f64 {
    move |u| {
        let x: Vec<f64> = u.iter().map(|u| PI * (2.0 * u - 1.0)).collect();
        x[0].sin() + a * x[1].sin().powi(2) + b * x[2].powi(4) * x[0].sin()
    }
}

#[test]
fn published_indices_of_the_ishigami_function() {
    // A. Saltelli et al., Global Sensitivity Analysis: The Primer (2008), a = 7, b = 0.1.
    let published = [(0.3139, 0.5576), (0.4424, 0.4424), (0.0, 0.2437)];
    let found = values(1 << 14, 3, 1, ishigami(7.0, 0.1)).indices().unwrap();
    for ((first, total), found) in published.into_iter().zip(&found.keys) {
        // Three times the standard error of 16384 samples at most.
        assert!(
            (found.first.value - first).abs() < 0.02,
            "{found:?} {first}"
        );
        assert!(
            (found.total.value - total).abs() < 0.02,
            "{found:?} {total}"
        );
        assert!(found.first.low <= first + 0.005 && first - 0.005 <= found.first.high);
        assert!(found.total.low <= total + 0.005 && total - 0.005 <= found.total.high);
    }
    // The function with another constant is detected: the check can fail.
    let other = values(1 << 14, 3, 1, ishigami(7.0, 0.12))
        .indices()
        .unwrap();
    assert!(
        (other.keys[0].first.value - 0.3139).abs() > 0.02,
        "{other:?}"
    );
}

#[test]
fn closed_form_indices_of_a_sum_and_of_a_product() {
    // f = Σ c x: the share of each is c²/Σc², in first order and in all.
    let found = values(4096, 3, 2, |u| u[0] + 2.0 * u[1] + 3.0 * u[2])
        .indices()
        .unwrap();
    for (k, found) in found.keys.iter().enumerate() {
        let share = ((k + 1) as f64).powi(2) / 14.0;
        assert!((found.first.value - share).abs() < 0.01, "{found:?}");
        assert!((found.total.value - share).abs() < 0.01, "{found:?}");
    }
    // f = (x − ½)(y − ½): all of it is interaction.
    let found = values(4096, 2, 2, |u| (u[0] - 0.5) * (u[1] - 0.5))
        .indices()
        .unwrap();
    assert!((found.interaction.value - 1.0).abs() < 0.04, "{found:?}");
    for found in found.keys {
        assert!(found.first.value.abs() < 0.02, "{found:?}");
        assert!((found.total.value - 1.0).abs() < 0.02, "{found:?}");
    }
    assert_eq!(values(64, 2, 2, |_| 0.1).indices(), None);
}

#[test]
fn closed_form_a_study_of_the_stored_energy() {
    // ½CV² with small independent relative spreads: shares s_C² and (2 s_V)².
    let base = Case {
        stud: crate::case::model::Stud {
            short_resistance: Some(1e-3),
            ..Case::default().stud
        },
        ..Case::default()
    };
    let draw = |path: &str, share: f64| {
        let tolerance = Tolerance {
            address: key(path).unwrap(),
            spread: Spread {
                amount: Amount::Share(share),
                shape: Shape::Normal,
                limit: None,
                below: None,
                batch: None,
            },
            usual: false,
        };
        Draw::new(&base, tolerance).unwrap()
    };
    let draws = vec![
        draw("bank.voltage", 0.01),
        draw("bank.capacitance", 0.02),
        draw("lead.length", 0.1),
    ];
    let study = Scatter {
        draws,
        base: base.clone(),
        dependence: None,
        points: Points {
            sampling: Sampling::Sobol,
            seed: 1,
        },
        shots: 512,
        settings: Settings::default(),
    };
    let figures = ["stored_energy_J", "fill_ratio", "loop_resistance_ohm"];
    let run = || {
        let mut collected = Collected::new(&figures, 3, study.shots);
        study
            .samples(&figures)
            .for_each(|sample| collected.take(&sample));
        collected.found()
    };
    let found = run();
    let energy = &found[0].indices.as_ref().unwrap().keys;
    for (key, share) in [(0, 0.5), (1, 0.5), (2, 0.0)] {
        assert!((energy[key].total.value - share).abs() < 0.03, "{energy:?}");
    }
    let mean = found[0].mean.unwrap();
    assert!((mean / (0.5 * 72e-3 * 112.0f64.powi(2)) - 1.0).abs() < 1e-3);
    // A short has no fill, and its resistance depends only on the lead.
    assert_eq!((found[1].samples, &found[1].indices), (0, &None));
    let resistance = &found[2].indices.as_ref().unwrap().keys;
    assert!(
        (resistance[2].first.value - 1.0).abs() < 0.03,
        "{resistance:?}"
    );
    assert_eq!(run(), found, "the same bits again");
    assert_eq!(shots(512, 3), 2560);
}

#[derive(serde::Deserialize)]
struct Reference {
    a: Vec<f64>,
    b: Vec<f64>,
    mixed: Vec<Vec<f64>>,
    first: Vec<f64>,
    total: Vec<f64>,
}

#[test]
fn agrees_with_salib() {
    let text = include_str!("../../../../tests/reference/sensitivity.json");
    let r: Reference = serde_json::from_str(text).unwrap();
    let n = r.a.len();
    let values = Values {
        replicate: (0..n).map(|k| place(k, n).0).collect(),
        a: r.a,
        b: r.b,
        mixed: r.mixed,
    };
    let found = values.indices().unwrap();
    for (k, found) in found.keys.iter().enumerate() {
        // The same estimators: rounding alone. Its intervals are of another kind.
        assert!((found.first.value - r.first[k]).abs() < 1e-10, "{found:?}");
        assert!((found.total.value - r.total[k]).abs() < 1e-10, "{found:?}");
    }
}

/// Runs of 200 whose intervals hold the truth: of the first order and of the total of the first key, and of
/// the interaction.
fn coverage(sampling: Sampling, truth: [f64; 3], f: impl Fn(&[f64]) -> f64) -> ([u32; 3], f64) {
    let (mut held, mut wide) = ([0; 3], 0.0);
    for seed in 0..200 {
        let found = drawn(sampling, 1024, 3, seed, &f).indices().unwrap();
        let of = [found.keys[0].first, found.keys[0].total, found.interaction];
        for ((held, index), truth) in held.iter_mut().zip(of).zip(truth) {
            *held += u32::from(index.low <= truth && truth <= index.high);
            wide += (index.high - index.low) / 600.0;
        }
    }
    (held, wide)
}

#[test]
fn closed_form_intervals_hold_the_truth_as_often_as_they_say() {
    // Of 200 runs 190 should hold it; 178 or more do in all but one of a thousand tries (binomial).
    // A smooth sum: 4/14 of the variance, nothing of it by interaction.
    let smooth = |u: &[f64]| 2.0 * u[0] + 3.0 * u[1] + u[2];
    let share = 4.0 / 14.0;
    let (sobol, narrow) = coverage(Sampling::Sobol, [share, share, 0.0], smooth);
    let (random, wide) = coverage(Sampling::Random, [share, share, 0.0], smooth);
    println!("smooth: {sobol:?} {narrow}, independent {random:?} {wide}");
    assert!(sobol.iter().chain(&random).all(|held| *held >= 178));
    // Sobol points are worth their name, and the intervals show it.
    assert!(narrow < 0.3 * wide, "{narrow} {wide}");
    // A verdict: 1 where two keys are both beyond q. With p = 1 − q, V = p²(1 − p²), the first order of each is
    // p³(1 − p)/V, its total p·p(1 − p)/V.
    let p: f64 = 0.4;
    let verdict = |u: &[f64]| f64::from(u8::from(u[0] < p && u[1] < p));
    let v = p * p * (1.0 - p * p);
    let (first, total) = (p.powi(3) * (1.0 - p) / v, p * p * (1.0 - p) / v);
    let (held, _) = coverage(Sampling::Sobol, [first, total, 1.0 - 2.0 * first], verdict);
    println!("verdict: {held:?}");
    assert!(held.iter().all(|held| *held >= 174), "{held:?}");
    // The control: a value beside the truth is not held.
    let (few, _) = coverage(Sampling::Sobol, [share + 0.02, share, 0.0], smooth);
    assert!(few[0] < 20, "{few:?}");
}

#[test]
fn replicates_share_the_samples_out() {
    for samples in [16, 100, 1024, 1_000_003] {
        let mut each = [0; indices::REPLICATES];
        let mut numbers = std::collections::HashSet::new();
        for index in 0..samples {
            let (replicate, number) = place(index, samples);
            each[replicate] += 1;
            assert!(numbers.insert(number), "{index}");
        }
        let (least, most) = (each.iter().min().unwrap(), each.iter().max().unwrap());
        assert!(most - least <= 1, "{each:?}");
    }
    // A scramble of its own: no two replicates share a block of points.
    let block = |index| place(index, 1024).1 / BLOCK;
    assert_eq!((block(127), block(128), block(1023)), (0, 1, 7));
}
