//! Shares among shots that are not independent: their intervals from the scatter of blocks.
//!
//! Points that follow each other in a scrambled Sobol sequence cover the cube more evenly than independent ones, so a share varies
//! less from block to block than Wilson's interval takes for granted. Blocks are negatively correlated if at all, which makes the
//! interval too wide rather than too narrow (A. B. Owen, Monte Carlo theory, methods and examples (2013), sections 17.2
//! and 17.5). Studs of a box have much in common, boxes nothing: there a block is a box. Blocks differ in shots where samples make no
//! case, so a share is a ratio (W. G. Cochran, Sampling Techniques, 3rd ed. (1977), section 6.3).

use statrs::distribution::{ContinuousCDF, Normal, StudentsT};

use crate::study::intervals::{CONFIDENCE, Share};

/// Samples of a block of single shots: a power of two, as the points want.
const SIZE: u64 = 512;

/// Fewest blocks whose scatter is told.
const FEWEST: u64 = 8;

/// Fewest shots on either side of a share for its scatter to be like a normal one.
const SIDE: u64 = 10;

/// How often something came, block by block.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Blocks {
    size: u64,
    /// Blocks are boxes, whose studs have much in common.
    boxed: bool,
    samples: u64,
    all: Tally,
    begun: Tally,
    /// Number and sum of the full blocks, and what their tallies squared add up to: shots, product, those it came in.
    blocks: u64,
    full: Tally,
    squares: [u128; 3],
}

/// Shots, and those it came in.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
struct Tally {
    shots: u64,
    count: u64,
}

impl Tally {
    fn add(&mut self, other: Tally) {
        self.shots += other.shots;
        self.count += other.count;
    }

    fn share(self) -> f64 {
        self.count as f64 / self.shots as f64
    }
}

impl Blocks {
    /// Of single shots, or of studs in boxes of that many.
    pub fn new(batch: Option<usize>) -> Blocks {
        Blocks {
            size: batch.map_or(SIZE, |batch| batch.max(1) as u64),
            boxed: batch.is_some(),
            samples: 0,
            all: Tally::default(),
            begun: Tally::default(),
            blocks: 0,
            full: Tally::default(),
            squares: [0; 3],
        }
    }

    /// Takes the next sample: whether it came, or `None` where that cannot be told.
    pub fn take(&mut self, came: Option<bool>) {
        let one = Tally {
            shots: u64::from(came.is_some()),
            count: u64::from(came == Some(true)),
        };
        self.samples += 1;
        self.all.add(one);
        self.begun.add(one);
        if self.samples.is_multiple_of(self.size) {
            let block = std::mem::take(&mut self.begun);
            let [shots, count] = [block.shots, block.count].map(u128::from);
            let squares = [shots * shots, shots * count, count * count];
            std::iter::zip(&mut self.squares, squares).for_each(|(sum, one)| *sum += one);
            self.blocks += 1;
            self.full.add(block);
        }
    }

    /// Samples taken.
    pub fn samples(&self) -> u64 {
        self.samples
    }

    /// The share with the interval of its blocks. Where they are too few, or it came or failed too rarely: of boxes, as if all
    /// studs of a box were alike; `None` of single shots.
    pub fn share(&self) -> Option<Share> {
        let Tally { shots, count } = self.all;
        let Some(half) = self.half() else {
            let alike = || Share::among(count, shots, self.blocks.max(1) as f64);
            return (self.boxed && shots > 0).then(alike);
        };
        let share = self.all.share();
        Some(Share {
            count,
            share,
            low: (share - half).max(0.0),
            high: (share + half).min(1.0),
        })
    }

    /// How many independent shots each shot is worth, by the interval of the share; `None` where the blocks do not tell.
    pub fn worth(&self) -> Option<f64> {
        let (half, share) = (self.half()?, self.all.share());
        let z = Normal::standard().inverse_cdf(0.5 + 0.5 * CONFIDENCE);
        Some(share * (1.0 - share) * (z / half).powi(2) / self.all.shots as f64)
    }

    /// Half the width of the interval; `None` where the blocks are too few, or it came or failed too rarely.
    fn half(&self) -> Option<f64> {
        let both = self.all.count.min(self.all.shots - self.all.count);
        if self.blocks < FEWEST || both < SIDE || self.full.shots == 0 {
            return None;
        }
        let (n, share) = (self.blocks as f64, self.full.share());
        let [shots, product, count] = self.squares.map(|sum| sum as f64);
        let off = (count - share * (2.0 * product - share * shots)).max(0.0);
        let deviation = (off * n / (n - 1.0)).sqrt() / self.full.shots as f64;
        let t = StudentsT::new(0.0, 1.0, n - 1.0).ok()?;
        Some(t.inverse_cdf(0.5 + 0.5 * CONFIDENCE) * deviation)
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
                blocks.take(Some(came(&point)));
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
        (0..8192).for_each(|k| blocks.take(Some(k < 5)));
        assert_eq!(blocks.share(), None);
        let mut blocks = Blocks::new(None);
        (0..512).for_each(|k| blocks.take(Some(k % 2 == 0)));
        assert_eq!(blocks.share(), None);
    }

    #[test]
    fn a_box_stays_whole_where_a_sample_makes_no_case() {
        // Ten boxes of 50, each second one bad all through: whole boxes scatter as much as shares can.
        let half = |gaps: bool| {
            let mut blocks = Blocks::new(Some(50));
            for k in 0..500 {
                let none = gaps && k % 50 == 7;
                blocks.take((!none).then_some((k / 50) % 2 == 0));
            }
            let share = blocks.share().unwrap();
            assert!((share.share - 0.5).abs() < 1e-12);
            share.high - share.low
        };
        // 2.262 · √(0.25 · 10/9 / 10), twice.
        assert!((half(false) - 0.7540).abs() < 1e-3, "{}", half(false));
        assert!((half(true) - half(false)).abs() < 1e-12);
    }
}
