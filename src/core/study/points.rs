//! Points of the unit cube: of a shot's number and the seed alone, so that any split of a study
//! gives the same shots.

use chacha20::ChaCha8Rng;
use chacha20::rand_core::{Rng, SeedableRng};
use sobol_burley::{NUM_DIMENSIONS, sample};
use statrs::distribution::{ContinuousCDF, Normal};

/// How the points lie.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sampling {
    /// Points of a Sobol sequence, Owen-scrambled by hash (B. Burley, J. Comput. Graph. Tech. 9
    /// (2020) 4, 1): evenly spread in every projection. Each [`BLOCK`] shots take a scramble of
    /// their own.
    Sobol,
    /// Independent points: the stream of the shot's number of ChaCha8.
    Random,
}

impl Sampling {
    /// Word in results: `sobol`, `random`.
    pub fn name(self) -> &'static str {
        match self {
            Sampling::Sobol => "sobol",
            Sampling::Random => "random",
        }
    }

    /// In words, for people.
    pub fn words(self) -> &'static str {
        match self {
            Sampling::Sobol => "Sobol points",
            Sampling::Random => "independent samples",
        }
    }
}

/// Points of one scrambled sequence.
pub const BLOCK: usize = 1 << 16;

/// Most dimensions of a Sobol point.
pub const MOST_SOBOL: usize = NUM_DIMENSIONS as usize;

/// A sequence of points in a cube of any number of dimensions.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Points {
    /// How they lie.
    pub sampling: Sampling,
    /// Another seed gives other points; the same, the same ones.
    pub seed: u64,
}

impl Points {
    /// Point number `index`, a coordinate for each place of `out`, all within (0, 1).
    pub fn fill(self, index: usize, out: &mut [f64]) {
        let mut stream = ChaCha8Rng::seed_from_u64(self.seed);
        match self.sampling {
            Sampling::Sobol => {
                stream.set_stream((index / BLOCK) as u64);
                let seed = stream.next_u32();
                let within = (index % BLOCK) as u32;
                for (dimension, coordinate) in out.iter_mut().enumerate() {
                    // Multiples of 2⁻²³; the middle of the cell is never 0 nor 1.
                    let low = f64::from(sample(within, dimension as u32, seed));
                    *coordinate = low + 0.5 * f64::from(f32::EPSILON);
                }
            }
            Sampling::Random => {
                stream.set_stream(index as u64);
                out.iter_mut()
                    .for_each(|coordinate| *coordinate = uniform(&mut stream));
            }
        }
    }
}

impl Points {
    /// The same point as normal scores, one for each of `dimensions`.
    pub fn scores(self, index: usize, dimensions: usize) -> Vec<f64> {
        let mut scores = vec![0.0; dimensions];
        self.fill(index, &mut scores);
        scores.iter_mut().for_each(|u| *u = score(*u));
        scores
    }
}

/// The next number of a stream, within (0, 1).
pub(crate) fn uniform(stream: &mut ChaCha8Rng) -> f64 {
    let bits = stream.next_u64() >> 11;
    (bits as f64 + 0.5) * 2f64.powi(-53)
}

/// The normal score below which the share `u` lies.
pub fn score(u: f64) -> f64 {
    Normal::standard().inverse_cdf(u)
}

/// The share below a normal score, within (0, 1).
pub fn share(score: f64) -> f64 {
    let share = Normal::standard().cdf(score);
    share.clamp(f64::MIN_POSITIVE, 1.0 - f64::EPSILON)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn points(sampling: Sampling, seed: u64, from: usize, n: usize) -> Vec<[f64; 5]> {
        let points = Points { sampling, seed };
        (from..from + n)
            .map(|k| {
                let mut out = [0.0; 5];
                points.fill(k, &mut out);
                out
            })
            .collect()
    }

    #[test]
    fn a_point_hangs_on_seed_and_number_alone() {
        for sampling in [Sampling::Sobol, Sampling::Random] {
            let all = points(sampling, 7, 0, 100);
            assert_eq!(points(sampling, 7, 60, 40), all[60..]);
            assert_ne!(points(sampling, 8, 0, 100), all);
            let inside = |x: &f64| *x > 0.0 && *x < 1.0;
            assert!(all.iter().flatten().all(inside));
        }
    }

    #[test]
    fn closed_form_each_stretch_of_a_sobol_axis_holds_its_share() {
        // A (t, m, s)-net: of 2^k points one falls in each of 2^k equal stretches of each axis.
        for block in [0, 1, 5] {
            let points = points(Sampling::Sobol, 3, block * BLOCK, 256);
            for axis in 0..5 {
                let mut seen = [0; 256];
                points
                    .iter()
                    .for_each(|p| seen[(p[axis] * 256.0) as usize] += 1);
                assert!(seen.iter().all(|n| *n == 1), "block {block}, axis {axis}");
            }
        }
        // Independent points do not do that: the check can fail.
        let mut seen = [0; 256];
        for p in points(Sampling::Random, 3, 0, 256) {
            seen[(p[0] * 256.0) as usize] += 1;
        }
        assert!(seen.iter().any(|n| *n != 1));
    }

    #[test]
    fn closed_form_the_mean_of_a_product_comes_faster_with_sobol_points() {
        // ∫Π(2x) = 1 over the cube.
        let error = |sampling| {
            let n = 4096;
            let sum: f64 = points(sampling, 11, 0, n)
                .iter()
                .map(|p| p.iter().map(|x| 2.0 * x).product::<f64>())
                .sum();
            (sum / n as f64 - 1.0).abs()
        };
        let (sobol, random) = (error(Sampling::Sobol), error(Sampling::Random));
        assert!(sobol < 3e-3, "{sobol}");
        assert!(sobol < random, "{sobol} {random}");
    }
}
