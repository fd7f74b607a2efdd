//! How the march finds its events, on equations with known roots.

use arcplunge_core::simulation::integrator::{
    OdeSystem, Own, Point, Stop, Tolerance, Work, integrate,
};
use nalgebra::SVector;

/// Half the time for which the parabola is below zero.
const HALF: f64 = 0.05;

/// y = (t − 1)² − HALF²: below zero for less than a step; its rate may be known to the march.
struct Dip {
    rate_known: bool,
}

impl OdeSystem<1> for Dip {
    type EventFunction = ();

    fn rates(&self, t: f64, _y: &SVector<f64, 1>, dy: &mut SVector<f64, 1>) {
        dy[0] = 2.0 * (t - 1.0);
    }

    fn longest_step(&self) -> f64 {
        0.25
    }

    fn event_rates(&self, (): (), a: &Point<1>, b: &Point<1>) -> Option<[f64; 2]> {
        self.rate_known.then_some([a.dy[0], b.dy[0]])
    }

    fn event_function(&self, (): (), _t: f64, y: &SVector<f64, 1>, _dy: &SVector<f64, 1>) -> f64 {
        y[0]
    }
}

fn found(rate_known: bool) -> (f64, Stop<()>) {
    let field = Dip { rate_known };
    let mut from = Point {
        t: 0.0,
        y: SVector::from([1.0 - HALF * HALF]),
        dy: SVector::zeros(),
    };
    field.rates(from.t, &from.y, &mut from.dy);
    let (tolerance, mut step, mut work) = (Tolerance::default(), 0.02, Work::default());
    let end = integrate(
        &Own,
        &field,
        &from,
        3.0,
        &[()],
        tolerance,
        &mut step,
        &mut work,
        |_| (),
    );
    let (point, stop) = end.expect("an easy equation");
    (point.t, stop)
}

#[test]
fn closed_form_a_dip_within_a_step_is_an_event() {
    let (t, stop) = found(true);
    assert_eq!(stop, Stop::EventFunction(()));
    assert!((t - (1.0 - HALF)).abs() < 1e-9, "{t}");
}

#[test]
fn closed_form_the_dip_is_missed_without_the_guards_rate() {
    // The control: no point of the march falls into the dip.
    assert_eq!(found(false), (3.0, Stop::Time));
}
