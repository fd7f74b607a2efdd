//! The solution's own power series, for phases whose circuit is linear: as many terms as the tolerance asks
//! for, so that a step is as long as the events allow and any point of it lies on the solution.

use nalgebra::SVector;

use super::stepper::{Curve, States, Stepper};
use super::{IntegrationError, LEAST_STEP, OdeSystem, Point, Tolerance, Work};

/// Most powers of a step. More would carry longer ones, and what goes by the ends of a step, the arc's
/// energy between them first of all, would become coarse.
const MOST_POWERS: usize = 16;

/// Share of the tolerance at which two terms, one after the other, end the series.
/// A current that creeps out is far below the tolerance, and its slope must not be that of an error.
const ENOUGH: f64 = 1e-4;

/// Least size of a last term over the state's: below it rounding begins.
const LEAST_TERM: f64 = 1e-15;

/// Terms beyond which a step was far too long, over what is allowed.
const FAR_TOO_LARGE: f64 = 1e100;

/// Growth of a step whose series ended early.
const GROWTH: f64 = 2.0;

/// Powers left over by such a series.
const EARLY: usize = 2;

/// Integrates by power series.
pub(super) struct Series<const D: usize> {
    tolerance: Tolerance,
    terms: [SVector<f64, D>; MOST_POWERS + 1],
    powers: usize,
    h: f64,
}

impl<const D: usize> Series<D> {
    pub fn new(tolerance: Tolerance) -> Self {
        Series {
            tolerance,
            terms: [SVector::zeros(); MOST_POWERS + 1],
            powers: 0,
            h: 0.0,
        }
    }

    fn terms(&self) -> &[SVector<f64, D>] {
        &self.terms[..=self.powers]
    }

    /// The solution at a time \[ms\] within the step that began at `from`.
    fn go<F: OdeSystem<D>>(
        &self,
        system: &F,
        from: &Point<D>,
        t: f64,
        to: &mut Point<D>,
        work: &mut Work,
    ) {
        to.t = t;
        to.y = States::Series(from.t, self.terms(), self.h).at(t);
        work.evaluations += 1;
        to.dy.fill(0.0);
        system.rates(t, &to.y, &mut to.dy);
    }

    /// Fills in the terms for a step of `h`.
    ///
    /// # Errors
    /// Where they do not end: the last one's size over what is allowed.
    fn expand<F: OdeSystem<D>>(
        &mut self,
        system: &F,
        from: &Point<D>,
        h: f64,
        work: &mut Work,
    ) -> Result<(), f64> {
        let Tolerance {
            relative, absolute, ..
        } = self.tolerance;
        let scale = from.y.map(|y| {
            let allowed = ENOUGH * (absolute + relative * y.abs());
            1.0 / allowed.max(LEAST_TERM * y.abs().max(absolute / relative))
        });
        self.terms[0] = from.y;
        self.terms[1] = from.dy * h;
        let mut before = f64::INFINITY;
        for power in 2..=MOST_POWERS {
            let (below, rest) = self.terms.split_at_mut(power);
            let term = &mut rest[0];
            term.fill(0.0);
            system.rate_term(below, term);
            *term *= h / power as f64;
            work.evaluations += 1;
            let size = term.component_mul(&scale).amax();
            if size <= 1.0 && before <= 1.0 {
                self.powers = power;
                return Ok(());
            }
            if size > FAR_TOO_LARGE {
                return Err(size);
            }
            before = size;
        }
        self.powers = MOST_POWERS;
        Err(before)
    }
}

impl<const D: usize> Stepper<D> for Series<D> {
    /// Any part of a step has its series.
    type Trail = ();

    fn step<F: OdeSystem<D>>(
        &mut self,
        system: &F,
        from: &Point<D>,
        mut h: f64,
        to: &mut Point<D>,
        work: &mut Work,
    ) -> Result<(), IntegrationError> {
        while let Err(size) = self.expand(system, from, h, work) {
            work.rejected += 1;
            // The last term falls with its power.
            let shrunk = 0.9 * size.powf(-1.0 / MOST_POWERS as f64);
            h *= if shrunk > 0.0 { shrunk.min(0.9) } else { 0.1 };
            if h <= LEAST_STEP * from.t.abs() {
                return Err(IntegrationError::at(from.t, "no step is short enough"));
            }
        }
        self.h = h;
        work.steps += 1;
        self.go(system, from, from.t + h, to, work);
        Ok(())
    }

    fn next_size(&self) -> f64 {
        let early = self.powers + EARLY <= MOST_POWERS;
        self.h * if early { GROWTH } else { 1.0 }
    }

    fn curve<'a>(&'a self, from: &'a Point<D>, _to: &'a Point<D>) -> Curve<'a, D> {
        Curve::Series(from, self.terms(), self.h)
    }

    fn part<'a>(&'a self, from: &'a Point<D>, (): &'a ()) -> Curve<'a, D> {
        Curve::Series(from, self.terms(), self.h)
    }

    fn within<F: OdeSystem<D>>(
        &self,
        system: &F,
        from: &Point<D>,
        t: f64,
        work: &mut Work,
    ) -> Result<(Point<D>, ()), IntegrationError> {
        let mut to = *from;
        self.go(system, from, t, &mut to, work);
        Ok((to, ()))
    }
}

#[cfg(test)]
mod tests {
    use std::cell::Cell;

    use super::*;
    use crate::simulation::integrator::{Stop, integrate};

    /// y″ = −2y′ − 26y, whose roots are −1 ± 5i, with its coefficients as the series takes them.
    struct Damped {
        coefficients: [f64; 2],
        /// How often its event function was asked for.
        asked: Cell<u32>,
    }

    impl OdeSystem<2> for Damped {
        type EventFunction = ();

        fn rates(&self, _t: f64, y: &SVector<f64, 2>, dy: &mut SVector<f64, 2>) {
            *dy = SVector::from([y[1], -2.0 * y[1] - 26.0 * y[0]]);
        }

        fn has_series(&self) -> bool {
            true
        }

        fn rate_term(&self, terms: &[SVector<f64, 2>], out: &mut SVector<f64, 2>) {
            let y = terms[terms.len() - 1];
            let [rate, state] = self.coefficients;
            *out = SVector::from([y[1], -rate * y[1] - state * y[0]]);
        }

        fn event_function(
            &self,
            (): (),
            _t: f64,
            y: &SVector<f64, 2>,
            _dy: &SVector<f64, 2>,
        ) -> f64 {
            self.asked.set(self.asked.get() + 1);
            y[0]
        }
    }

    /// From y = 1, y′ = −1 it is e⁻ᵗ·cos 5t: nothing first at t = π/10.
    fn first_zero(coefficients: [f64; 2]) -> (f64, u32) {
        let system = Damped {
            coefficients,
            asked: Cell::new(0),
        };
        let mut from = Point {
            t: 0.0,
            y: SVector::from([1.0, -1.0]),
            dy: SVector::zeros(),
        };
        system.rates(0.0, &from.y.clone(), &mut from.dy);
        let (mut step, mut work) = (1.0, Work::default());
        let tolerance = Tolerance::default();
        let found = integrate(
            &super::super::Own,
            &system,
            &from,
            2.0,
            &[()],
            tolerance,
            &mut step,
            &mut work,
            |_| (),
        );
        let (point, stop) = found.expect("an integration");
        assert_eq!(stop, Stop::EventFunction(()));
        (point.t, system.asked.get())
    }

    #[test]
    fn closed_form_a_series_meets_its_zero() {
        let (t, asked) = first_zero([2.0, 26.0]);
        assert!((t - 0.1 * std::f64::consts::PI).abs() < 1e-11, "{t}");
        // Both ends, the root within some ten rounds, its slope; an end that is halved at each round takes thirty.
        assert!(asked < 20, "{asked}");
    }

    #[test]
    fn closed_form_a_wrong_coefficient_shows() {
        let (t, _) = first_zero([2.0, 26.001]);
        assert!((t - 0.1 * std::f64::consts::PI).abs() > 1e-7, "{t}");
    }
}
