//! Posteriors that have a closed form.

use super::*;
use crate::study::points::score;

const EFFORT: Effort = Effort {
    particles: 128,
    seed: 3,
};

/// Mean and variance of a score.
fn moments(found: &Sampled, k: usize) -> (f64, f64) {
    let values: Vec<f64> = found.particles.iter().map(|p| p.scores[k]).collect();
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    (
        mean,
        values.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / n,
    )
}

/// A Gaussian measurement of the sum of the first two of eight scores.
fn of_sum(measured: f64, deviation: f64) -> impl Likelihood {
    move |_: &mut Workspace, z: &[f64], _| -0.5 * ((z[0] + z[1] - measured) / deviation).powi(2)
}

#[test]
fn closed_form_a_measured_sum_of_two_normal_scores() {
    // Conjugate normal: the sum has variance 2 before; mean 2·m/(2 + σ²) and variance 2σ²/(2 + σ²) after; the
    // difference stays as it was; evidence √(σ²/(2 + σ²))·exp(−m²/2(2 + σ²)).
    let (m, s): (f64, f64) = (2.5, 0.3);
    let found = sample(8, EFFORT, None, of_sum(m, s), |_| true).unwrap();
    let sums: Vec<f64> = found
        .particles
        .iter()
        .map(|p| p.scores[0] + p.scores[1])
        .collect();
    let n = sums.len() as f64;
    let mean = sums.iter().sum::<f64>() / n;
    let variance = sums.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / n;
    let all = 2.0 + s * s;
    // Five standard errors of 512 independent samples.
    assert!((mean - 2.0 * m / all).abs() < 5.0 * s / n.sqrt(), "{mean}");
    assert!(
        (variance / (2.0 * s * s / all) - 1.0).abs() < 0.35,
        "{variance}"
    );
    let (mean, variance) = moments(&found, 4);
    assert!(
        mean.abs() < 0.25 && (variance - 1.0).abs() < 0.35,
        "{mean} {variance}"
    );
    let difference: Vec<f64> = found
        .particles
        .iter()
        .map(|p| p.scores[0] - p.scores[1])
        .collect();
    let variance = difference.iter().map(|v| v * v).sum::<f64>() / n;
    assert!((variance / 2.0 - 1.0).abs() < 0.35, "{variance}");
    let evidence = 0.5 * (s * s / all).ln() - 0.5 * m * m / all;
    assert!(
        (found.evidence - evidence).abs() < 0.3,
        "{} {evidence}",
        found.evidence
    );
    assert!(found.r_hat < 1.1 && found.effective > 50.0, "{found:?}");
}

#[test]
fn same_bits_for_any_number_of_threads() {
    let run = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build();
        pool.unwrap()
            .install(|| sample(4, EFFORT, None, of_sum(1.0, 0.2), |_| true).unwrap())
    };
    assert!(run(1) == run(3));
    let other = Effort { seed: 4, ..EFFORT };
    assert!(run(1) != sample(4, other, None, of_sum(1.0, 0.2), |_| true).unwrap());
}

#[test]
fn nothing_to_sample_is_told() {
    let none = sample(
        2,
        EFFORT,
        None,
        |_: &mut Workspace, _: &[f64], _| f64::NEG_INFINITY,
        |_| true,
    );
    assert_eq!(none, Err(NoSample::Impossible));
    assert_eq!(
        sample(
            2,
            EFFORT,
            None,
            |_: &mut Workspace, _: &[f64], _| 0.0,
            |_| false
        ),
        Err(NoSample::Stopped)
    );
    // Half of the prior is shut out.
    let half = |_: &mut Workspace, z: &[f64], _| if z[0] > 0.0 { 0.0 } else { f64::NEG_INFINITY };
    let found = sample(2, EFFORT, None, half, |_| true).unwrap();
    assert!(found.particles.iter().all(|p| p.scores[0] > 0.0));
    assert!(
        (found.evidence - 0.5_f64.ln()).abs() < 0.05,
        "{}",
        found.evidence
    );
}

#[test]
fn islands_that_disagree_are_told() {
    let mut found = sample(2, EFFORT, None, of_sum(0.0, 1.0), |_| true)
        .unwrap()
        .particles;
    let (effective, r_hat) = agreement(&found);
    found[..128].iter_mut().for_each(|p| p.scores[0] += 3.0);
    let (fewer, worse) = agreement(&found);
    assert!(fewer < 0.1 * effective && worse > 1.5 && r_hat < 1.1);
}

#[test]
fn a_run_that_was_ended_goes_on_to_the_same_bits() {
    let whole = sample(4, EFFORT, None, of_sum(1.0, 0.2), |_| true).unwrap();
    for rounds in [1, 4, 5, 13] {
        let mut kept = String::new();
        let ended = sample(4, EFFORT, None, of_sum(1.0, 0.2), |way| {
            kept = serde_json::to_string(way).unwrap();
            way.rounds() < rounds
        });
        assert_eq!(ended, Err(NoSample::Stopped));
        let way: Way = serde_json::from_str(&kept).unwrap();
        assert!(way.rounds() == rounds && way.suits(4, EFFORT) && !way.is_there());
        assert!(!way.suits(5, EFFORT) && !way.suits(4, Effort { seed: 4, ..EFFORT }));
        let gone_on = sample(4, EFFORT, Some(way), of_sum(1.0, 0.2), |_| true);
        assert!(gone_on.unwrap() == whole, "{rounds}");
    }
}

#[test]
fn a_sample_without_likelihood_stands_a_file() {
    let one = Particle {
        scores: vec![0.1, -2.5],
        fit: f64::NEG_INFINITY,
    };
    let text = serde_json::to_string(&one).unwrap();
    assert_eq!(serde_json::from_str::<Particle>(&text).unwrap(), one);
}

#[test]
fn a_likelihood_that_gives_up_early_changes_nothing() {
    let gave_up = std::sync::atomic::AtomicUsize::new(0);
    let whole = of_sum(1.0, 0.2);
    let hasty = |work: &mut Workspace, z: &[f64], needed: f64| {
        let fit = whole(work, z, f64::NEG_INFINITY);
        if fit >= needed {
            return fit;
        }
        gave_up.fetch_add(1, std::sync::atomic::Ordering::Relaxed);
        f64::NEG_INFINITY
    };
    let found = sample(4, EFFORT, None, hasty, |_| true).unwrap();
    assert!(found == sample(4, EFFORT, None, of_sum(1.0, 0.2), |_| true).unwrap());
    assert!(gave_up.into_inner() > 500);
}

/// Six measurements of a number known to 10 %, with an unknown scatter: what a rig's arc times say, without the rig.
fn of_six(rig: u64) -> impl Likelihood {
    let scatter = |z: f64| 0.06 * (0.5 * z).exp();
    let mut random = ChaCha8Rng::seed_from_u64(rig);
    let mut drawn = || score(uniform(&mut random));
    let (number, wide) = (0.1 * drawn(), scatter(drawn()));
    let seen: [f64; 6] = std::array::from_fn(|_| number + wide * drawn());
    move |_: &mut Workspace, z: &[f64], _| {
        let wide = scatter(z[1]);
        let log = |x: &f64| -0.5 * ((x - 0.1 * z[0]) / wide).powi(2) - wide.ln();
        seen.iter().map(log).sum()
    }
}

#[test]
fn unknowns_that_nothing_is_said_of_do_not_narrow_the_others() {
    let rigs = 30;
    let variances = |dimensions: usize| -> [f64; 2] {
        let mut sums = [0.0; 2];
        for seed in 0..rigs {
            let effort = Effort {
                particles: 64,
                seed,
            };
            let found = sample(dimensions, effort, None, of_six(seed), |_| true).unwrap();
            for (k, sum) in sums.iter_mut().enumerate() {
                *sum += moments(&found, k).1 / rigs as f64;
            }
        }
        sums
    };
    let (few, many) = (variances(2), variances(38));
    // Particles that had a share in where they were led fell short by a fifth.
    for k in 0..2 {
        let ratio = many[k] / few[k];
        assert!((ratio - 1.0).abs() < 0.1, "{k}: {ratio}");
    }
}
