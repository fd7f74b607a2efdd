//! Which stepper integrates a leg.

use super::runge_kutta::RungeKutta;
use super::series::Series;
use super::{IntegrationError, Leg, OdeSystem, Point, Stop, Stretch, Work};

/// Picks the stepper of each leg.
pub trait Solver {
    /// Integrates a leg, by [`Leg::along`]; the arguments are those of [`super::integrate`].
    ///
    /// # Errors
    /// As [`super::integrate`].
    fn run<const D: usize, F: OdeSystem<D>>(
        &self,
        leg: &Leg<'_, D, F>,
        step: &mut f64,
        work: &mut Work,
        record: impl FnMut(&Stretch<'_, D>),
    ) -> Result<(Point<D>, Stop<F::EventFunction>), IntegrationError>;
}

/// That of a shot: the power series where there is one, else the pair of Dormand and Prince.
#[derive(Debug, Clone, Copy, Default)]
pub struct Own;

impl Solver for Own {
    fn run<const D: usize, F: OdeSystem<D>>(
        &self,
        leg: &Leg<'_, D, F>,
        step: &mut f64,
        work: &mut Work,
        record: impl FnMut(&Stretch<'_, D>),
    ) -> Result<(Point<D>, Stop<F::EventFunction>), IntegrationError> {
        if leg.has_series() {
            leg.along(&mut Series::new(leg.tolerance()), step, work, record)
        } else {
            leg.along(&mut RungeKutta::new(leg.tolerance()), step, work, record)
        }
    }
}
