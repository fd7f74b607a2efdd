//! Where in a step an event function crosses.

use nalgebra::SVector;
use smallvec::SmallVec;

use super::between::bottom;
use super::stepper::{Curve, States, Stepper};
use super::{IntegrationError, MAX_EVENT_FUNCTIONS, OdeSystem, Point, Work};

/// Share of the way to a root above which the last correction is integrated, not gone in a straight line.
const LARGE_SHIFT: f64 = 1e-3;

/// Share of the step beyond which the correction of a root is not believed.
const MOST_SHIFT: f64 = 1e-2;

/// Share of the step to both sides of a root over which the event function's slope is taken.
const REACH: f64 = 1e-4;

/// Halvings of a step in which an event function that starts at zero is looked for above it.
const MOST_HALVINGS: i32 = 30;

/// Rounds of the search, and the share of the step at which it ends.
const MOST_ROUNDS: u32 = 60;
const CLOSE: f64 = 1e-8;
const CLOSER: f64 = 1e-12;

/// Where an event function crosses, which, and what the step to it leaves behind.
type Crossing<const D: usize, F, W> = (
    Point<D>,
    <F as OdeSystem<D>>::EventFunction,
    <W as Stepper<D>>::Trail,
);

/// An event function with its value at a step's start.
type Watched<E> = (E, f64);

/// A list of them that does not allocate.
type List<E> = SmallVec<[Watched<E>; MAX_EVENT_FUNCTIONS]>;

/// Finds the earliest crossing between two accepted points and moves the state there. `starts` are the event functions' values at `a`.
#[allow(clippy::too_many_arguments)] // one call; a struct would only rename them
pub(super) fn locate<const D: usize, F: OdeSystem<D>, W: Stepper<D>>(
    system: &F,
    stepper: &W,
    curve: Curve<'_, D>,
    a: &Point<D>,
    b: &Point<D>,
    event_functions: &[F::EventFunction],
    starts: &[f64],
    work: &mut Work,
) -> Result<Crossing<D, F, W>, IntegrationError> {
    let step = Step {
        system,
        a,
        states: curve.states(),
    };
    // Only what is not below zero at the start can cross.
    let all = event_functions.iter().copied().zip(starts.iter().copied());
    let watched: List<F::EventFunction> = all.filter(|(_, start)| *start >= 0.0).collect();
    let mut found = step.approach(stepper, b, &watched, work)?;
    // Of two roots close together the curve may have taken the later one, or its correction led past the
    // other: what has crossed by then came first.
    for _ in event_functions {
        let (point, event_function, _) = found;
        let others = watched.iter().filter(|(other, _)| *other != event_function);
        let passed = others.filter(|(other, _)| step.value(*other, &point) < 0.0);
        let passed: List<F::EventFunction> = passed.copied().collect();
        if point.t <= a.t || passed.is_empty() {
            break;
        }
        found = step.approach(stepper, &point, &passed, work)?;
    }
    Ok(found)
}

/// Where an event function with these values at two points, neither below zero, is lowest between them, if it is
/// below zero there; where it starts at zero, by more than `least`.
pub(super) fn dips<const D: usize, F: OdeSystem<D>>(
    system: &F,
    curve: Curve<'_, D>,
    event_function: F::EventFunction,
    a: &Point<D>,
    b: &Point<D>,
    (value_a, value_b): (f64, f64),
    least: f64,
) -> Option<Point<D>> {
    let [rate_a, rate_b] = system.event_rates(event_function, a, b)?;
    let h = b.t - a.t;
    let (s, value) = bottom([value_a, rate_a], [value_b, rate_b], h)?;
    if value >= 0.0 || (value_a == 0.0 && value > -least) {
        return None;
    }
    let (states, t) = (curve.states(), a.t + h * s);
    let bottom = Step { system, a, states }.point(t);
    let below = system.event_function(event_function, t, &bottom.y, &bottom.dy) < 0.0;
    below.then_some(bottom)
}

/// A step in which an event function crosses.
struct Step<'a, const D: usize, F> {
    system: &'a F,
    a: &'a Point<D>,
    states: States<'a, D>,
}

impl<const D: usize, F: OdeSystem<D>> Step<'_, D, F> {
    fn value(&self, event_function: F::EventFunction, p: &Point<D>) -> f64 {
        self.system.event_function(event_function, p.t, &p.y, &p.dy)
    }

    /// An event function on the curve of the step; no event function looks at sums.
    fn on_curve(&self, event_function: F::EventFunction, t: f64) -> f64 {
        let y = self.states.first(F::CORE, t);
        let mut dy = SVector::zeros();
        if self.system.looks_at_rates(event_function) {
            self.system.rates(t, &y, &mut dy);
        }
        self.system.event_function(event_function, t, &y, &dy)
    }

    /// The curve at a time, with the system's own rates there.
    fn point(&self, t: f64) -> Point<D> {
        Point::of(self.system, t, self.states.at(t))
    }

    /// The earliest crossing up to `b` on the curve, and the solution there.
    fn approach<W: Stepper<D>>(
        &self,
        stepper: &W,
        b: &Point<D>,
        watched: &[Watched<F::EventFunction>],
        work: &mut Work,
    ) -> Result<Crossing<D, F, W>, IntegrationError> {
        let a = self.a;
        let Some((mut guess, mut event_function)) = self.earliest(b, watched, None) else {
            return Err(IntegrationError::at(b.t, "an event function lost its root"));
        };
        // An event function may dip below zero before the one found and be back at the step's end.
        for _ in watched {
            match self.earliest(&self.point(guess), watched, Some(event_function)) {
                Some((t, other)) if t < guess => (guess, event_function) = (t, other),
                _ => break,
            }
        }
        let (mut point, mut trail) = stepper.within(self.system, a, guess, work)?;
        // The event function's slope from the interpolant is good to its error squared after one correction.
        let reach = (b.t - a.t) * REACH;
        let [low, high] = [guess - reach, guess + reach].map(|t| self.on_curve(event_function, t));
        let shift = -self.value(event_function, &point) * (2.0 * reach) / (high - low);
        if point.t + shift <= a.t {
            return Ok((*a, event_function, trail));
        }
        if shift.is_finite() && shift.abs() < (b.t - a.t) * MOST_SHIFT {
            if shift.abs() > LARGE_SHIFT * (point.t - a.t) {
                // Early in a step a straight line does not lead to where the solution was.
                (point, trail) = stepper.within(self.system, a, point.t + shift, work)?;
            } else {
                let y = point.y + point.dy * shift;
                point = Point::of(self.system, point.t + shift, y);
            }
        }
        Ok((point, event_function, trail))
    }

    /// The first event function that crosses up to `b`, with its root on the curve; not the one whose root `b` is.
    fn earliest(
        &self,
        b: &Point<D>,
        watched: &[Watched<F::EventFunction>],
        root_of: Option<F::EventFunction>,
    ) -> Option<(f64, F::EventFunction)> {
        let mut first: Option<(f64, F::EventFunction)> = None;
        for &(event_function, start) in watched {
            if Some(event_function) == root_of {
                continue;
            }
            let end = self.value(event_function, b);
            if end >= 0.0 {
                continue;
            }
            let t = self.root(event_function, b.t, (start, end));
            if first.is_none_or(|(earliest, _)| t < earliest) {
                first = Some((t, event_function));
            }
        }
        first
    }

    /// Root of an event function with these values at the step's start and at `end` \[ms\], on the curve.
    fn root(
        &self,
        event_function: F::EventFunction,
        end: f64,
        (start, mut at_high): (f64, f64),
    ) -> f64 {
        let whole = end - self.a.t;
        let (mut low, mut high) = (self.a.t, end);
        let mut at_low = start;
        if start == 0.0 {
            // It may rise from zero before it falls, as the speed of a stud that slips a little does.
            let Some((t, value)) = self.rises(event_function, end) else {
                return self.a.t;
            };
            (low, at_low) = (t, value);
        }
        let (mut last, mut was_below) = (f64::INFINITY, None);
        for round in 0..MOST_ROUNDS {
            // False position; the side that stays a second time counts half (Illinois).
            let t = if round % 8 == 7 {
                0.5 * (low + high)
            } else {
                (low * at_high - high * at_low) / (at_high - at_low)
            };
            // False position comes in fast: what the last round moved bounds what is left.
            if (t - last).abs() < CLOSE * whole {
                return t;
            }
            last = t;
            let value = self.on_curve(event_function, t);
            let stays = was_below.replace(value < 0.0) == Some(value < 0.0);
            if value < 0.0 {
                if high - t < CLOSER * whole {
                    return t;
                }
                (high, at_high) = (t, value);
                if stays {
                    at_low *= 0.5;
                }
            } else {
                if t - low < CLOSER * whole {
                    return t;
                }
                (low, at_low) = (t, value);
                if stays {
                    at_high *= 0.5;
                }
            }
            if high - low < CLOSE * whole {
                break;
            }
        }
        0.5 * (low + high)
    }

    /// A moment soon after the step's start at which an event function that is zero there is above it, with its
    /// value.
    fn rises(&self, event_function: F::EventFunction, end: f64) -> Option<(f64, f64)> {
        (1..=MOST_HALVINGS).find_map(|n| {
            let t = self.a.t + (end - self.a.t) * 0.5f64.powi(n);
            let value = self.on_curve(event_function, t);
            (t > self.a.t && value > 0.0).then_some((t, value))
        })
    }
}
