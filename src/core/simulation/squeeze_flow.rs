//! The squeeze after touchdown: the stud brakes on the melt film until the film ends.
//!
//! Two stretches. First the stud's inertia counts: speed and distance are integrated. Once the film
//! brakes it within microseconds, the speed follows the balance of push and film, and only the
//! distance is integrated; the first stretch's equations would be stiff there for nothing. A stiff
//! spring may spend itself before: then the stud comes to rest and the film stays.

use std::cell::Cell;

use nalgebra::SVector;

use super::heat_solver::MeltKnot;
use super::integrator::{
    IntegrationError, OdeSystem, Own, Point, Stop, Tolerance, Work, integrate,
};
use super::rig::Rig;
use crate::physics::squeeze::Squeeze;

/// Film left, over the melt at touchdown, at which the squeeze is over: what it still could close
/// is below a thousandth of a per cent.
const FILM_END: f64 = 2e-3;

/// Braking time below which the speed follows the film at once \[s\], and how far its own momentum may still
/// take the stud then, over the film at touchdown: a thin film that freezes leaves no more time.
const QUASI_STEADY: f64 = 2e-6;
const LAG: f64 = 1e-3;

/// Tolerance of the squeeze; the film itself is known to some tenths of a per cent.
const TOLERANCE: Tolerance = Tolerance::new(1e-6);

/// Travel after touchdown.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SqueezeKnot {
    /// Time \[s\].
    pub t: f64,
    /// Distance closed since touchdown \[m\].
    pub closed: f64,
    /// Speed \[m/s\].
    pub speed: f64,
    /// Rate of the speed \[m/s²\].
    pub rate: f64,
}

/// Speed \[m/s\] and distance closed \[mm\] over time \[ms\].
struct Forge<'a> {
    melt: &'a [MeltKnot],
    /// Volume of the melt over that of its solid, stud and sheet.
    swell: [f64; 2],
    /// Knot at which the melt was looked up last.
    at: Cell<usize>,
    squeeze: Squeeze,
    /// Net push at touchdown \[N\], spring rate \[N/m\], moving mass \[kg\].
    push: f64,
    rate: f64,
    mass: f64,
    /// Film at which it ends, and way of its own momentum that does not count \[m\].
    least: f64,
    lag: f64,
}

/// What ends a stretch.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum EventFunction {
    FilmEnd,
    QuasiSteady,
    /// The stud comes to rest: the push no longer drives it on.
    Rest,
    /// The spring is spent: what still moves the stud is below what counts.
    Spent,
}

impl Forge<'_> {
    fn film(&self, t: f64, closed: f64) -> f64 {
        // The next time asked for is near the last.
        let (mut k, t) = (self.at.get(), t * 1e-3);
        while k > 0 && self.melt[k].t > t {
            k -= 1;
        }
        while k + 1 < self.melt.len() && self.melt[k + 1].t <= t {
            k += 1;
        }
        self.at.set(k);
        let sum = |knot: &MeltKnot| swollen(knot.melt, self.swell);
        let a = &self.melt[k];
        let melt = match self.melt.get(k + 1) {
            Some(b) => sum(a) + (sum(b) - sum(a)) * ((t - a.t) / (b.t - a.t)),
            None => sum(a),
        };
        melt - closed * 1e-3
    }

    /// Film for the laws, never nothing \[m\].
    fn film_for_force(&self, t: f64, closed: f64) -> f64 {
        self.film(t, closed).max(0.5 * self.least)
    }

    /// Push left after the distance `closed` \[mm\] → \[N\].
    fn push(&self, closed: f64) -> f64 {
        self.push - self.rate * closed * 1e-3
    }

    /// Square of the push that would move the stud as far as spring and speed `w` \[m/s\] still could
    /// without a film, less that for the least film \[N²\].
    fn unspent(&self, w: f64, closed: f64) -> f64 {
        self.rate * (self.mass * w * w - self.rate * self.least * self.least)
            + self.push(closed).powi(2)
    }

    /// Speed at which the film holds the push \[m/s\].
    fn steady_speed(&self, t: f64, closed: f64) -> f64 {
        self.squeeze
            .speed(self.push(closed).max(0.0), self.film_for_force(t, closed))
    }
}

/// The stretch in which inertia counts: states speed and distance.
struct Braking<'a>(Forge<'a>);

impl OdeSystem<2> for Braking<'_> {
    type EventFunction = EventFunction;

    fn rates(&self, t: f64, y: &SVector<f64, 2>, dy: &mut SVector<f64, 2>) {
        let w = y[0].max(0.0);
        let force = self.0.push(y[1]) - self.0.squeeze.force(w, self.0.film_for_force(t, y[1]));
        dy[0] = force / self.0.mass * 1e-3;
        dy[1] = w;
    }

    fn event_function(
        &self,
        event_function: EventFunction,
        t: f64,
        y: &SVector<f64, 2>,
        _dy: &SVector<f64, 2>,
    ) -> f64 {
        match event_function {
            EventFunction::FilmEnd => self.0.film(t, y[1]) - self.0.least,
            EventFunction::QuasiSteady => {
                let film = self.0.film_for_force(t, y[1]);
                let w = y[0].max(0.0);
                let time = self.0.mass / self.0.squeeze.slope(w, film);
                let lag = (w - self.0.steady_speed(t, y[1])).abs() * time;
                (time / QUASI_STEADY).max(lag / self.0.lag) - 1.0
            }
            EventFunction::Rest => y[0],
            EventFunction::Spent => self.0.unspent(y[0], y[1]),
        }
    }
}

/// The stretch in which the speed follows the film: state distance.
struct Creeping<'a>(Forge<'a>);

impl OdeSystem<1> for Creeping<'_> {
    type EventFunction = EventFunction;

    /// The film only gets thinner: no event function comes back.
    fn longest_step(&self) -> f64 {
        100.0
    }

    fn rates(&self, t: f64, y: &SVector<f64, 1>, dy: &mut SVector<f64, 1>) {
        dy[0] = self.0.steady_speed(t, y[0]);
    }

    fn event_function(
        &self,
        event_function: EventFunction,
        t: f64,
        y: &SVector<f64, 1>,
        dy: &SVector<f64, 1>,
    ) -> f64 {
        match event_function {
            EventFunction::Spent => self.0.unspent(dy[0], y[0]),
            _ => self.0.film(t, y[0]) - self.0.least,
        }
    }
}

/// Film of liquid \[m\] of the metal molten on both faces \[m\].
fn swollen(melt: [f64; 2], swell: [f64; 2]) -> f64 {
    melt[0] * swell[0] + melt[1] * swell[1]
}

/// Melt of both faces \[m\] at the time `t` \[s\], from a record in order of time.
pub fn melt_at(melt: &[MeltKnot], t: f64) -> [f64; 2] {
    knot_at(melt, t).map_or([0.0; 2], |knot| knot.melt)
}

/// Melt and heat of the faces at the time `t` \[s\], on straight lines between the knots; `None`
/// before the first.
pub fn knot_at(melt: &[MeltKnot], t: f64) -> Option<MeltKnot> {
    let k = melt.partition_point(|knot| knot.t <= t);
    let a = melt[k.checked_sub(1)?];
    let Some(b) = melt.get(k) else { return Some(a) };
    let s = (t - a.t) / (b.t - a.t);
    let between = |a: [f64; 2], b: [f64; 2]| [0, 1].map(|l| a[l] + (b[l] - a[l]) * s);
    Some(MeltKnot {
        t,
        melt: between(a.melt, b.melt),
        face: between(a.face, b.face),
    })
}

/// Squeezes the film from touchdown (time `t` \[s\], travel `x` \[m\], speed `w` \[m/s\]) until it ends;
/// returns the distance closed \[m\].
///
/// # Errors
/// When the solver fails.
pub fn squeeze(
    rig: &Rig,
    melt: &[MeltKnot],
    (t, x, w): (f64, f64, f64),
    work: &mut Work,
    mut record: impl FnMut(SqueezeKnot),
) -> Result<f64, IntegrationError> {
    let s = &rig.stud;
    let swell = rig.faces.map(|face| face.swell());
    let film = swollen(melt_at(melt, t), swell);
    let end = melt.last().map_or(t, |k| k.t) * 1e3;
    record(SqueezeKnot {
        t,
        closed: 0.0,
        speed: w,
        rate: 0.0,
    });
    if film <= 0.0 || end <= t * 1e3 {
        return Ok(0.0);
    }
    let field = Braking(Forge {
        melt,
        swell,
        at: Cell::new(0),
        squeeze: s.squeeze,
        push: s.flight.push - s.flight.rate * x,
        rate: s.flight.rate,
        mass: s.flight.mass,
        least: film * FILM_END,
        lag: film * LAG,
    });
    let from = Point::of(&field, t * 1e3, SVector::from([w, 0.0]));
    if field.event_function(EventFunction::Spent, from.t, &from.y, &from.dy) < 0.0 {
        return Ok(0.0);
    }
    let mut step = 0.01 * film * 1e3 / w.max(1e-3);
    let event_functions = [
        EventFunction::FilmEnd,
        EventFunction::QuasiSteady,
        EventFunction::Rest,
        EventFunction::Spent,
    ];
    let quick = field.event_function(EventFunction::QuasiSteady, from.t, &from.y, &from.dy) < 0.0;
    let (point, stop) = if quick {
        (from, Stop::EventFunction(EventFunction::QuasiSteady))
    } else {
        integrate(
            &Own,
            &field,
            &from,
            end,
            &event_functions,
            TOLERANCE,
            &mut step,
            work,
            |stretch| {
                let p = stretch.to;
                record(SqueezeKnot {
                    t: p.t * 1e-3,
                    closed: p.y[1] * 1e-3,
                    speed: p.y[0].max(0.0),
                    rate: p.dy[0] * 1e3,
                });
            },
        )?
    };
    if stop != Stop::EventFunction(EventFunction::QuasiSteady) {
        return Ok(point.y[1] * 1e-3);
    }
    creep(Creeping(field.0), point.t, point.y[1], end, work, record)
}

/// The last stretch, from the time `t` \[ms\] and distance `closed` \[mm\].
fn creep(
    field: Creeping<'_>,
    t: f64,
    closed: f64,
    end: f64,
    work: &mut Work,
    mut record: impl FnMut(SqueezeKnot),
) -> Result<f64, IntegrationError> {
    let from = Point::of(&field, t, SVector::from([closed]));
    if field.event_function(EventFunction::Spent, from.t, &from.y, &from.dy) < 0.0 {
        return Ok(closed * 1e-3);
    }
    let mut step = 1e-3;
    let (point, _): (_, Stop<EventFunction>) = integrate(
        &Own,
        &field,
        &from,
        end,
        &[EventFunction::FilmEnd, EventFunction::Spent],
        TOLERANCE,
        &mut step,
        work,
        |stretch| {
            let p = stretch.to;
            record(SqueezeKnot {
                t: p.t * 1e-3,
                closed: p.y[0] * 1e-3,
                speed: p.dy[0],
                rate: 0.0,
            });
        },
    )?;
    Ok(point.y[0] * 1e-3)
}
