//! Curves between two points of a solution.

use nalgebra::SVector;

use super::Point;

/// State at the share `s` of the step from `a` to `b`, by the cubic through both with their rates
/// (Hermite): off by the fourth power of the step.
pub(super) fn cubic<const D: usize>(a: &Point<D>, b: &Point<D>, s: f64) -> SVector<f64, D> {
    let (h, r, s2) = (b.t - a.t, 1.0 - s, s * s);
    a.y * (r * r * (1.0 + 2.0 * s)) + b.y * (s2 * (3.0 - 2.0 * s)) + a.dy * (h * s * r * r)
        - b.dy * (h * s2 * r)
}

/// A number at the share `s` of a step of the length `h`, by the cubic through its values at both ends with
/// their rates (Hermite); `a` and `b` are value and rate.
pub(in crate::simulation) fn hermite(
    [a, a_rate]: [f64; 2],
    [b, b_rate]: [f64; 2],
    h: f64,
    s: f64,
) -> f64 {
    let r = 1.0 - s;
    a * r * r * (1.0 + 2.0 * s)
        + b * s * s * (3.0 - 2.0 * s)
        + h * s * r * (a_rate * r - b_rate * s)
}

/// Where between both ends of a step of the length `h` that cubic is lowest, and its value there; `None`
/// where it is lowest at an end.
pub(in crate::simulation) fn bottom(
    [a, a_rate]: [f64; 2],
    [b, b_rate]: [f64; 2],
    h: f64,
) -> Option<(f64, f64)> {
    if a_rate >= 0.0 || b_rate <= 0.0 {
        return None;
    }
    // a + first·s + second·s² + third·s³ over s = 0 to 1.
    let (first, rise) = (a_rate * h, b - a);
    let second = 3.0 * rise - 2.0 * first - b_rate * h;
    let third = first + b_rate * h - 2.0 * rise;
    let s = -first / (second + (second * second - 3.0 * third * first).sqrt());
    Some((s, a + s * (first + s * (second + s * third))))
}

/// Where in a step of the length `h` that cubic is highest, as a share of it, and its value there.
pub(in crate::simulation) fn summit(a: [f64; 2], b: [f64; 2], h: f64) -> (f64, f64) {
    match bottom(a.map(|v| -v), b.map(|v| -v), h) {
        Some((s, value)) => (s, -value),
        None if a[0] > b[0] => (0.0, a[0]),
        None => (1.0, b[0]),
    }
}

/// The curve of fourth order that belongs to the pair of Dormand and Prince: Hairer, Nørsett & Wanner,
/// Solving Ordinary Differential Equations I, 2nd ed., II.6 (and the program DOPRI5 printed there).
#[derive(Debug, Clone, Copy)]
pub struct Dense<const D: usize> {
    start: f64,
    h: f64,
    pub(super) parts: [SVector<f64, D>; 5],
}

/// Weights of the stages in the bow of the curve.
const BOW: [f64; 7] = [
    -12_715_105_075.0 / 11_282_082_432.0,
    0.0,
    87_487_479_700.0 / 32_700_410_799.0,
    -10_690_763_975.0 / 1_880_347_072.0,
    701_980_252_875.0 / 199_316_789_632.0,
    -1_453_857_185.0 / 822_651_844.0,
    69_997_945.0 / 29_380_423.0,
];

impl<const D: usize> Dense<D> {
    /// Of a step between two points with these rates at its stages.
    pub(super) fn new(a: &Point<D>, b: &Point<D>, stages: &[SVector<f64, D>; 7]) -> Self {
        let h = b.t - a.t;
        let rise = b.y - a.y;
        let first = a.dy * h - rise;
        let second = rise - b.dy * h - first;
        let bow = weighted(stages, &BOW) * h;
        Dense {
            start: a.t,
            h,
            parts: [a.y, rise, first, second, bow],
        }
    }

    /// What each part counts for at the time `t` \[ms\].
    pub(super) fn weights(&self, t: f64) -> [f64; 5] {
        let s = (t - self.start) / self.h;
        let r = 1.0 - s;
        [1.0, s, s * r, s * s * r, s * s * r * r]
    }
}

/// Sum of lists, each times its weight.
#[inline(always)]
pub(super) fn weighted<const S: usize, const D: usize>(
    lists: &[SVector<f64, D>; 7],
    weights: &[f64; S],
) -> SVector<f64, D> {
    let mut sum = SVector::zeros();
    for (list, weight) in lists.iter().zip(weights) {
        if *weight != 0.0 {
            sum += list * *weight;
        }
    }
    sum
}

#[cfg(test)]
mod tests {
    use super::{bottom, hermite, summit};

    #[test]
    fn closed_form_a_cubic_has_its_bottom_where_it_is() {
        // x³ − 3x from 0 to 2: lowest at 1, by −2.
        let (s, value) = bottom([0.0, -3.0], [2.0, 9.0], 2.0).expect("a bottom");
        assert!(
            (s - 0.5).abs() < 1e-14 && (value + 2.0).abs() < 1e-14,
            "{s} {value}"
        );
        assert_eq!(bottom([0.0, 3.0], [2.0, 9.0], 2.0), None);
        assert_eq!(summit([0.0, 3.0], [-2.0, -9.0], 2.0), (0.5, 2.0));
        assert_eq!(summit([0.0, 1.0], [2.0, 0.5], 2.0), (1.0, 2.0));
    }

    #[test]
    fn closed_form_a_cubic_is_its_own_interpolant() {
        // x³ + x from 0 to 2, whose rate is 3x² + 1.
        for s in [0.0, 0.1, 0.5, 0.75, 1.0] {
            let x = 2.0 * s;
            let exact = x * x * x + x;
            let found = hermite([0.0, 1.0], [10.0, 13.0], 2.0, s);
            assert!((found - exact).abs() < 1e-14 * 10.0, "{s}: {found} {exact}");
        }
        // x⁴ is none: off by s²(1 − s)²·h⁴, at the middle h⁴/16.
        let off = hermite([0.0, 0.0], [16.0, 32.0], 2.0, 0.5) - 1.0;
        assert!((off + 1.0).abs() < 1e-14, "{off}");
    }
}
