//! The pair of Dormand and Prince, J. Comput. Appl. Math. 6 (1980), for phases without a power series.
//!
//! Steps are sized as by Hairer & Wanner, Solving Ordinary Differential Equations II, IV.2: the controller
//! looks at the error before, too.

use nalgebra::SVector;

use super::between::weighted;
use super::stepper::{Curve, Stepper};
use super::{IntegrationError, LEAST_STEP, OdeSystem, Point, Tolerance, Work};

/// Times of the stages, as shares of the step.
const TIMES: [f64; 5] = [0.2, 0.3, 0.8, 8.0 / 9.0, 1.0];

const TO_2: [f64; 1] = [0.2];
const TO_3: [f64; 2] = [3.0 / 40.0, 9.0 / 40.0];
const TO_4: [f64; 3] = [44.0 / 45.0, -56.0 / 15.0, 32.0 / 9.0];
const TO_5: [f64; 4] = [
    19_372.0 / 6_561.0,
    -25_360.0 / 2_187.0,
    64_448.0 / 6_561.0,
    -212.0 / 729.0,
];
const TO_6: [f64; 5] = [
    9_017.0 / 3_168.0,
    -355.0 / 33.0,
    46_732.0 / 5_247.0,
    49.0 / 176.0,
    -5_103.0 / 18_656.0,
];
/// To the end of the step, order 5.
const TO_END: [f64; 6] = [
    35.0 / 384.0,
    0.0,
    500.0 / 1_113.0,
    125.0 / 192.0,
    -2_187.0 / 6_784.0,
    11.0 / 84.0,
];
/// Difference of the ends by order 5 and 4.
const ERROR: [f64; 7] = [
    71.0 / 57_600.0,
    0.0,
    -71.0 / 16_695.0,
    71.0 / 1_920.0,
    -17_253.0 / 339_200.0,
    22.0 / 525.0,
    -1.0 / 40.0,
];

const SAFETY: f64 = 0.8;
const BETA: f64 = 0.04;
const ALPHA: f64 = 0.2 - 0.75 * BETA;
/// Least and most growth of a step.
const LEAST_GROWTH: f64 = 0.2;
const MOST_GROWTH: f64 = 6.0;
/// Least error stored by the controller.
const LEAST_ERROR: f64 = 1e-4;

/// Integrates by Dormand and Prince.
pub(super) struct RungeKutta<const D: usize> {
    tolerance: Tolerance,
    stages: [SVector<f64, D>; 7],
    /// Logarithm of the error before.
    before: f64,
    next: f64,
}

impl<const D: usize> RungeKutta<D> {
    pub fn new(tolerance: Tolerance) -> Self {
        RungeKutta {
            tolerance,
            stages: [SVector::zeros(); 7],
            before: LEAST_ERROR.ln(),
            next: 0.0,
        }
    }

    /// Error of a step over what is allowed, root of the mean square.
    fn error(&self, from: &Point<D>, to: &Point<D>, stages: &[SVector<f64, D>; 7], h: f64) -> f64 {
        let error = weighted(stages, &ERROR) * h;
        let mut sum = 0.0;
        for i in 0..D {
            let size = from.y[i].abs().max(to.y[i].abs());
            let allowed = self.tolerance.absolute + self.tolerance.relative * size;
            sum += (error[i] / allowed).powi(2);
        }
        (sum / D as f64).sqrt()
    }
}

/// The end of a step of `h`, with the rates at its stages.
fn shoot<const D: usize, F: OdeSystem<D>>(
    system: &F,
    from: &Point<D>,
    h: f64,
    stages: &mut [SVector<f64, D>; 7],
    to: &mut Point<D>,
) {
    stages[0] = from.dy;
    stage(system, from, h, stages, &TO_2);
    stage(system, from, h, stages, &TO_3);
    stage(system, from, h, stages, &TO_4);
    stage(system, from, h, stages, &TO_5);
    stage(system, from, h, stages, &TO_6);
    to.t = from.t + h;
    to.y = from.y + weighted(stages, &TO_END) * h;
    system.rates(to.t, &to.y, &mut stages[6]);
    to.dy = stages[6];
}

/// Rates at the stage after the first `S`; the sums do not matter to them.
#[inline(always)]
fn stage<const S: usize, const D: usize, F: OdeSystem<D>>(
    system: &F,
    from: &Point<D>,
    h: f64,
    stages: &mut [SVector<f64, D>; 7],
    weights: &[f64; S],
) {
    let mut y = from.y;
    for i in 0..F::CORE {
        let mut slope = 0.0;
        for (rates, weight) in stages.iter().zip(weights) {
            slope += rates[i] * weight;
        }
        y[i] += slope * h;
    }
    system.rates(from.t + h * TIMES[S - 1], &y, &mut stages[S]);
}

impl<const D: usize> Stepper<D> for RungeKutta<D> {
    /// The end and the rates at the stages.
    type Trail = (Point<D>, [SVector<f64, D>; 7]);

    fn step<F: OdeSystem<D>>(
        &mut self,
        system: &F,
        from: &Point<D>,
        mut h: f64,
        to: &mut Point<D>,
        work: &mut Work,
    ) -> Result<(), IntegrationError> {
        let mut rejected = false;
        loop {
            if h <= LEAST_STEP * from.t.abs() {
                return Err(IntegrationError::at(from.t, "no step is short enough"));
            }
            shoot(system, from, h, &mut self.stages, to);
            work.evaluations += 6;
            let error = self.error(from, to, &self.stages, h);
            let log = error.ln();
            if error <= 1.0 {
                let growth = SAFETY * (BETA * self.before - ALPHA * log).exp();
                let most = if rejected { 1.0 } else { MOST_GROWTH };
                self.next = h * growth.clamp(LEAST_GROWTH, most);
                self.before = log.max(LEAST_ERROR.ln());
                work.steps += 1;
                return Ok(());
            }
            // An error that is no number shortens the step as much as a large one.
            h *= (SAFETY * (-ALPHA * log).exp()).max(LEAST_GROWTH);
            rejected = true;
            work.rejected += 1;
        }
    }

    fn next_size(&self) -> f64 {
        self.next
    }

    fn curve<'a>(&'a self, from: &'a Point<D>, to: &'a Point<D>) -> Curve<'a, D> {
        Curve::Stages(from, to, &self.stages)
    }

    fn part<'a>(&'a self, from: &'a Point<D>, trail: &'a Self::Trail) -> Curve<'a, D> {
        Curve::Stages(from, &trail.0, &trail.1)
    }

    fn within<F: OdeSystem<D>>(
        &self,
        system: &F,
        from: &Point<D>,
        t: f64,
        work: &mut Work,
    ) -> Result<(Point<D>, Self::Trail), IntegrationError> {
        // Shorter than a step that held the tolerance.
        work.evaluations += 6;
        let (mut stages, mut end) = ([SVector::zeros(); 7], *from);
        shoot(system, from, t - from.t, &mut stages, &mut end);
        Ok((end, (end, stages)))
    }
}
