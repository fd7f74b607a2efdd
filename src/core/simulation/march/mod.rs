//! Integrates a phase from event to event.
//!
//! The event contract:
//! - a guard is a function of time, state and rates that is positive (or zero) before its event and
//!   negative after; only that crossing counts, the other way round is none; a guard whose rate is
//!   known is seen to cross and come back within a step, too;
//! - the earliest crossing in a step wins; later ones in that step are found again from there;
//! - the state at the root lies on the solution, not on an interpolant; a last correction of first
//!   order moves it onto the guard;
//! - the caller changes the mode at the root (reset), which removes or swaps the guard that fired, so
//!   it cannot fire again at once;
//! - a time known beforehand is reached by stopping there, not by root finding.
//!
//! Three ways lead along a solution, see `Way`: its power series where the field has one, the pair of
//! Dormand and Prince where it has none, and the solver of a general-purpose library, which the other
//! two are held against. The first two ask for no memory.

mod between;
mod field;
mod library;
mod root;
mod runge_kutta;
mod series;
mod tolerance;
mod way;

use nalgebra::SVector;
use thiserror::Error;

pub(super) use between::{hermite, summit};
pub use field::Field;
use library::Library;
use runge_kutta::RungeKutta;
use series::Series;
pub use tolerance::{Solver, Tolerance};
pub use way::Stretch;
use way::Way;

/// Least step relative to the time; shorter ones are left to the correction.
const LEAST_STEP: f64 = 1e-14;

/// Most steps of one leg; a discharge needs some tens, one through resistance alone a hundred thousand at worst.
const MOST_STEPS: u32 = 500_000;

/// Least size that a step hands on to the next \[ms\].
const LEAST_FIRST: f64 = 1e-6;

/// Share of a step within which the end of the leg is taken along.
const NEAR_END: f64 = 1.01;

/// How often a first step in which a guard crosses at its very start is tried shorter, and by how much.
const MOST_SHORTER: u32 = 4;
const SHORTER: f64 = 0.02;

/// Most guards watched at once.
pub const MOST_GUARDS: usize = 16;

/// A point of the solution: time, state and rates.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point<const D: usize> {
    /// Time \[ms\].
    pub t: f64,
    /// State, in the field's own units.
    pub y: SVector<f64, D>,
    /// Rates of the state, per ms.
    pub dy: SVector<f64, D>,
}

impl<const D: usize> Point<D> {
    /// Of a field, at the time `t` \[ms\] and the state `y`.
    pub fn of(field: &impl Field<D>, t: f64, y: SVector<f64, D>) -> Self {
        let mut dy = SVector::zeros();
        field.rates(t, &y, &mut dy);
        Point { t, y, dy }
    }
}

/// Why a leg of the march ended.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Stop<G> {
    /// The given end time was reached.
    Time,
    /// A guard crossed.
    Guard(G),
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
pub enum MarchError {
    /// The solver gave up.
    #[error("the integration stopped at {time_s:.6e} s: {why}")]
    Stopped {
        /// Time reached \[s\].
        time_s: f64,
        /// Why, in words.
        why: String,
    },
}

impl MarchError {
    /// At the time `t` \[ms\].
    fn at(t: f64, why: impl Into<String>) -> Self {
        MarchError::Stopped {
            time_s: t * 1e-3,
            why: why.into(),
        }
    }
}

/// Marches from `from`, whose rates are those of its state, to `t_end` \[ms\] or to the first guard that
/// crosses.
///
/// `step` is the first step's size and returns the one to go on with. Every stretch that was gone goes
/// to `record`, the last one included.
///
/// # Errors
/// When the solver gives up; see [`MarchError`].
#[allow(clippy::too_many_arguments)] // one call a phase; a struct would only rename them
pub fn march<const D: usize, F: Field<D>>(
    field: &F,
    from: &Point<D>,
    t_end: f64,
    guards: &[F::Guard],
    tolerance: Tolerance,
    step: &mut f64,
    work: &mut Work,
    record: impl FnMut(&Stretch<'_, D>),
) -> Result<(Point<D>, Stop<F::Guard>), MarchError> {
    if t_end - from.t <= LEAST_STEP * t_end.abs() {
        return Ok((Point { t: t_end, ..*from }, Stop::Time));
    }
    let leg = Leg {
        field,
        from,
        t_end,
        guards,
        least: tolerance.absolute,
    };
    match tolerance.solver {
        Solver::Library => leg.along(&mut Library::new(tolerance), step, work, record),
        Solver::Own if field.has_series() => {
            leg.along(&mut Series::new(tolerance), step, work, record)
        }
        Solver::Own => leg.along(&mut RungeKutta::new(tolerance), step, work, record),
    }
}

/// What one leg of the march goes by.
struct Leg<'a, const D: usize, F: Field<D>> {
    field: &'a F,
    from: &'a Point<D>,
    t_end: f64,
    guards: &'a [F::Guard],
    /// How far a guard that starts at zero dips for it to count: a state's error.
    least: f64,
}

impl<const D: usize, F: Field<D>> Leg<'_, D, F> {
    fn along<W: Way<D>>(
        &self,
        way: &mut W,
        step: &mut f64,
        work: &mut Work,
        mut record: impl FnMut(&Stretch<'_, D>),
    ) -> Result<(Point<D>, Stop<F::Guard>), MarchError> {
        let (field, longest) = (self.field, self.field.longest_step());
        let mut values = [0.0; MOST_GUARDS];
        for (value, &guard) in values.iter_mut().zip(self.guards) {
            *value = field.guard(guard, self.from.t, &self.from.y, &self.from.dy);
        }
        let mut at = *self.from;
        let mut shorter = 0;
        for _ in 0..MOST_STEPS {
            let left = self.t_end - at.t;
            let wanted = step.min(longest);
            let last = NEAR_END * wanted >= left;
            let mut next = way.step(field, &at, if last { left } else { wanted }, work)?;
            *step = way.next_size().max(LEAST_FIRST);
            if (next.t - self.t_end).abs() <= LEAST_STEP * self.t_end.abs() {
                next.t = self.t_end;
            }
            if let Some(end) = self.crossed(way, &mut values, &at, &next) {
                let (point, guard, trail) = root::locate(field, way, &at, &end, self.guards, work)?;
                if point.t <= self.from.t && shorter < MOST_SHORTER {
                    // A guard that starts at zero may rise and come back within the first step.
                    shorter += 1;
                    *step = (next.t - at.t) * SHORTER;
                    continue;
                }
                way.end_with(trail);
                record(&Stretch::new(&at, &point, way.curve(&at)));
                return Ok((point, Stop::Guard(guard)));
            }
            record(&Stretch::new(&at, &next, way.curve(&at)));
            at = next;
            if at.t >= self.t_end {
                return Ok((at, Stop::Time));
            }
        }
        Err(MarchError::at(
            at.t,
            format!("more than {MOST_STEPS} steps"),
        ))
    }

    /// Where a guard is below zero that was not at `a`: at `b`, or at a bottom before it; `None` if none is.
    /// `values` are the guards' at `a`, and become those at `b` if none is.
    fn crossed<W: Way<D>>(
        &self,
        way: &W,
        values: &mut [f64; MOST_GUARDS],
        a: &Point<D>,
        b: &Point<D>,
    ) -> Option<Point<D>> {
        let mut after = *values;
        let (mut crossed, mut dip) = (false, None);
        for ((value, old), &guard) in after.iter_mut().zip(values.iter()).zip(self.guards) {
            *value = self.field.guard(guard, b.t, &b.y, &b.dy);
            crossed |= *old >= 0.0 && *value < 0.0;
            if *old >= 0.0 && *value >= 0.0 && dip.is_none() {
                let ends = (*old, *value);
                dip = root::dips(self.field, way, guard, a, b, ends, self.least);
            }
        }
        if crossed || dip.is_some() {
            // What crosses before the bottom of a dip has crossed there, too.
            return Some(dip.unwrap_or(*b));
        }
        *values = after;
        None
    }
}
