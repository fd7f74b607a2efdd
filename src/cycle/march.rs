//! Integrates a phase with the Dormand-Prince solver of `ode_solvers` and finds its events.
//!
//! The event contract:
//! - a guard is a function of time, state and rates that is positive (or zero) before its event and
//!   negative after; only that crossing counts, the other way round is none; a guard whose rate is
//!   known is seen to cross and come back within a step, too;
//! - the earliest crossing in a step wins; later ones in that step are found again from there;
//! - the state is integrated anew from the step's start to the root, so it lies on the solution and
//!   not on an interpolant; a last correction of first order moves it onto the guard;
//! - the caller changes the mode at the root (reset), which removes or swaps the guard that fired, so
//!   it cannot fire again at once;
//! - a time known beforehand is reached by stopping there, not by root finding.

use std::cell::Cell;

use ode_solvers::dop_shared::{IntegrationError, OutputType, System};
use ode_solvers::{Dopri5, SVector};
use thiserror::Error;

use super::between::cubic;
pub use super::tolerance::Tolerance;

/// Longest step of a discharge \[ms\].
const LONGEST_STEP: f64 = 0.25;

/// Least step relative to the time that the solver can take; shorter ones are left to the correction.
const LEAST_STEP: f64 = 1e-14;

/// Most steps of one leg; a discharge needs some tens, one through resistance alone a hundred thousand at worst.
const MOST_STEPS: u32 = 500_000;

/// Share of the way to a root above which the last correction is integrated, not gone in a straight line.
const LARGE_SHIFT: f64 = 1e-3;

/// How often a first step in which a guard crosses at its very start is tried shorter, and by how much.
const MOST_SHORTER: u32 = 4;
const SHORTER: f64 = 0.02;

/// Halvings of a step in which a guard that starts at zero is looked for above it.
const MOST_HALVINGS: i32 = 30;

/// Equations and guards of a phase.
pub trait Field<const D: usize> {
    /// Guards of the phase.
    type Guard: Copy + PartialEq;

    /// Rates `dy` at the time `t` and state `y`.
    fn rates(&self, t: f64, y: &SVector<f64, D>, dy: &mut SVector<f64, D>);

    /// Longest step \[ms\]: short enough that no guard crosses twice within one.
    fn longest_step(&self) -> f64 {
        LONGEST_STEP
    }

    /// Rates at both ends of a step of a guard that may cross and come back within it; `None` for the
    /// others.
    fn guard_rates(&self, _guard: Self::Guard, _a: &Point<D>, _b: &Point<D>) -> Option<[f64; 2]> {
        None
    }

    /// Value of a guard: positive before its event, negative after.
    fn guard(&self, guard: Self::Guard, t: f64, y: &SVector<f64, D>, dy: &SVector<f64, D>) -> f64;
}

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
    /// Evaluations of the rates.
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

struct Driver<'a, const D: usize, F: Field<D>, R> {
    field: &'a F,
    guards: &'a [F::Guard],
    before: Point<D>,
    values: [f64; MOST_GUARDS],
    hit: &'a Cell<Option<(Point<D>, Point<D>)>>,
    last: &'a Cell<Option<Point<D>>>,
    record: R,
}

/// Most guards watched at once.
pub const MOST_GUARDS: usize = 16;

impl<const D: usize, F, R> System<f64, SVector<f64, D>> for Driver<'_, D, F, R>
where
    F: Field<D>,
    R: FnMut(&Point<D>),
{
    fn system(&self, t: f64, y: &SVector<f64, D>, dy: &mut SVector<f64, D>) {
        self.field.rates(t, y, dy);
    }

    fn solout(&mut self, t: f64, y: &SVector<f64, D>, dy: &SVector<f64, D>) -> bool {
        let now = Point { t, y: *y, dy: *dy };
        let mut crossed = false;
        let mut dip = None;
        for (value, &guard) in self.values.iter_mut().zip(self.guards) {
            let v = self.field.guard(guard, t, y, dy);
            crossed |= *value >= 0.0 && v < 0.0;
            if *value > 0.0 && v >= 0.0 {
                dip = dip.or_else(|| dips(self.field, guard, &self.before, &now, (*value, v)));
            }
            *value = v;
        }
        if crossed || dip.is_some() {
            // What crosses before the bottom of a dip has crossed there, too.
            self.hit.set(Some((self.before, dip.unwrap_or(now))));
            return true;
        }
        self.before = now;
        self.last.set(Some(now));
        (self.record)(&now);
        false
    }
}

/// Marches from `from` to `t_end` \[ms\] or to the first guard that crosses.
///
/// `step` is the first step's size and returns the one to go on with. Every accepted point goes to
/// `record`, the last one included.
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
    mut record: impl FnMut(&Point<D>),
) -> Result<(Point<D>, Stop<F::Guard>), MarchError> {
    if t_end - from.t <= LEAST_STEP * t_end.abs() {
        return Ok((Point { t: t_end, ..*from }, Stop::Time));
    }
    let mut values = [0.0; MOST_GUARDS];
    for (value, &guard) in values.iter_mut().zip(guards) {
        *value = field.guard(guard, from.t, &from.y, &from.dy);
    }
    let mut shorter = 0;
    loop {
        let hit = Cell::new(None);
        let last = Cell::new(None);
        let driver = Driver {
            field,
            guards,
            before: *from,
            values,
            hit: &hit,
            last: &last,
            record: &mut record,
        };
        let sizes = (*step, field.longest_step());
        let next = integrate(driver, from, t_end, tolerance, sizes, work)?;
        let Some((before, after)) = hit.get() else {
            *step = next;
            return Ok((last.get().unwrap_or(*from), Stop::Time));
        };
        let (point, guard) = locate(field, &before, &after, guards, tolerance, work)?;
        if point.t <= from.t && shorter < MOST_SHORTER {
            // A guard that starts at zero may rise and come back within the first step.
            shorter += 1;
            *step = (after.t - from.t) * SHORTER;
            continue;
        }
        *step = next;
        record(&point);
        return Ok((point, Stop::Guard(guard)));
    }
}

/// One call of the solver; returns a step size to go on with.
fn integrate<const D: usize, S: System<f64, SVector<f64, D>>>(
    system: S,
    from: &Point<D>,
    t_end: f64,
    tolerance: Tolerance,
    (step, longest): (f64, f64),
    work: &mut Work,
) -> Result<f64, MarchError> {
    let h = step.min(t_end - from.t);
    let mut solver = Dopri5::from_param(
        system,
        from.t,
        t_end,
        0.0,
        from.y,
        tolerance.relative,
        tolerance.absolute,
        0.9,
        0.04,
        0.2,
        6.0,
        longest,
        h,
        MOST_STEPS,
        u32::MAX, // the phases are not stiff; the solver's own heuristic would stop on a kink
        OutputType::Sparse,
    );
    let stats = solver.integrate().map_err(|e| {
        let time = match e {
            IntegrationError::MaxNumStepReached { x, .. }
            | IntegrationError::StepSizeUnderflow { x }
            | IntegrationError::StiffnessDetected { x } => x,
        };
        MarchError::Stopped {
            time_s: time * 1e-3,
            why: e.to_string(),
        }
    })?;
    work.evaluations += u64::from(stats.num_eval);
    work.steps += u64::from(stats.accepted_steps);
    work.rejected += u64::from(stats.rejected_steps);
    let times = solver.x_out();
    let longest = times.windows(2).map(|w| w[1] - w[0]).fold(h, f64::max);
    Ok(longest.max(1e-6))
}

/// Finds the earliest crossing between two accepted points and moves the state there.
fn locate<const D: usize, F: Field<D>>(
    field: &F,
    a: &Point<D>,
    b: &Point<D>,
    guards: &[F::Guard],
    tolerance: Tolerance,
    work: &mut Work,
) -> Result<(Point<D>, F::Guard), MarchError> {
    let mut found = approach(field, a, b, guards, tolerance, work)?;
    // Of two roots close together the interpolant may have taken the later one.
    for _ in guards {
        let (point, guard) = found;
        let passed = |&other: &F::Guard| {
            other != guard
                && field.guard(other, a.t, &a.y, &a.dy) >= 0.0
                && field.guard(other, point.t, &point.y, &point.dy) < 0.0
        };
        if point.t <= a.t || !guards.iter().any(passed) {
            break;
        }
        found = approach(field, a, &point, guards, tolerance, work)?;
    }
    Ok(found)
}

/// The earliest crossing on the interpolant, and the solution there.
fn approach<const D: usize, F: Field<D>>(
    field: &F,
    a: &Point<D>,
    b: &Point<D>,
    guards: &[F::Guard],
    tolerance: Tolerance,
    work: &mut Work,
) -> Result<(Point<D>, F::Guard), MarchError> {
    let Some((mut guess, mut guard)) = earliest(field, a, b, guards) else {
        return Err(MarchError::Stopped {
            time_s: b.t * 1e-3,
            why: "a guard lost its root".into(),
        });
    };
    // A guard may dip below zero before the one found and be back at the step's end.
    let mut end = hermite(field, a, b, guess);
    for _ in guards {
        match earliest(field, a, &end, guards) {
            Some((t, other)) if t < guess => {
                (guess, guard) = (t, other);
                end = hermite(field, a, b, guess);
            }
            _ => break,
        }
    }
    let mut point = advance(field, a, guess, tolerance, work)?;
    // The guard's slope from the interpolant is good to its error squared after one correction.
    let reach = (b.t - a.t) * 1e-4;
    let (low, high) = (
        hermite(field, a, b, guess - reach),
        hermite(field, a, b, guess + reach),
    );
    let slope = (field.guard(guard, high.t, &high.y, &high.dy)
        - field.guard(guard, low.t, &low.y, &low.dy))
        / (2.0 * reach);
    let value = field.guard(guard, point.t, &point.y, &point.dy);
    let shift = -value / slope;
    if point.t + shift <= a.t {
        return Ok((*a, guard));
    }
    if shift.is_finite() && shift.abs() < (b.t - a.t) * 1e-2 {
        if shift.abs() > LARGE_SHIFT * (point.t - a.t) {
            // Early in a step a straight line does not lead to where the solution was.
            point = advance(field, a, point.t + shift, tolerance, work)?;
        } else {
            point.y += point.dy * shift;
            point.t += shift;
            field.rates(point.t, &point.y, &mut point.dy);
        }
    }
    Ok((point, guard))
}

/// The first guard that crosses between two points, with its root on the interpolant.
fn earliest<const D: usize, F: Field<D>>(
    field: &F,
    a: &Point<D>,
    b: &Point<D>,
    guards: &[F::Guard],
) -> Option<(f64, F::Guard)> {
    let mut first: Option<(f64, F::Guard)> = None;
    for &guard in guards {
        let start = field.guard(guard, a.t, &a.y, &a.dy);
        if start < 0.0 || field.guard(guard, b.t, &b.y, &b.dy) >= 0.0 {
            continue;
        }
        let t = bisect(field, guard, a, b, start);
        if first.is_none_or(|(earliest, _)| t < earliest) {
            first = Some((t, guard));
        }
    }
    first
}

/// Where a guard with these values at two points, both above zero, is lowest between them, if it is
/// below zero there.
fn dips<const D: usize, F: Field<D>>(
    field: &F,
    guard: F::Guard,
    a: &Point<D>,
    b: &Point<D>,
    (value_a, value_b): (f64, f64),
) -> Option<Point<D>> {
    let [rate_a, rate_b] = field.guard_rates(guard, a, b)?;
    if rate_a >= 0.0 || rate_b <= 0.0 {
        return None;
    }
    // The bottom of the guard's own cubic over s = 0 to 1, from value + first·s + second·s² + third·s³.
    let h = b.t - a.t;
    let (first, rise) = (rate_a * h, value_b - value_a);
    let second = 3.0 * rise - 2.0 * first - rate_b * h;
    let third = first + rate_b * h - 2.0 * rise;
    let s = -first / (second + (second * second - 3.0 * third * first).sqrt());
    if value_a + s * (first + s * (second + s * third)) >= 0.0 {
        return None;
    }
    let bottom = hermite(field, a, b, a.t + h * s);
    (field.guard(guard, bottom.t, &bottom.y, &bottom.dy) < 0.0).then_some(bottom)
}

/// Integrates without guards from `from` to `t`.
fn advance<const D: usize, F: Field<D>>(
    field: &F,
    from: &Point<D>,
    t: f64,
    tolerance: Tolerance,
    work: &mut Work,
) -> Result<Point<D>, MarchError> {
    let mut step = t - from.t;
    if step <= LEAST_STEP * t.abs() {
        return Ok(*from);
    }
    march(field, from, t, &[], tolerance, &mut step, work, |_| ()).map(|(point, _)| point)
}

/// Root of a guard on the cubic Hermite interpolant (a guess, good to the interpolant's error).
fn bisect<const D: usize, F: Field<D>>(
    field: &F,
    guard: F::Guard,
    a: &Point<D>,
    b: &Point<D>,
    start: f64,
) -> f64 {
    let (mut low, mut high) = (a.t, b.t);
    let mut at_low = start;
    let mut at_high = field.guard(guard, b.t, &b.y, &b.dy);
    if start == 0.0 {
        // It may rise from zero before it falls, as the speed of a stud that slips a little does.
        let Some((t, value)) = rises(field, guard, a, b) else {
            return a.t;
        };
        (low, at_low) = (t, value);
    }
    for round in 0..60 {
        // False position with a halving (Illinois) on the side that stays.
        let t = if round % 8 == 7 {
            0.5 * (low + high)
        } else {
            (low * at_high - high * at_low) / (at_high - at_low)
        };
        let p = hermite(field, a, b, t);
        let value = field.guard(guard, p.t, &p.y, &p.dy);
        if value < 0.0 {
            if high - t < 1e-12 * (b.t - a.t) {
                return t;
            }
            (high, at_high) = (t, value);
            at_low *= 0.5;
        } else {
            if t - low < 1e-12 * (b.t - a.t) {
                return t;
            }
            (low, at_low) = (t, value);
            at_high *= 0.5;
        }
        if high - low < 1e-9 * (b.t - a.t) {
            break;
        }
    }
    0.5 * (low + high)
}

/// A moment soon after `a` at which a guard that is zero there is above it, with its value.
fn rises<const D: usize, F: Field<D>>(
    field: &F,
    guard: F::Guard,
    a: &Point<D>,
    b: &Point<D>,
) -> Option<(f64, f64)> {
    (1..=MOST_HALVINGS).find_map(|n| {
        let t = a.t + (b.t - a.t) * 0.5f64.powi(n);
        let p = hermite(field, a, b, t);
        let value = field.guard(guard, p.t, &p.y, &p.dy);
        (t > a.t && value > 0.0).then_some((t, value))
    })
}

/// The cubic between two points, with the field's own rates there.
fn hermite<const D: usize, F: Field<D>>(field: &F, a: &Point<D>, b: &Point<D>, t: f64) -> Point<D> {
    let y = cubic(a, b, (t - a.t) / (b.t - a.t));
    let mut dy = SVector::zeros();
    field.rates(t, &y, &mut dy);
    Point { t, y, dy }
}
