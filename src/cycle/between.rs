//! The solution between two accepted points of the march.

use ode_solvers::SVector;

use super::march::{Field, Point};

/// State at the share `s` of the step from `a` to `b`, by the cubic through both with their rates
/// (Hermite): off by the fourth power of the step.
pub(super) fn cubic<const D: usize>(a: &Point<D>, b: &Point<D>, s: f64) -> SVector<f64, D> {
    let (h, r, s2) = (b.t - a.t, 1.0 - s, s * s);
    a.y * (r * r * (1.0 + 2.0 * s)) + b.y * (s2 * (3.0 - 2.0 * s)) + a.dy * (h * s * r * r)
        - b.dy * (h * s2 * r)
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
