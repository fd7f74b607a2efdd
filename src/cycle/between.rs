//! What lies between two points of a solution.

use ode_solvers::SVector;

use super::march::{Field, Point};

/// State at the share `s` of the step from `a` to `b`, by the cubic through both with their rates
/// (Hermite): off by the fourth power of the step.
pub(super) fn cubic<const D: usize>(a: &Point<D>, b: &Point<D>, s: f64) -> SVector<f64, D> {
    let (h, r, s2) = (b.t - a.t, 1.0 - s, s * s);
    a.y * (r * r * (1.0 + 2.0 * s)) + b.y * (s2 * (3.0 - 2.0 * s)) + a.dy * (h * s * r * r)
        - b.dy * (h * s2 * r)
}

/// A number at the share `s` of a step of the length `h`, by the cubic through its values at both ends with
/// their rates (Hermite); `a` and `b` are value and rate.
pub(super) fn hermite([a, a_rate]: [f64; 2], [b, b_rate]: [f64; 2], h: f64, s: f64) -> f64 {
    let r = 1.0 - s;
    a * r * r * (1.0 + 2.0 * s)
        + b * s * s * (3.0 - 2.0 * s)
        + h * s * r * (a_rate * r - b_rate * s)
}

/// The cubic with a bow of the fourth power, so that its slopes at a quarter and at three quarters of
/// the step differ as the field's rates there do: off by the fifth power of the step.
pub(super) struct Quartic<'a, const D: usize> {
    a: &'a Point<D>,
    b: &'a Point<D>,
    bow: SVector<f64, D>,
}

impl<'a, const D: usize> Quartic<'a, D> {
    /// Through two points of a field; costs two evaluations.
    pub fn new(field: &impl Field<D>, a: &'a Point<D>, b: &'a Point<D>) -> Self {
        let h = b.t - a.t;
        let mut rates = [SVector::zeros(); 2];
        for (dy, s) in rates.iter_mut().zip([0.25, 0.75]) {
            field.rates(a.t + s * h, &cubic(a, b, s), dy);
        }
        // The cubic's own slopes differ by (b′ − a′)/2 there; those of s²(1 − s)² are ±3/16.
        let bow = ((rates[0] - rates[1]) * h + (b.dy - a.dy) * (0.5 * h)) * (8.0 / 3.0);
        Quartic { a, b, bow }
    }

    /// State at the share `s` of the step.
    pub fn at(&self, s: f64) -> SVector<f64, D> {
        cubic(self.a, self.b, s) + self.bow * (s * (1.0 - s)).powi(2)
    }
}

#[cfg(test)]
mod tests {
    use super::hermite;

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
