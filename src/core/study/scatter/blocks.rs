//! Shares among points that are spread evenly: their intervals from the scatter of blocks.
//!
//! Points that follow each other in a scrambled Sobol sequence cover the cube more evenly than independent ones, so a share varies
//! less from block to block than Wilson's interval takes for granted. Blocks are negatively correlated if at all, which makes the
//! interval too wide rather than too narrow (A. B. Owen, Monte Carlo theory, methods and examples (2013), sections 17.2
//! and 17.5).

use statrs::distribution::{ContinuousCDF, StudentsT};

use crate::study::intervals::{CONFIDENCE, Share};

/// Shots of a block: a power of two, as the points want.
const SIZE: u64 = 512;

/// Fewest blocks whose scatter is told.
const FEWEST: u64 = 8;

/// Fewest shots on either side of a share for its scatter to be like a normal one.
const SIDE: u64 = 10;

/// How often something came, block by block.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Blocks {
    size: u64,
    /// Blocks are whole boxes, whose studs have much in common.
    boxed: bool,
    shots: u64,
    count: u64,
    begun: u64,
    blocks: u64,
    mean: f64,
    squares: f64,
}

impl Blocks {
    /// Of single shots, or of studs in boxes of that many.
    pub fn new(batch: Option<usize>) -> Blocks {
        let whole = batch.map_or(1, |batch| batch.max(1) as u64);
        Blocks {
            size: whole * SIZE.div_ceil(whole),
            boxed: batch.is_some(),
            shots: 0,
            count: 0,
            begun: 0,
            blocks: 0,
            mean: 0.0,
            squares: 0.0,
        }
    }

    /// Takes the next shot.
    pub fn take(&mut self, came: bool) {
        self.shots += 1;
        self.count += u64::from(came);
        self.begun += u64::from(came);
        if self.shots.is_multiple_of(self.size) {
            let share = self.begun as f64 / self.size as f64;
            self.begun = 0;
            self.blocks += 1;
            let off = share - self.mean;
            self.mean += off / self.blocks as f64;
            self.squares += off * (share - self.mean);
        }
    }

    /// The share with the interval of its blocks. Where they are too few, or it came or failed too rarely: of boxes, as if all
    /// studs of a box were alike; `None` of single shots.
    pub fn share(&self) -> Option<Share> {
        let both = self.count.min(self.shots - self.count);
        if self.blocks < FEWEST || both < SIDE {
            let alike = || Share::among(self.count, self.shots, self.blocks.max(1) as f64);
            return (self.boxed && self.shots > 0).then(alike);
        }
        let n = self.blocks as f64;
        let t = StudentsT::new(0.0, 1.0, n - 1.0).ok()?;
        let half = t.inverse_cdf(0.5 + 0.5 * CONFIDENCE) * (self.squares / (n * (n - 1.0))).sqrt();
        let share = self.count as f64 / self.shots as f64;
        Some(Share {
            count: self.count,
            share,
            low: (share - half).max(0.0),
            high: (share + half).min(1.0),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::study::points::{Points, Sampling};

    /// Of 200 studies of 8192 shots: how many intervals hold the truth, and their mean width over Wilson's.
    fn coverage(truth: f64, came: impl Fn(&[f64; 6]) -> bool) -> (u32, f64) {
        let (mut inside, mut width) = (0, 0.0);
        for seed in 0..200 {
            let points = Points {
                sampling: Sampling::Sobol,
                seed,
            };
            let mut blocks = Blocks::new(None);
            for k in 0..8192 {
                let mut point = [0.0; 6];
                points.fill(k, &mut point);
                blocks.take(came(&point));
            }
            let found = blocks.share().unwrap();
            let wilson = Share::of(found.count, 8192).unwrap();
            inside += u32::from((found.low..=found.high).contains(&truth));
            width += (found.high - found.low) / (wilson.high - wilson.low) / 200.0;
        }
        (inside, width)
    }

    #[test]
    fn closed_form_intervals_hold_the_truth_and_are_narrower_than_wilsons() {
        // P(x₁ + x₂ ≤ s) = s²/2, and P(x₁·x₂ ≤ p) = p·(1 − ln p).
        for (truth, (inside, width)) in [
            (0.32, coverage(0.32, |x| x[0] + x[1] <= 0.8)),
            (0.03, coverage(0.03, |x| x[0] + x[1] <= 0.06f64.sqrt())),
            (0.1, coverage(0.1, |x| x[2] * x[3] <= 0.020_451_07)),
        ] {
            // 95 % of 200, less four standard errors.
            assert!(inside >= 178, "{truth}: {inside} of 200");
            assert!(width < 0.75, "{truth}: {width} of Wilson's");
        }
    }

    #[test]
    fn little_is_left_to_wilson() {
        let mut blocks = Blocks::new(None);
        (0..8192).for_each(|k| blocks.take(k < 5));
        assert_eq!(blocks.share(), None);
        let mut blocks = Blocks::new(None);
        (0..512).for_each(|k| blocks.take(k % 2 == 0));
        assert_eq!(blocks.share(), None);
    }
}
