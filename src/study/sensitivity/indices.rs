//! First-order and total Sobol indices from the values of a function at Saltelli's points.

use rand_chacha::ChaCha8Rng;
use rand_chacha::rand_core::{Rng, SeedableRng};
use rayon::prelude::*;
use serde::Serialize;

use crate::study::intervals::CONFIDENCE;

/// Resamplings behind each interval.
pub const RESAMPLINGS: usize = 1000;

/// An index with its interval.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Index {
    pub value: f64,
    pub low: f64,
    pub high: f64,
}

/// Indices of one key.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Indices {
    /// Share of the variance that goes when this key alone is held.
    pub first: Index,
    /// Share that stays when all but this key are held.
    pub total: Index,
}

/// Values of a function at the points of two samples A and B, and at those of A with one key's
/// value taken from B; a line a sample.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Values {
    pub a: Vec<f64>,
    pub b: Vec<f64>,
    /// A list for each key.
    pub mixed: Vec<Vec<f64>>,
}

impl Values {
    /// Indices of each key, or `None` where the values do not vary.
    ///
    /// First order: A. Saltelli et al., Comput. Phys. Commun. 181 (2010) 259, table 2 (b),
    /// S = mean(f_B·(f_AB − f_A))/V; total: M. J. W. Jansen, Comput. Phys. Commun. 117 (1999) 35,
    /// S_T = mean((f_A − f_AB)²)/2V. V is the variance of A and B together; the mean of all
    /// values is taken off first, which leaves the expectation as it is and lessens its scatter. Intervals:
    /// percentiles of the indices of samples drawn anew from the lines, with replacement (B. Efron
    /// and R. J. Tibshirani, An Introduction to the Bootstrap (1993), chapter 13).
    pub fn indices(&self, seed: u64) -> Option<Vec<Indices>> {
        let all: Vec<u32> = (0..self.a.len() as u32).collect();
        let middle = self.mean();
        let found = self.estimate(&all, middle)?;
        let again: Vec<Vec<[f64; 2]>> = (0..RESAMPLINGS as u64)
            .into_par_iter()
            .filter_map(|k| self.estimate(&drawn(seed, k, all.len()), middle))
            .collect();
        let interval = |key: usize, which: usize| {
            let mut all: Vec<f64> = again.iter().map(|e| e[key][which]).collect();
            all.sort_by(f64::total_cmp);
            let out = 0.5 * (1.0 - CONFIDENCE);
            let at = |share: f64| {
                let rank = (share * all.len() as f64).ceil() as usize;
                all[rank.clamp(1, all.len()) - 1]
            };
            Index {
                value: found[key][which],
                low: at(out),
                high: at(1.0 - out),
            }
        };
        let keys = 0..self.mixed.len();
        let indices = keys.map(|key| Indices {
            first: interval(key, 0),
            total: interval(key, 1),
        });
        (!again.is_empty()).then(|| indices.collect())
    }

    /// Mean of all values.
    fn mean(&self) -> f64 {
        let lists = [&self.a, &self.b].into_iter().chain(&self.mixed);
        let number = lists.clone().map(Vec::len).sum::<usize>();
        lists.flatten().sum::<f64>() / number as f64
    }

    /// Both indices of each key from these lines; `middle` is taken off the values.
    fn estimate(&self, lines: &[u32], middle: f64) -> Option<Vec<[f64; 2]>> {
        let n = lines.len() as f64;
        let pick = |values: &[f64]| -> Vec<f64> {
            lines.iter().map(|line| values[*line as usize]).collect()
        };
        let (a, b) = (pick(&self.a), pick(&self.b));
        let both = || a.iter().chain(&b);
        let mean = both().sum::<f64>() / (2.0 * n);
        let variance = both().map(|v| (v - mean).powi(2)).sum::<f64>() / (2.0 * n);
        // Rounding of equal values is no variance.
        if variance.is_nan() || variance <= 1e-24 * mean * mean {
            return None;
        }
        let key = |mixed: &Vec<f64>| {
            let (mut first, mut total) = (0.0, 0.0);
            for (k, line) in lines.iter().enumerate() {
                let moved = mixed[*line as usize] - a[k];
                first += (b[k] - middle) * moved;
                total += moved * moved;
            }
            [first / (n * variance), total / (2.0 * n * variance)]
        };
        Some(self.mixed.iter().map(key).collect())
    }
}

/// Lines of resampling number `k`.
fn drawn(seed: u64, k: u64, lines: usize) -> Vec<u32> {
    let mut stream = ChaCha8Rng::seed_from_u64(seed);
    stream.set_stream(k);
    // The upper half of a product spreads 2³² values over the lines evenly to one part in 2³².
    let line = |_| ((u64::from(stream.next_u32()) * lines as u64) >> 32) as u32;
    (0..lines).map(line).collect()
}
