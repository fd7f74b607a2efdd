//! Small probabilities by subset simulation: P(g ≤ 0) for a limit function g of independent standard normal scores.
//!
//! S.-K. Au & J. L. Beck, Probab. Eng. Mech. 16 (2001) 263: P is a product of conditional probabilities of about a tenth,
//! each found among samples that already lie below the level before. Those come from Markov chains of correlated
//! normal steps, whose length is tuned to an acceptance of 0.44 (I. Papaioannou, W. Betz, K. Zwirglmaier & D. Straub,
//! Probab. Eng. Mech. 41 (2015) 89, section 4).

use chacha20::ChaCha8Rng;
use chacha20::rand_core::SeedableRng;

use super::points::{score, uniform};

/// Share of the samples that begin the next level, one in as many.
const ONE_IN: usize = 10;

/// Most levels: beyond 10⁻¹² nothing is told.
const MOST_LEVELS: usize = 12;

/// Acceptance of a chain's steps that is aimed at.
const AIM: f64 = 0.44;

/// Groups of chains after each of which the steps are tuned.
const GROUPS: usize = 10;

/// A sample of the scores and where it lies.
#[derive(Debug, Clone, PartialEq)]
pub struct Sample<T> {
    /// Standard normal scores.
    pub scores: Vec<f64>,
    /// The limit function there.
    pub limit: f64,
    /// What else is known of it.
    pub tag: T,
}

/// What one run found.
#[derive(Debug, Clone, PartialEq)]
pub struct Run<T> {
    /// The probability; 0 where it is too small to be told.
    pub probability: f64,
    /// Evaluations of the limit function.
    pub evaluations: usize,
    /// Samples with g ≤ 0, in equal weights.
    pub failures: Vec<Sample<T>>,
}

/// One run with `samples` a level (at least 100, in tens) in `dimensions` scores; `limit` gives g and what else is known.
///
/// The same seed and stream give the same run.
pub fn run<T: Clone>(
    dimensions: usize,
    samples: usize,
    (seed, stream): (u64, u64),
    mut limit: impl FnMut(&[f64]) -> (f64, T),
) -> Run<T> {
    let samples = samples.max(100) / ONE_IN * ONE_IN;
    let mut draws = Draws::new(seed, stream);
    let mut at = |scores: Vec<f64>| {
        let (limit, tag) = limit(&scores);
        Sample { scores, limit, tag }
    };
    let mut level: Vec<Sample<T>> = (0..samples)
        .map(|_| at(draws.normals(dimensions)))
        .collect();
    let (mut probability, mut evaluations) = (1.0, samples);
    // Of the chains' steps; its logarithm is tuned along.
    let mut scale = 0.6f64;
    for _ in 0..MOST_LEVELS {
        level.sort_by(|a, b| a.limit.total_cmp(&b.limit));
        let failed = level.iter().filter(|sample| sample.limit <= 0.0).count();
        let begin = samples / ONE_IN;
        if failed >= begin {
            level.truncate(failed);
            return Run {
                probability: probability * failed as f64 / samples as f64,
                evaluations,
                failures: level,
            };
        }
        let bound = 0.5 * (level[begin - 1].limit + level[begin].limit);
        probability /= ONE_IN as f64;
        level.truncate(begin);
        draws.shuffle(&mut level);
        let mut next = Vec::with_capacity(samples);
        for (tuned, group) in level.chunks(begin.div_ceil(GROUPS)).enumerate() {
            let mut accepted = 0;
            for start in group {
                accepted += chain(start, bound, scale.min(1.0), &mut draws, &mut at, &mut next);
            }
            let steps = group.len() * (ONE_IN - 1);
            evaluations += steps;
            let off = accepted as f64 / steps as f64 - AIM;
            scale = (scale.ln() + off / ((tuned + 1) as f64).sqrt()).exp();
        }
        level = next;
    }
    Run {
        probability: 0.0,
        evaluations,
        failures: Vec::new(),
    }
}

/// Adds a chain from `start`, itself and one step less than [`ONE_IN`], each to a sample up to `bound` or on the spot; how many
/// steps went anywhere.
fn chain<T: Clone>(
    start: &Sample<T>,
    bound: f64,
    step: f64,
    draws: &mut Draws,
    at: &mut impl FnMut(Vec<f64>) -> Sample<T>,
    samples: &mut Vec<Sample<T>>,
) -> usize {
    let kept = (1.0 - step * step).sqrt();
    let (mut now, mut accepted) = (start.clone(), 0);
    samples.push(now.clone());
    for _ in 1..ONE_IN {
        let mut scores = draws.normals(now.scores.len());
        for (new, old) in scores.iter_mut().zip(&now.scores) {
            *new = kept * old + step * *new;
        }
        let candidate = at(scores);
        if candidate.limit <= bound {
            now = candidate;
            accepted += 1;
        }
        samples.push(now.clone());
    }
    accepted
}

/// Random numbers of one run.
struct Draws(ChaCha8Rng);

impl Draws {
    fn new(seed: u64, number: u64) -> Self {
        let mut stream = ChaCha8Rng::seed_from_u64(seed);
        stream.set_stream(number);
        Draws(stream)
    }

    fn normals(&mut self, n: usize) -> Vec<f64> {
        (0..n).map(|_| score(uniform(&mut self.0))).collect()
    }

    /// Any order as likely as any other (Fisher and Yates), so that no group of chains is all of one kind.
    fn shuffle<T>(&mut self, items: &mut [T]) {
        for last in (1..items.len()).rev() {
            let other = (uniform(&mut self.0) * (last + 1) as f64) as usize;
            items.swap(last, other.min(last));
        }
    }
}

#[cfg(test)]
mod tests {
    use statrs::distribution::{ContinuousCDF, Normal};

    use super::*;
    use crate::study::intervals::mean_of;

    /// Runs of P(z·a ≥ β) = Φ(−β) in ten scores.
    fn linear(beta: f64, seed: u64) -> Vec<f64> {
        let limit = |z: &[f64]| (beta - z.iter().sum::<f64>() / 10f64.sqrt(), ());
        (0..16)
            .map(|k| run(10, 500, (seed, k), limit).probability)
            .collect()
    }

    #[test]
    fn closed_form_the_normal_tail_is_found_and_its_interval_holds() {
        let normal = Normal::standard();
        for beta in [2.0, 3.090_232, 4.753_424] {
            let truth = normal.cdf(-beta);
            let mut inside = 0;
            for seed in 0..20 {
                let found = mean_of(&linear(beta, seed)).unwrap();
                assert!(
                    (0.5..2.0).contains(&(found.share / truth)),
                    "{beta}: {found:?}, not {truth}"
                );
                inside += u32::from((found.low..=found.high).contains(&truth));
            }
            // 95 % intervals: of 20, 16 or more hold the truth with a probability of 0.997.
            assert!(
                inside >= 16,
                "{beta}: {inside} of 20 intervals hold {truth}"
            );
        }
    }

    #[test]
    fn closed_form_two_ways_to_fail_are_both_found() {
        // P(|z₁| ≥ 3.5) = 2·Φ(−3.5).
        let limit = |z: &[f64]| (3.5 - z[0].abs(), z[0] > 0.0);
        let runs: Vec<Run<bool>> = (0..16).map(|k| run(5, 500, (3, k), limit)).collect();
        let share = runs.iter().map(|run| run.probability).sum::<f64>() / 16.0;
        let truth = 2.0 * Normal::standard().cdf(-3.5);
        assert!(
            (0.6..1.6).contains(&(share / truth)),
            "{share}, not {truth}"
        );
        let up = runs
            .iter()
            .flat_map(|run| &run.failures)
            .filter(|f| f.tag)
            .count();
        let all = runs.iter().map(|run| run.failures.len()).sum::<usize>();
        assert!(
            (0.2..0.8).contains(&(up as f64 / all as f64)),
            "{up} of {all}"
        );
    }

    #[test]
    fn what_never_fails_has_no_probability() {
        let never = run(3, 100, (1, 1), |z: &[f64]| (1.0 + z[0].exp(), ()));
        assert_eq!((never.probability, never.failures.len()), (0.0, 0));
    }
}
