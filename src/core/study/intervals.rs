//! Confidence intervals of shares and of quantiles.
//!
//! Both are made for independent shots. Sobol points cover more evenly than independent ones, so
//! that with them the intervals are wider than need be, as a rule.

use statrs::distribution::{Binomial, ContinuousCDF, DiscreteCDF, Normal, StudentsT};

/// Confidence of every interval shown.
pub const CONFIDENCE: f64 = 0.95;

/// Share of `count` out of `all` with its interval.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct Share {
    /// How many it is of all.
    pub count: u64,
    /// Their share, from 0 to 1.
    pub share: f64,
    /// Low end of the interval, with [`CONFIDENCE`].
    pub low: f64,
    /// High end of the interval.
    pub high: f64,
}

impl Share {
    /// Wilson's score interval (E. B. Wilson, J. Am. Stat. Assoc. 22 (1927) 209); `None` of
    /// nothing.
    pub fn of(count: u64, all: u64) -> Option<Share> {
        if all == 0 {
            return None;
        }
        Some(Share::among(count, all, all as f64))
    }

    /// The same where all are worth only `n` independent ones.
    pub fn among(count: u64, all: u64, n: f64) -> Share {
        let p = count as f64 / all as f64;
        let z = Normal::standard().inverse_cdf(0.5 + 0.5 * CONFIDENCE);
        let shrink = 1.0 / (1.0 + z * z / n);
        let middle = shrink * (p + 0.5 * z * z / n);
        let half = shrink * z * (p * (1.0 - p) / n + 0.25 * z * z / (n * n)).sqrt();
        Share {
            count,
            share: p,
            // Exact where rounding is not.
            low: if count == 0 { 0.0 } else { middle - half },
            high: if count == all { 1.0 } else { middle + half },
        }
    }
}

/// A small share with its interval.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize)]
pub struct RareShare {
    /// The share, from 0 to 1.
    pub share: f64,
    /// Low end of the interval, with [`CONFIDENCE`].
    pub low: f64,
    /// High end of the interval.
    pub high: f64,
}

/// The mean of independent runs with its interval, by Student's t of the logarithm (first order); `None` where all are 0.
pub fn mean_of(runs: &[f64]) -> Option<RareShare> {
    let n = runs.len() as f64;
    let share = runs.iter().sum::<f64>() / n;
    if share <= 0.0 {
        return None;
    }
    let variance = runs.iter().map(|p| (p - share).powi(2)).sum::<f64>() / (n - 1.0);
    let t =
        StudentsT::new(0.0, 1.0, n - 1.0).map_or(2.0, |t| t.inverse_cdf(0.5 + 0.5 * CONFIDENCE));
    let factor = (t * (variance / n).sqrt() / share).exp();
    Some(RareShare {
        share,
        low: share / factor,
        high: (share * factor).min(1.0),
    })
}

/// Ranks, counted from 1, of the order statistics of `all` independent values between which the
/// quantile `share` lies with at least the confidence (H. A. David, Order Statistics (1981),
/// section 2.5: exact, whatever the distribution). `None` where the values are too few for an end.
pub fn ranks(share: f64, all: u64) -> [Option<u64>; 2] {
    let Ok(below) = Binomial::new(share, all) else {
        return [None; 2];
    };
    let out = 0.5 * (1.0 - CONFIDENCE);
    let low = least(all, |k| below.cdf(k) >= out);
    let high = least(all, |k| below.cdf(k) >= 1.0 - out) + 1;
    [
        (1..=all).contains(&low).then_some(low),
        (1..=all).contains(&high).then_some(high),
    ]
}

/// The least number up to `most` of which `holds` is true, which it stays from there on.
fn least(most: u64, holds: impl Fn(u64) -> bool) -> u64 {
    let (mut from, mut to) = (0, most);
    while from < to {
        let middle = from + (to - from) / 2;
        if holds(middle) {
            to = middle;
        } else {
            from = middle + 1;
        }
    }
    from
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn published_wilson_intervals() {
        // R. G. Newcombe, Stat. Med. 17 (1998) 857, table I, method 3.
        for (count, all, low, high) in [
            (81, 263, 0.2553, 0.3662),
            (15, 148, 0.0624, 0.1605),
            (0, 20, 0.0, 0.1611),
            (1, 29, 0.0061, 0.1718),
        ] {
            let share = Share::of(count, all).unwrap();
            assert!((share.low - low).abs() < 6e-5, "{count}/{all}: {share:?}");
            assert!((share.high - high).abs() < 6e-5, "{count}/{all}: {share:?}");
        }
        assert_eq!(Share::of(0, 0), None);
        let all = Share::of(20, 20).unwrap();
        assert!(all.high == 1.0 && (all.low - (1.0 - 0.1611)).abs() < 6e-5);
    }

    #[test]
    fn closed_form_ranks_about_a_median() {
        // P(B ≤ 1) = 11/1024 = 0.0107 and P(B ≤ 2) = 56/1024 = 0.0547 for ten throws of a coin:
        // the second to the ninth value, with a confidence of 0.9785.
        assert_eq!(ranks(0.5, 10), [Some(2), Some(9)]);
        // 0.95¹⁰ = 0.60: ten values say nothing of the low end of their 5th percentile.
        assert_eq!(ranks(0.05, 10)[0], None);
        assert_eq!(ranks(0.5, 0), [None; 2]);
        let [Some(low), Some(high)] = ranks(0.05, 1_000_000) else {
            panic!("a million values are enough");
        };
        // Normal approximation: 50 000 ± 1.96 √(50 000 · 0.95).
        assert!(low.abs_diff(50_000 - 427) <= 2 && high.abs_diff(50_000 + 427) <= 2);
    }

    #[test]
    fn intervals_hold_the_truth_as_often_as_they_say() {
        use crate::study::points::{Points, Sampling};
        let (runs, n, p) = (1000, 200, 0.1);
        let held = |sampling| {
            let points = Points { sampling, seed: 1 };
            let runs = (0..runs).filter(|run| {
                let values = (0..n).map(|k| {
                    let mut u = [0.0];
                    points.fill(run * n + k, &mut u);
                    u[0]
                });
                let mut values: Vec<f64> = values.collect();
                let count = values.iter().filter(|u| **u < p).count();
                let share = Share::of(count as u64, n as u64).unwrap();
                values.sort_by(f64::total_cmp);
                let [Some(low), Some(high)] = ranks(0.5, n as u64) else {
                    panic!("enough values");
                };
                let median = values[low as usize - 1] <= 0.5 && 0.5 <= values[high as usize - 1];
                (share.low..=share.high).contains(&p) && median
            });
            runs.count()
        };
        // Both at once: 0.95² = 0.90 of independent runs, or more; a thousand runs, ± 3 %.
        let independent = held(Sampling::Random);
        assert!((870..=950).contains(&independent), "{independent}");
        let sobol = held(Sampling::Sobol);
        assert!(sobol >= independent, "{sobol}: on the safe side");
    }
}
