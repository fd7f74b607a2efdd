//! First-order and total Sobol indices from the values of a function at Saltelli's points.

use serde::Serialize;
use statrs::distribution::{ContinuousCDF, StudentsT};

use crate::study::intervals::CONFIDENCE;

/// Independent replicates behind each interval.
pub const REPLICATES: usize = 8;

/// An index with its interval.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Index {
    /// Best estimate; below 0 or above 1 by scatter only.
    pub value: f64,
    /// Low end of its interval, with [`CONFIDENCE`]; -∞ from one replicate.
    pub low: f64,
    /// High end of its interval; ∞ from one replicate.
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

/// Indices of all keys.
#[derive(Debug, Clone, PartialEq)]
pub struct Shares {
    /// In the order of the keys drawn.
    pub keys: Vec<Indices>,
    /// What the first-order indices leave of 1: what keys bring about together only.
    pub interaction: Index,
}

/// Values of a function at the points of two samples A and B, and at those of A with one key's
/// value taken from B; a line a sample.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Values {
    /// At the points of A.
    pub a: Vec<f64>,
    /// At the points of B.
    pub b: Vec<f64>,
    /// A list for each key.
    pub mixed: Vec<Vec<f64>>,
    /// The replicate each line belongs to: their points are independent of each other.
    pub replicate: Vec<usize>,
}

/// Sums over the lines of one replicate: the numerators of each key's indices, and n·V.
#[derive(Clone)]
struct Sums {
    lines: usize,
    first: Vec<f64>,
    total: Vec<f64>,
    variance: f64,
}

impl Values {
    /// Indices of each key, or `None` where the values do not vary.
    ///
    /// First order: A. Saltelli et al., Comput. Phys. Commun. 181 (2010) 259, table 2 (b),
    /// S = mean(f_B·(f_AB − f_A))/V; total: M. J. W. Jansen, Comput. Phys. Commun. 117 (1999) 35,
    /// S_T = mean((f_A − f_AB)²)/2V. V is the variance of A and B together; the mean of all
    /// values is taken off first, which leaves the expectation as it is and lessens its scatter. Intervals:
    /// Student's, from the scatter of independent replicates (A. B. Owen, Monte Carlo theory, methods and
    /// examples (2013), section 17.2), each index a ratio of their sums (W. G. Cochran, Sampling Techniques
    /// (1977), section 6.3).
    pub fn indices(&self) -> Option<Shares> {
        let replicates = self.sums()?;
        let whole: f64 = replicates.iter().map(|r| r.variance).sum();
        let share = |of: &dyn Fn(&Sums) -> f64| ratio(&replicates, whole, of);
        let keys = (0..self.mixed.len()).map(|key| Indices {
            first: share(&|r| r.first[key]),
            total: share(&|r| r.total[key]),
        });
        Some(Shares {
            keys: keys.collect(),
            interaction: share(&|r| r.variance - r.first.iter().sum::<f64>()),
        })
    }

    /// Lines whose values are not all the same.
    pub fn lines_that_differ(&self) -> usize {
        let differs = |k: &usize| {
            let a = self.a[*k];
            self.b[*k] != a || self.mixed.iter().any(|list| list[*k] != a)
        };
        (0..self.a.len()).filter(differs).count()
    }

    /// Mean of all values.
    fn middle(&self) -> f64 {
        let lists = [&self.a, &self.b].into_iter().chain(&self.mixed);
        let number = lists.clone().map(Vec::len).sum::<usize>();
        lists.flatten().sum::<f64>() / number as f64
    }

    /// The sums of each replicate; `None` where the values do not vary.
    fn sums(&self) -> Option<Vec<Sums>> {
        let middle = self.middle();
        let n = self.a.len() as f64;
        let mean = self.a.iter().chain(&self.b).sum::<f64>() / (2.0 * n);
        let empty = Sums {
            lines: 0,
            first: vec![0.0; self.mixed.len()],
            total: vec![0.0; self.mixed.len()],
            variance: 0.0,
        };
        let number = self.replicate.iter().max().map_or(0, |k| k + 1);
        let mut out = vec![empty; number];
        for (line, replicate) in self.replicate.iter().enumerate() {
            let sums = &mut out[*replicate];
            let (a, b) = (self.a[line], self.b[line]);
            sums.lines += 1;
            sums.variance += 0.5 * ((a - mean).powi(2) + (b - mean).powi(2));
            for (key, mixed) in self.mixed.iter().enumerate() {
                let moved = mixed[line] - a;
                sums.first[key] += (b - middle) * moved;
                sums.total[key] += 0.5 * moved * moved;
            }
        }
        // One whose samples were all left out says nothing.
        out.retain(|r| r.lines > 0);
        let whole: f64 = out.iter().map(|r| r.variance).sum();
        // Rounding of equal values is no variance.
        (whole > 1e-24 * mean * mean * n).then_some(out)
    }
}

/// Share of the variance that the sums `of` the replicates are, with its interval; without end where there is one
/// replicate only.
fn ratio(replicates: &[Sums], whole: f64, of: &dyn Fn(&Sums) -> f64) -> Index {
    let value = replicates.iter().map(of).sum::<f64>() / whole;
    let off = |r: &Sums| (of(r) - value * r.variance).powi(2);
    let squares = replicates.iter().map(off).sum::<f64>();
    let n = replicates.len() as f64;
    let half = match StudentsT::new(0.0, 1.0, n - 1.0) {
        Ok(student) => {
            let quantile = student.inverse_cdf(0.5 + 0.5 * CONFIDENCE);
            quantile * (n / (n - 1.0) * squares).sqrt() / whole
        }
        Err(_) => f64::INFINITY,
    };
    Index {
        value,
        low: value - half,
        high: value + half,
    }
}
