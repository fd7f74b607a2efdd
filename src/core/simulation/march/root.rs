//! Where in a step a guard crosses.

use nalgebra::SVector;

use super::between::bottom;
use super::way::{States, Way};
use super::{Field, MOST_GUARDS, MarchError, Point, Work};

/// Share of the way to a root above which the last correction is integrated, not gone in a straight line.
const LARGE_SHIFT: f64 = 1e-3;

/// Share of the step beyond which the correction of a root is not believed.
const MOST_SHIFT: f64 = 1e-2;

/// Share of the step to both sides of a root over which the guard's slope is taken.
const REACH: f64 = 1e-4;

/// Halvings of a step in which a guard that starts at zero is looked for above it.
const MOST_HALVINGS: i32 = 30;

/// Rounds of the search, and the share of the step at which it ends.
const MOST_ROUNDS: u32 = 60;
const CLOSE: f64 = 1e-9;
const CLOSER: f64 = 1e-12;

/// Where a guard crosses, which, and what the way there leaves behind.
type Crossing<const D: usize, F, W> = (Point<D>, <F as Field<D>>::Guard, <W as Way<D>>::Trail);

/// Finds the earliest crossing between two accepted points and moves the state there.
pub(super) fn locate<const D: usize, F: Field<D>, W: Way<D>>(
    field: &F,
    way: &W,
    a: &Point<D>,
    b: &Point<D>,
    guards: &[F::Guard],
    work: &mut Work,
) -> Result<Crossing<D, F, W>, MarchError> {
    let step = Step {
        field,
        a,
        states: way.curve(a).states(),
    };
    let mut found = step.approach(way, b, guards, work)?;
    // Of two roots close together the curve may have taken the later one, or its correction led past the
    // other: what has crossed by then came first.
    for _ in guards {
        let (point, guard, _) = found;
        let mut passed = [guard; MOST_GUARDS];
        let mut count = 0;
        for &other in guards {
            let crossed = step.value(other, a) >= 0.0 && step.value(other, &point) < 0.0;
            if other != guard && crossed {
                passed[count] = other;
                count += 1;
            }
        }
        if point.t <= a.t || count == 0 {
            break;
        }
        found = step.approach(way, &point, &passed[..count], work)?;
    }
    Ok(found)
}

/// Where a guard with these values at two points, neither below zero, is lowest between them, if it is
/// below zero there; where it starts at zero, by more than `least`.
pub(super) fn dips<const D: usize, F: Field<D>, W: Way<D>>(
    field: &F,
    way: &W,
    guard: F::Guard,
    a: &Point<D>,
    b: &Point<D>,
    (value_a, value_b): (f64, f64),
    least: f64,
) -> Option<Point<D>> {
    let [rate_a, rate_b] = field.guard_rates(guard, a, b)?;
    let h = b.t - a.t;
    let (s, value) = bottom([value_a, rate_a], [value_b, rate_b], h)?;
    if value >= 0.0 || (value_a == 0.0 && value > -least) {
        return None;
    }
    let (states, t) = (way.curve(a).states(), a.t + h * s);
    let bottom = Step { field, a, states }.point(t);
    let below = field.guard(guard, t, &bottom.y, &bottom.dy) < 0.0;
    below.then_some(bottom)
}

/// A step in which a guard crosses.
struct Step<'a, const D: usize, F> {
    field: &'a F,
    a: &'a Point<D>,
    states: States<'a, D>,
}

impl<const D: usize, F: Field<D>> Step<'_, D, F> {
    fn value(&self, guard: F::Guard, p: &Point<D>) -> f64 {
        self.field.guard(guard, p.t, &p.y, &p.dy)
    }

    /// A guard on the curve of the step; no guard looks at sums.
    fn on_curve(&self, guard: F::Guard, t: f64) -> f64 {
        let y = self.states.first(F::CORE, t);
        let mut dy = SVector::zeros();
        if self.field.looks_at_rates(guard) {
            self.field.rates(t, &y, &mut dy);
        }
        self.field.guard(guard, t, &y, &dy)
    }

    /// The curve at a time, with the field's own rates there.
    fn point(&self, t: f64) -> Point<D> {
        Point::of(self.field, t, self.states.at(t))
    }

    /// The earliest crossing up to `b` on the curve, and the solution there.
    fn approach<W: Way<D>>(
        &self,
        way: &W,
        b: &Point<D>,
        guards: &[F::Guard],
        work: &mut Work,
    ) -> Result<Crossing<D, F, W>, MarchError> {
        let a = self.a;
        let Some((mut guess, mut guard)) = self.earliest(b, guards) else {
            return Err(MarchError::at(b.t, "a guard lost its root"));
        };
        // A guard may dip below zero before the one found and be back at the step's end.
        for _ in guards {
            match self.earliest(&self.point(guess), guards) {
                Some((t, other)) if t < guess => (guess, guard) = (t, other),
                _ => break,
            }
        }
        let (mut point, mut trail) = way.within(self.field, a, guess, work)?;
        // The guard's slope from the interpolant is good to its error squared after one correction.
        let reach = (b.t - a.t) * REACH;
        let [low, high] = [guess - reach, guess + reach].map(|t| self.on_curve(guard, t));
        let shift = -self.value(guard, &point) * (2.0 * reach) / (high - low);
        if point.t + shift <= a.t {
            return Ok((*a, guard, trail));
        }
        if shift.is_finite() && shift.abs() < (b.t - a.t) * MOST_SHIFT {
            if shift.abs() > LARGE_SHIFT * (point.t - a.t) {
                // Early in a step a straight line does not lead to where the solution was.
                (point, trail) = way.within(self.field, a, point.t + shift, work)?;
            } else {
                let y = point.y + point.dy * shift;
                point = Point::of(self.field, point.t + shift, y);
            }
        }
        Ok((point, guard, trail))
    }

    /// The first guard that crosses up to `b`, with its root on the curve.
    fn earliest(&self, b: &Point<D>, guards: &[F::Guard]) -> Option<(f64, F::Guard)> {
        let mut first: Option<(f64, F::Guard)> = None;
        for &guard in guards {
            let (start, end) = (self.value(guard, self.a), self.value(guard, b));
            if start < 0.0 || end >= 0.0 {
                continue;
            }
            let t = self.root(guard, b.t, (start, end));
            if first.is_none_or(|(earliest, _)| t < earliest) {
                first = Some((t, guard));
            }
        }
        first
    }

    /// Root of a guard with these values at the step's start and at `end` \[ms\], on the curve.
    fn root(&self, guard: F::Guard, end: f64, (start, mut at_high): (f64, f64)) -> f64 {
        let whole = end - self.a.t;
        let (mut low, mut high) = (self.a.t, end);
        let mut at_low = start;
        if start == 0.0 {
            // It may rise from zero before it falls, as the speed of a stud that slips a little does.
            let Some((t, value)) = self.rises(guard, end) else {
                return self.a.t;
            };
            (low, at_low) = (t, value);
        }
        for round in 0..MOST_ROUNDS {
            // False position with a halving (Illinois) on the side that stays.
            let t = if round % 8 == 7 {
                0.5 * (low + high)
            } else {
                (low * at_high - high * at_low) / (at_high - at_low)
            };
            let value = self.on_curve(guard, t);
            if value < 0.0 {
                if high - t < CLOSER * whole {
                    return t;
                }
                (high, at_high) = (t, value);
                at_low *= 0.5;
            } else {
                if t - low < CLOSER * whole {
                    return t;
                }
                (low, at_low) = (t, value);
                at_high *= 0.5;
            }
            if high - low < CLOSE * whole {
                break;
            }
        }
        0.5 * (low + high)
    }

    /// A moment soon after the step's start at which a guard that is zero there is above it, with its
    /// value.
    fn rises(&self, guard: F::Guard, end: f64) -> Option<(f64, f64)> {
        (1..=MOST_HALVINGS).find_map(|n| {
            let t = self.a.t + (end - self.a.t) * 0.5f64.powi(n);
            let value = self.on_curve(guard, t);
            (t > self.a.t && value > 0.0).then_some((t, value))
        })
    }
}
