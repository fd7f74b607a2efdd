//! The squeeze after touchdown: the stud brakes on the melt film until the film ends.

use ode_solvers::SVector;

use super::heating::MeltKnot;
use super::march::{Field, MarchError, Point, Stop, Tolerance, Work, march};
use super::rig::Rig;
use crate::physics::squeeze::Squeeze;

/// Film left, over the melt, at which the squeeze is over; what it still could close is below a
/// hundredth of a per cent.
const FILM_END: f64 = 2e-3;

/// Travel after touchdown.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ForgeKnot {
    /// Time [s].
    pub t: f64,
    /// Distance closed since touchdown [m], speed [m/s] and its rate [m/s²].
    pub closed: f64,
    pub speed: f64,
    pub rate: f64,
}

/// Speed [m/s] and distance closed [mm] over time [ms].
struct Forge<'a> {
    melt: &'a [MeltKnot],
    squeeze: Squeeze,
    /// Net push at touchdown [N], spring rate [N/m], moving mass [kg].
    push: f64,
    rate: f64,
    mass: f64,
    /// Film at which it ends [m].
    least: f64,
}

impl Forge<'_> {
    fn film(&self, t: f64, closed: f64) -> f64 {
        melt_at(self.melt, t * 1e-3).iter().sum::<f64>() - closed * 1e-3
    }
}

impl Field<2> for Forge<'_> {
    type Guard = ();

    fn rates(&self, t: f64, y: &SVector<f64, 2>, dy: &mut SVector<f64, 2>) {
        let w = y[0].max(0.0);
        let film = self.film(t, y[1]).max(0.5 * self.least);
        let force = self.push - self.rate * y[1] * 1e-3 - self.squeeze.force(w, film);
        dy[0] = if y[0] <= 0.0 && force < 0.0 {
            0.0
        } else {
            force / self.mass * 1e-3
        };
        dy[1] = w;
    }

    fn guard(&self, (): (), t: f64, y: &SVector<f64, 2>, _dy: &SVector<f64, 2>) -> f64 {
        self.film(t, y[1]) - self.least
    }
}

/// Melt of both faces [m] at the time `t` [s], from a record in order of time.
pub fn melt_at(melt: &[MeltKnot], t: f64) -> [f64; 2] {
    let k = melt.partition_point(|knot| knot.t <= t);
    match (k.checked_sub(1).map(|k| melt[k]), melt.get(k)) {
        (Some(a), Some(b)) => {
            let s = (t - a.t) / (b.t - a.t);
            [0, 1].map(|l| a.melt[l] + (b.melt[l] - a.melt[l]) * s)
        }
        (Some(a), None) => a.melt,
        (None, _) => [0.0; 2],
    }
}

/// Squeezes the film from touchdown (time `t` [s], travel `x` [m], speed `w` [m/s]) until it ends;
/// returns the distance closed [m].
///
/// # Errors
/// When the solver gives up.
pub fn squeeze(
    rig: &Rig,
    melt: &[MeltKnot],
    (t, x, w): (f64, f64, f64),
    work: &mut Work,
    mut record: impl FnMut(ForgeKnot),
) -> Result<f64, MarchError> {
    let s = &rig.stud;
    let film: f64 = melt_at(melt, t).iter().sum();
    record(ForgeKnot {
        t,
        closed: 0.0,
        speed: w,
        rate: 0.0,
    });
    let end = melt.last().map_or(t, |k| k.t);
    if film <= 0.0 || end <= t {
        return Ok(0.0);
    }
    let field = Forge {
        melt,
        squeeze: s.squeeze,
        push: s.flight.push - s.flight.rate * x,
        rate: s.flight.rate,
        mass: s.flight.mass,
        least: film * FILM_END,
    };
    let mut from = Point {
        t: t * 1e3,
        y: SVector::from([w, 0.0]),
        dy: SVector::zeros(),
    };
    let y = from.y;
    field.rates(from.t, &y, &mut from.dy);
    let mut step = 0.01 * film * 1e3 / w.max(1e-3);
    let (point, _): (_, Stop<()>) = march(
        &field,
        &from,
        end * 1e3,
        &[()],
        Tolerance(1e-7),
        &mut step,
        work,
        |p| {
            record(ForgeKnot {
                t: p.t * 1e-3,
                closed: p.y[1] * 1e-3,
                speed: p.y[0].max(0.0),
                rate: p.dy[0] * 1e3,
            });
        },
    )?;
    Ok(point.y[1] * 1e-3)
}
