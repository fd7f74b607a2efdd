use std::f64::consts::PI;

use super::indices::Values;
use super::*;
use crate::case::Case;
use crate::case::keys::find as key;
use crate::case::tolerance::{Amount, Shape, Spread, Tolerance};
use crate::cycle::fire::Settings;
use crate::study::points::{Points, Sampling};
use crate::study::scatter::draw::Draw;

/// Values of a function of points of the unit cube.
fn values(n: usize, keys: usize, seed: u64, f: impl Fn(&[f64]) -> f64) -> Values {
    let points = Points {
        sampling: Sampling::Sobol,
        seed,
    };
    let mut out = Values {
        mixed: vec![Vec::new(); keys],
        ..Values::default()
    };
    for index in 0..n {
        let mut point = vec![0.0; 2 * keys];
        points.fill(index, &mut point);
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
    let found = values(1 << 14, 3, 1, ishigami(7.0, 0.1))
        .indices(1)
        .unwrap();
    for ((first, total), found) in published.into_iter().zip(&found) {
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
    // The function with another constant is told apart: the check can fail.
    let other = values(1 << 14, 3, 1, ishigami(7.0, 0.12))
        .indices(1)
        .unwrap();
    assert!((other[0].first.value - 0.3139).abs() > 0.02, "{other:?}");
}

#[test]
fn closed_form_indices_of_a_sum_and_of_a_product() {
    // f = Σ c x: the share of each is c²/Σc², in first order and in all.
    let found = values(4096, 3, 2, |u| u[0] + 2.0 * u[1] + 3.0 * u[2])
        .indices(1)
        .unwrap();
    for (k, found) in found.iter().enumerate() {
        let share = ((k + 1) as f64).powi(2) / 14.0;
        assert!((found.first.value - share).abs() < 0.01, "{found:?}");
        assert!((found.total.value - share).abs() < 0.01, "{found:?}");
    }
    // f = (x − ½)(y − ½): all of it is interaction.
    let found = values(4096, 2, 2, |u| (u[0] - 0.5) * (u[1] - 0.5))
        .indices(1)
        .unwrap();
    for found in found {
        assert!(found.first.value.abs() < 0.02, "{found:?}");
        assert!((found.total.value - 1.0).abs() < 0.02, "{found:?}");
    }
    assert_eq!(values(64, 2, 2, |_| 0.1).indices(1), None);
}

#[test]
fn closed_form_a_study_of_the_stored_energy() {
    // ½CV² with small independent relative spreads: shares s_C² and (2 s_V)².
    let base = Case {
        stud: crate::case::model::Stud {
            bolted: Some(1e-3),
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
        points: Points {
            sampling: Sampling::Sobol,
            seed: 1,
        },
        shots: 512,
        settings: Settings::default(),
    };
    let figures = ["stored_energy_J", "fill_ratio", "loop_resistance_ohm"];
    let run = || {
        let mut collected = Collected::new(&figures, 3);
        study
            .samples(&figures)
            .for_each(|sample| collected.take(&sample));
        collected.found(1)
    };
    let found = run();
    let energy = found[0].indices.as_ref().unwrap();
    for (key, share) in [(0, 0.5), (1, 0.5), (2, 0.0)] {
        assert!((energy[key].total.value - share).abs() < 0.03, "{energy:?}");
    }
    let mean = found[0].mean.unwrap();
    assert!((mean / (0.5 * 72e-3 * 112.0f64.powi(2)) - 1.0).abs() < 1e-3);
    // A short has no fill, and its resistance hangs on the lead alone.
    assert_eq!((found[1].samples, &found[1].indices), (0, &None));
    let resistance = found[2].indices.as_ref().unwrap();
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
    first_half: Vec<f64>,
    total: Vec<f64>,
    total_half: Vec<f64>,
}

#[test]
fn agrees_with_salib() {
    let text = include_str!("../../../tests/reference/sensitivity.json");
    let r: Reference = serde_json::from_str(text).unwrap();
    let values = Values {
        a: r.a,
        b: r.b,
        mixed: r.mixed,
    };
    let found = values.indices(1).unwrap();
    for (k, found) in found.iter().enumerate() {
        // The same estimators: rounding alone.
        assert!((found.first.value - r.first[k]).abs() < 1e-10, "{found:?}");
        assert!((found.total.value - r.total[k]).abs() < 1e-10, "{found:?}");
        // Intervals hang on the resampling; SALib's is 1.96 deviations of a thousand of them.
        for (index, half) in [
            (found.first, r.first_half[k]),
            (found.total, r.total_half[k]),
        ] {
            let own = 0.5 * (index.high - index.low);
            assert!((own - half).abs() <= 0.12 * half + 1e-12, "{own} {half}");
        }
    }
}
