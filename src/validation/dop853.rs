//! A second solver of the same equations and events: that of `ode_solvers`, Dormand and Prince of order
//! 8, a step at a time, so that events are looked for between its steps.

use arcplunge_core::simulation::integrator::{
    Curve, IntegrationError, Leg, OdeSystem, Point, Solver, Stepper, Stop, Stretch, Tolerance, Work,
};
use ode_solvers::dop_shared::{IntegrationError as Refusal, OutputType, System};
use ode_solvers::{Dop853, SVector};

/// Least step relative to the time.
const LEAST_STEP: f64 = 1e-14;

/// Most steps the library may take at one call.
const MOST_STEPS: u32 = 500_000;

/// Longest step \[ms\]; the curve between its ends is a cubic.
const LONGEST_STEP: f64 = 0.01;

/// Growth of a step that was not shortened, and least and most change of one that was.
const GROWTH: f64 = 2.0;
const CHANGES: [f64; 2] = [0.333, 6.0];

/// DOP853 of `ode_solvers`, to hold the simulator's own solver against.
#[derive(Debug, Clone, Copy, Default)]
pub struct Library;

impl Solver for Library {
    fn run<const D: usize, F: OdeSystem<D>>(
        &self,
        leg: &Leg<'_, D, F>,
        step: &mut f64,
        work: &mut Work,
        record: impl FnMut(&Stretch<'_, D>),
    ) -> Result<(Point<D>, Stop<F::EventFunction>), IntegrationError> {
        leg.along(&mut Steps::new(leg.tolerance()), step, work, record)
    }
}

/// Steps of the library.
struct Steps<const D: usize> {
    tolerance: Tolerance,
    next: f64,
}

/// The system as the library asks for it; `single` stops after the first step it accepts.
struct Equations<'a, F> {
    system: &'a F,
    single: bool,
}

impl<const D: usize, F: OdeSystem<D>> System<f64, SVector<f64, D>> for Equations<'_, F> {
    fn system(&self, t: f64, y: &SVector<f64, D>, dy: &mut SVector<f64, D>) {
        self.system.rates(t, y, dy);
    }

    fn solout(&mut self, _t: f64, _y: &SVector<f64, D>, _dy: &SVector<f64, D>) -> bool {
        self.single
    }
}

impl<const D: usize> Steps<D> {
    pub fn new(tolerance: Tolerance) -> Self {
        Steps {
            tolerance,
            next: LONGEST_STEP,
        }
    }

    /// Integrates to the time `t` \[ms\], or one step towards it.
    fn integrate<F: OdeSystem<D>>(
        &self,
        system: &F,
        from: &Point<D>,
        t: f64,
        single: bool,
        work: &mut Work,
    ) -> Result<Point<D>, IntegrationError> {
        if t - from.t <= LEAST_STEP * t.abs() {
            return Ok(*from);
        }
        let (relative, absolute) = (self.tolerance.relative, self.tolerance.absolute);
        let whole = t - from.t;
        let mut solver = Dop853::from_param(
            Equations { system, single },
            from.t,
            t,
            0.0,
            from.y,
            relative,
            absolute,
            0.9,
            0.0,
            CHANGES[0],
            CHANGES[1],
            whole,
            whole,
            MOST_STEPS,
            u32::MAX, // the phases are not stiff; the solver's own heuristic would stop on a kink
            OutputType::Sparse,
        );
        let stats = solver.integrate().map_err(|e| {
            let at = match e {
                Refusal::MaxNumStepReached { x, .. }
                | Refusal::StepSizeUnderflow { x }
                | Refusal::StiffnessDetected { x } => x,
            };
            IntegrationError::at(at, e.to_string())
        })?;
        work.evaluations += u64::from(stats.num_eval);
        work.steps += u64::from(stats.accepted_steps);
        work.rejected += u64::from(stats.rejected_steps);
        let (t, y) = solver.results().get();
        let (t, y) = (
            t.last().copied().unwrap_or(from.t),
            y.last().copied().unwrap_or(from.y),
        );
        Ok(Point::of(system, t, y))
    }
}

impl<const D: usize> Stepper<D> for Steps<D> {
    /// The end.
    type Trail = Point<D>;

    fn step<F: OdeSystem<D>>(
        &mut self,
        system: &F,
        from: &Point<D>,
        h: f64,
        to: &mut Point<D>,
        work: &mut Work,
    ) -> Result<(), IntegrationError> {
        let wanted = h.min(LONGEST_STEP);
        *to = self.integrate(system, from, from.t + wanted, true, work)?;
        self.next = (to.t - from.t) * GROWTH;
        Ok(())
    }

    fn next_size(&self) -> f64 {
        self.next
    }

    fn curve<'a>(&'a self, from: &'a Point<D>, to: &'a Point<D>) -> Curve<'a, D> {
        Curve::Ends(from, to)
    }

    fn part<'a>(&'a self, from: &'a Point<D>, end: &'a Point<D>) -> Curve<'a, D> {
        Curve::Ends(from, end)
    }

    fn within<F: OdeSystem<D>>(
        &self,
        system: &F,
        from: &Point<D>,
        t: f64,
        work: &mut Work,
    ) -> Result<(Point<D>, Point<D>), IntegrationError> {
        let end = self.integrate(system, from, t, false, work)?;
        Ok((end, end))
    }
}
