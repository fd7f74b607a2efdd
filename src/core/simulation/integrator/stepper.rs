//! Ways along a solution, and what lies between two points of it.

use nalgebra::SVector;

use super::between::{Dense, cubic};
use super::{IntegrationError, OdeSystem, Point, Work};

/// Steps along a solution.
pub trait Stepper<const D: usize> {
    /// What a part of a step leaves behind of its course.
    type Trail: Copy;

    /// Takes a step from `from` of `h` \[ms\], or of less where `h` is too long for the tolerance, to where `to` tells.
    ///
    /// # Errors
    /// When no step is short enough.
    fn step<F: OdeSystem<D>>(
        &mut self,
        system: &F,
        from: &Point<D>,
        h: f64,
        to: &mut Point<D>,
        work: &mut Work,
    ) -> Result<(), IntegrationError>;

    /// Size of the step to go on with \[ms\].
    fn next_size(&self) -> f64;

    /// The curve of the last step, which led from `from` to `to`.
    fn curve<'a>(&'a self, from: &'a Point<D>, to: &'a Point<D>) -> Curve<'a, D>;

    /// The curve of a part of the last step, which began at `from`.
    fn part<'a>(&'a self, from: &'a Point<D>, trail: &'a Self::Trail) -> Curve<'a, D>;

    /// The solution at a time \[ms\] within the last step, which began at `from`.
    ///
    /// # Errors
    /// As [`Stepper::step`].
    fn within<F: OdeSystem<D>>(
        &self,
        system: &F,
        from: &Point<D>,
        t: f64,
        work: &mut Work,
    ) -> Result<(Point<D>, Self::Trail), IntegrationError>;
}

/// What a step left behind of its course; costs nothing until it is asked.
#[derive(Debug, Clone, Copy)]
pub enum Curve<'a, const D: usize> {
    /// Both ends.
    Ends(&'a Point<D>, &'a Point<D>),
    /// Both ends and the rates at the stages of Dormand and Prince.
    Stages(&'a Point<D>, &'a Point<D>, &'a [SVector<f64, D>; 7]),
    /// The start, and the terms of the power series over a length \[ms\].
    Series(&'a Point<D>, &'a [SVector<f64, D>], f64),
}

impl<'a, const D: usize> Curve<'a, D> {
    /// The states along it.
    pub(in crate::simulation) fn states(self) -> States<'a, D> {
        match self {
            Curve::Ends(a, b) => States::Cubic(a, b),
            Curve::Stages(a, b, stages) => States::Dense(Dense::new(a, b, stages)),
            Curve::Series(a, terms, h) => States::Series(a.t, terms, h),
        }
    }
}

/// States of a step over time.
#[derive(Debug, Clone, Copy)]
pub(in crate::simulation) enum States<'a, const D: usize> {
    /// The cubic through both ends with their rates.
    Cubic(&'a Point<D>, &'a Point<D>),
    /// Of fourth order by the stages of Dormand and Prince.
    Dense(Dense<D>),
    /// A power series from a time \[ms\] on; its terms are those over a length \[ms\].
    Series(f64, &'a [SVector<f64, D>], f64),
}

impl<const D: usize> States<'_, D> {
    /// The state at the time `t` \[ms\].
    pub fn at(&self, t: f64) -> SVector<f64, D> {
        self.first(D, t)
    }

    /// The first `count` states at the time `t` \[ms\], the others nothing.
    #[inline(always)]
    pub fn first(&self, count: usize, t: f64) -> SVector<f64, D> {
        let mut out = SVector::zeros();
        match self {
            States::Cubic(a, b) => out = cubic(a, b, (t - a.t) / (b.t - a.t)),
            States::Dense(dense) => {
                let weights = dense.weights(t);
                for i in 0..count {
                    for (part, weight) in dense.parts.iter().zip(weights) {
                        out[i] += part[i] * weight;
                    }
                }
            }
            States::Series(start, terms, h) => {
                let s = (t - start) / h;
                for term in terms.iter().rev() {
                    for i in 0..count {
                        out[i] = out[i] * s + term[i];
                    }
                }
            }
        }
        out
    }
}

/// What the integrator went along in one step, or in the part of it before an event.
#[derive(Debug, Clone, Copy)]
pub struct Stretch<'a, const D: usize> {
    /// Where it begins.
    pub from: &'a Point<D>,
    /// Where it ends.
    pub to: &'a Point<D>,
    curve: Curve<'a, D>,
}

impl<'a, const D: usize> Stretch<'a, D> {
    pub(super) fn new(from: &'a Point<D>, to: &'a Point<D>, curve: Curve<'a, D>) -> Self {
        Stretch { from, to, curve }
    }

    /// The states along it.
    pub(in crate::simulation) fn states(&self) -> States<'a, D> {
        self.curve.states()
    }
}
