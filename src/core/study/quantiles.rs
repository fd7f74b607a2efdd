//! Quantiles, mean and spread of values as they stream by, in memory that does not grow with them.

use serde::Serialize;
use sketches_ddsketch::{Config, DDSketch};

use super::intervals::ranks;

/// A quantile is off by at most this share of its value: the bound of the DDSketch of C. Masson,
/// J. E. Rim and H. K. Lee, Proc. VLDB 12 (2019) 2195.
pub const RELATIVE_ERROR: f64 = 1e-4;

/// What is smaller counts as zero; below any figure's meaning in SI units.
const LEAST: f64 = 1e-12;

/// Bins for 22 decades, 8 bytes each; figures of one study spread over one or two of them.
const MOST_BINS: u32 = 1 << 18;

/// The values at these shares of the way from the least to the largest, by the nearest rank; `None` of nothing.
pub(super) fn nearest_ranks<const N: usize>(
    mut values: Vec<f64>,
    shares: [f64; N],
) -> Option<[f64; N]> {
    let last = values.len().checked_sub(1)?;
    values.sort_by(f64::total_cmp);
    Some(shares.map(|share| values[(last as f64 * share).round() as usize]))
}

/// Values seen so far.
#[derive(Clone)]
pub struct Sketch {
    sketch: DDSketch,
    count: u64,
    mean: f64,
    /// Sum of squared distances from the mean (B. P. Welford, Technometrics 4 (1962) 419).
    squares: f64,
}

/// A quantile with its interval; an end is null where there are too few values for it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Quantile {
    /// Share of the values below.
    pub share: f64,
    /// The quantile itself, off by [`RELATIVE_ERROR`] at most.
    pub value: f64,
    /// Low end of its interval.
    pub low: Option<f64>,
    /// High end of its interval.
    pub high: Option<f64>,
}

impl Default for Sketch {
    fn default() -> Self {
        Sketch {
            sketch: DDSketch::new(Config::new(RELATIVE_ERROR, MOST_BINS, LEAST)),
            count: 0,
            mean: 0.0,
            squares: 0.0,
        }
    }
}

impl Sketch {
    /// Takes one more value in.
    pub fn add(&mut self, value: f64) {
        self.sketch.add(value);
        self.count += 1;
        let off = value - self.mean;
        self.mean += off / self.count as f64;
        self.squares += off * (value - self.mean);
    }

    /// How many values were taken in.
    pub fn count(&self) -> u64 {
        self.count
    }

    /// Mean, exact but for rounding; `None` of nothing.
    pub fn mean(&self) -> Option<f64> {
        (self.count > 0).then_some(self.mean)
    }

    /// Standard deviation, of two values or more.
    pub fn deviation(&self) -> Option<f64> {
        (self.count > 1).then(|| (self.squares / (self.count - 1) as f64).sqrt())
    }

    /// Smallest value, off by [`RELATIVE_ERROR`] at most; `None` of nothing.
    pub fn least(&self) -> Option<f64> {
        self.ranked(1)
    }

    /// Largest value, off by [`RELATIVE_ERROR`] at most; `None` of nothing.
    pub fn most(&self) -> Option<f64> {
        self.ranked(self.count)
    }

    /// The value of this rank, counted from 1; `None` if there is none.
    fn ranked(&self, rank: u64) -> Option<f64> {
        if rank == 0 || rank > self.count {
            return None;
        }
        // The sketch cuts the rank down to a whole number: ask for the middle between two.
        let share = match (rank, self.count) {
            (1, _) => 0.0,
            (rank, count) if rank == count => 1.0,
            (rank, count) => (rank as f64 - 0.5) / (count - 1) as f64,
        };
        self.sketch.quantile(share).ok().flatten()
    }

    /// The value below which `share` of the values lie, with the interval of independent ones.
    pub fn quantile(&self, share: f64) -> Option<Quantile> {
        self.quantile_among(share, self.count)
    }

    /// The same where all values are worth only `n` independent ones.
    pub fn quantile_among(&self, share: f64, n: u64) -> Option<Quantile> {
        let rank = (share * self.count as f64).ceil().max(1.0) as u64;
        let value = self.ranked(rank)?;
        // One of n stands for as many of all; the middle of those is its rank.
        let each = self.count as f64 / n as f64;
        let end = |rank: u64| self.ranked(((rank as f64 - 0.5) * each).ceil() as u64);
        let [low, high] = ranks(share, n).map(|rank| rank.and_then(end));
        Some(Quantile {
            share,
            value,
            low,
            high,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn closed_form_quantiles_keep_their_bound() {
        let mut sketch = Sketch::default();
        let n = 100_000;
        let mut values: Vec<f64> = (0..n)
            .map(|k| {
                let u = (f64::from(k) * 0.618_033_988_749_895).fract();
                // From -1 to e⁵, zero among them.
                if u < 0.1 {
                    -10.0 * u
                } else if u < 0.2 {
                    0.0
                } else {
                    (5.0 * u).exp()
                }
            })
            .collect();
        values.iter().for_each(|v| sketch.add(*v));
        values.sort_by(f64::total_cmp);
        for share in [0.001, 0.05, 0.15, 0.5, 0.9, 0.99, 1.0] {
            let exact = values[(share * f64::from(n)).ceil() as usize - 1];
            let q = sketch.quantile(share).unwrap();
            let off = (q.value - exact).abs();
            assert!(
                off <= RELATIVE_ERROR * exact.abs() * 1.001,
                "{share}: {off}"
            );
            if share < 1.0 {
                assert!(q.low.unwrap() <= q.value && q.value <= q.high.unwrap());
            }
        }
        let mean = values.iter().sum::<f64>() / f64::from(n);
        let squares: f64 = values.iter().map(|v| (v - mean).powi(2)).sum();
        let deviation = (squares / f64::from(n - 1)).sqrt();
        assert!((sketch.mean().unwrap() - mean).abs() < 1e-9 * mean);
        assert!((sketch.deviation().unwrap() - deviation).abs() < 1e-9 * deviation);
    }

    #[test]
    fn nothing_and_one_value() {
        let mut sketch = Sketch::default();
        assert_eq!(
            (sketch.quantile(0.5), sketch.mean(), sketch.least()),
            (None, None, None)
        );
        sketch.add(2.0);
        let q = sketch.quantile(0.5).unwrap();
        assert_eq!((q.value, q.low, q.high), (2.0, None, None));
        assert_eq!((sketch.deviation(), sketch.most()), (None, Some(2.0)));
    }

    #[test]
    fn memory_does_not_grow_with_the_number() {
        let fill = |n: u32| {
            let mut sketch = Sketch::default();
            (0..n).for_each(|k| sketch.add(1.0 + f64::from(k % 1000) / 1000.0));
            sketch.sketch.length()
        };
        assert_eq!(fill(1000), fill(100_000));
        assert!(fill(1000) < 10_000);
    }
}
