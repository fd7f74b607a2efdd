//! Integrates a phase from event to event.
//!
//! The event contract:
//! - an event function is a function of time, state and rates that is positive (or zero) before its event and
//!   negative after; only that crossing counts, a crossing the other way does not; an event function whose rate is
//!   known is seen to cross and come back within a step, too;
//! - the earliest crossing in a step wins; later ones in that step are found again from there;
//! - the state at the root lies on the solution, not on an interpolant; a last correction of first
//!   order moves it onto the event function;
//! - the caller changes the mode at the root (reset), which removes or swaps the event function that fired, so
//!   it cannot fire again at once;
//! - a time known beforehand is reached by stopping there, not by root finding.
//!
//! Two steppers lead along a solution: its power series where the system has one, the pair of Dormand and
//! Prince where it has none. Neither allocates. Another [`Solver`] can be put in their place: the
//! checks hold them against that of a general-purpose library.

mod between;
mod ode_system;
mod root;
mod runge_kutta;
mod series;
mod solver;
mod stepper;
mod tolerance;

use nalgebra::SVector;
use thiserror::Error;

use super::units::MILLISECOND;

pub(super) use between::{hermite, summit};
pub use ode_system::OdeSystem;
pub use solver::{Own, Solver};
pub use stepper::{Curve, Stepper, Stretch};
pub use tolerance::Tolerance;

/// Least step relative to the time; shorter ones are left to the correction.
const LEAST_STEP: f64 = 1e-14;

/// Most steps of one leg; a discharge needs some tens, one through resistance alone a hundred thousand at worst.
const MOST_STEPS: u32 = 500_000;

/// Least size that a step hands on to the next \[ms\].
const LEAST_FIRST: f64 = 1e-6;

/// Share of a step within which the end of the leg is taken along.
const NEAR_END: f64 = 1.01;

/// How often a first step in which an event function crosses at its very start is tried shorter, and by how much.
const MOST_SHORTER: u32 = 4;
const SHORTER: f64 = 0.02;

/// Most event functions watched at once.
pub const MAX_EVENT_FUNCTIONS: usize = 32;

/// A point of the solution: time, state and rates.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point<const D: usize> {
    /// Time \[ms\].
    pub t: f64,
    /// State, in the system's own units.
    pub y: SVector<f64, D>,
    /// Rates of the state, per ms.
    pub dy: SVector<f64, D>,
}

impl<const D: usize> Point<D> {
    /// Of a system, at the time `t` \[ms\] and the state `y`.
    pub fn of(system: &impl OdeSystem<D>, t: f64, y: SVector<f64, D>) -> Self {
        let mut dy = SVector::zeros();
        system.rates(t, &y, &mut dy);
        Point { t, y, dy }
    }
}

/// Why a leg of the integration ended.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Stop<G> {
    /// The given end time was reached.
    Time,
    /// An event function crossed.
    EventFunction(G),
}

/// Work done by the integrator.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Work {
    /// Evaluations of the rates, or of a term of their series.
    pub evaluations: u64,
    /// Accepted steps.
    pub steps: u64,
    /// Rejected steps.
    pub rejected: u64,
}

/// The integration could not go on.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum IntegrationError {
    /// The solver failed.
    #[error("the integration stopped at {time_s:.6e} s: {why}")]
    Stopped {
        /// Time reached \[s\].
        time_s: f64,
        /// Why, in words.
        why: String,
    },
}

impl IntegrationError {
    /// At the time `t` \[ms\].
    pub fn at(t: f64, why: impl Into<String>) -> Self {
        IntegrationError::Stopped {
            time_s: t * MILLISECOND,
            why: why.into(),
        }
    }
}

/// Integrates from `from`, whose rates are those of its state, to `t_end` \[ms\] or to the first event function that
/// crosses.
///
/// `step` is the first step's size and returns the one to go on with. Every stretch that was gone goes
/// to `record`, the last one included.
///
/// # Errors
/// When the solver fails; see [`IntegrationError`].
#[allow(clippy::too_many_arguments)] // one call a phase; a struct would only rename them
pub fn integrate<const D: usize, F: OdeSystem<D>>(
    solver: &impl Solver,
    system: &F,
    from: &Point<D>,
    t_end: f64,
    event_functions: &[F::EventFunction],
    tolerance: Tolerance,
    step: &mut f64,
    work: &mut Work,
    record: impl FnMut(&Stretch<'_, D>),
) -> Result<(Point<D>, Stop<F::EventFunction>), IntegrationError> {
    if t_end - from.t <= LEAST_STEP * t_end.abs() {
        return Ok((Point { t: t_end, ..*from }, Stop::Time));
    }
    let leg = Leg {
        system,
        from,
        t_end,
        event_functions,
        tolerance,
    };
    solver.run(&leg, step, work, record)
}

/// What one leg of the integration goes by.
#[derive(Debug)]
pub struct Leg<'a, const D: usize, F: OdeSystem<D>> {
    system: &'a F,
    from: &'a Point<D>,
    t_end: f64,
    event_functions: &'a [F::EventFunction],
    tolerance: Tolerance,
}

impl<const D: usize, F: OdeSystem<D>> Leg<'_, D, F> {
    /// The tolerance asked for.
    pub fn tolerance(&self) -> Tolerance {
        self.tolerance
    }

    /// Whether the solution's power series can be had.
    pub fn has_series(&self) -> bool {
        self.system.has_series()
    }

    /// Integrates with `stepper`; the other arguments are those of [`integrate`].
    ///
    /// # Errors
    /// As [`integrate`].
    pub fn along<W: Stepper<D>>(
        &self,
        stepper: &mut W,
        step: &mut f64,
        work: &mut Work,
        mut record: impl FnMut(&Stretch<'_, D>),
    ) -> Result<(Point<D>, Stop<F::EventFunction>), IntegrationError> {
        let (system, longest) = (self.system, self.system.longest_step());
        let count = self.event_functions.len();
        let mut values = [[0.0; MAX_EVENT_FUNCTIONS]; 2];
        let [before, after] = &mut values;
        let (mut before, mut after) = (&mut before[..count], &mut after[..count]);
        for (value, &event_function) in before.iter_mut().zip(self.event_functions) {
            *value =
                system.event_function(event_function, self.from.t, &self.from.y, &self.from.dy);
        }
        // Both ends of a step change places: neither is copied.
        let mut ends = [*self.from; 2];
        let [at, next] = &mut ends;
        let (mut at, mut next) = (at, next);
        let mut shorter = 0;
        for _ in 0..MOST_STEPS {
            let left = self.t_end - at.t;
            let wanted = step.min(longest);
            let last = NEAR_END * wanted >= left;
            let wanted = if last { left } else { wanted };
            stepper.step(system, at, wanted, next, work)?;
            *step = stepper.next_size().max(LEAST_FIRST);
            if (next.t - self.t_end).abs() <= LEAST_STEP * self.t_end.abs() {
                next.t = self.t_end;
            }
            let curve = stepper.curve(at, next);
            if let Some(end) = self.crossed(curve, before, after, at, next) {
                let end = end.as_ref().unwrap_or(next);
                let watched = self.event_functions;
                let (point, event_function, trail) =
                    root::locate(system, stepper, curve, at, end, watched, before, work)?;
                if point.t <= self.from.t && shorter < MOST_SHORTER {
                    // An event function that starts at zero may rise and come back within the first step.
                    shorter += 1;
                    *step = (next.t - at.t) * SHORTER;
                    continue;
                }
                record(&Stretch::new(at, &point, stepper.part(at, &trail)));
                return Ok((point, Stop::EventFunction(event_function)));
            }
            record(&Stretch::new(at, next, curve));
            std::mem::swap(&mut before, &mut after);
            std::mem::swap(&mut at, &mut next);
            if at.t >= self.t_end {
                return Ok((*at, Stop::Time));
            }
        }
        Err(IntegrationError::at(
            at.t,
            format!("more than {MOST_STEPS} steps"),
        ))
    }

    /// Whether an event function is below zero that was not at `a`: at `b` (`Some(None)`), or at a bottom before it.
    /// `before` are the event functions' values at `a`, `after` become those at `b`.
    fn crossed(
        &self,
        curve: Curve<'_, D>,
        before: &[f64],
        after: &mut [f64],
        a: &Point<D>,
        b: &Point<D>,
    ) -> Option<Option<Point<D>>> {
        let (mut crossed, mut dip) = (false, None);
        let values = after.iter_mut().zip(before);
        for ((value, old), &event_function) in values.zip(self.event_functions) {
            *value = self.system.event_function(event_function, b.t, &b.y, &b.dy);
            crossed |= *old >= 0.0 && *value < 0.0;
            if *old >= 0.0 && *value >= 0.0 && dip.is_none() {
                let ends = (*old, *value);
                // A state's error is how far one that starts at zero dips for it to count.
                let least = self.tolerance.absolute;
                dip = root::dips(self.system, curve, event_function, a, b, ends, least);
            }
        }
        // What crosses before the bottom of a dip has crossed there, too.
        (crossed || dip.is_some()).then_some(dip)
    }
}
