//! The integrator itself: how fast its error falls, and a second solver that goes from event to event with the
//! same equations.

use nalgebra::SVector;

use super::balance::cases;
use super::bench::or_none;
use super::{Allowed, Check, Evidence, Source};
use crate::dop853::Library;
use arcplunge_core::case::Case;
use arcplunge_core::simulation::discharge::{Discharge, discharge, discharge_by};
use arcplunge_core::simulation::integrator::{OdeSystem, Own, Point, Tolerance, Work, integrate};
use arcplunge_core::simulation::rig::Rig;

const ORDER: Source = Source {
    text: "error of Trench's circuit, steps of 0.2 and 0.1 ms",
    evidence: Evidence::Conservation,
};
const SOLVER: Source = Source {
    text: "ode_solvers, DOP853 at 1e-12, same equations",
    evidence: Evidence::SecondSolver,
};

/// Cases of the balance that both solvers integrate.
const MARCHED: [&str; 3] = ["M5", "arcing clamp of two", "gap"];

/// A figure of a discharge: name, unit, value.
type Figure = (&'static str, &'static str, fn(&Discharge) -> f64);

/// Tolerance of the second solver.
const FINE: Tolerance = Tolerance::new(1e-12);

/// Trench's printed circuit, with steps of 0.25 ms at most unless shorter are set.
#[derive(Debug, Clone, Copy)]
pub(super) struct Trench {
    /// Longest step \[ms\].
    pub longest: f64,
}

impl Default for Trench {
    fn default() -> Self {
        Trench { longest: 0.25 }
    }
}

impl OdeSystem<2> for Trench {
    type EventFunction = ();

    fn rates(&self, _t: f64, y: &SVector<f64, 2>, dy: &mut SVector<f64, 2>) {
        // Charge [C] and its rate [C/ms] over time [ms].
        dy[0] = y[1];
        dy[1] = -(40.0 * y[1] * 1e-3 + 1e4 * y[0] * 1e-6) / 0.2;
    }

    fn longest_step(&self) -> f64 {
        self.longest
    }

    fn event_function(&self, (): (), _t: f64, _y: &SVector<f64, 2>, _dy: &SVector<f64, 2>) -> f64 {
        1.0
    }
}

impl Trench {
    /// L·Q″ + R·Q′ + Q/C = 0 with L = 0.2 H, R = 40 Ω and the 1/C = 10⁴ 1/F of the printed equation (the
    /// printed capacitance does not belong to it); Q(0) = 1 C, Q′(0) = 2 A. Charge \[C\] after `t` \[ms\].
    pub fn charge(self, t: f64, tolerance: Tolerance) -> f64 {
        let from = Point::of(&self, 0.0, SVector::from([1.0, 2e-3]));
        let (mut step, mut work) = (self.longest, Work::default());
        integrate(
            &Own,
            &self,
            &from,
            t,
            &[],
            tolerance,
            &mut step,
            &mut work,
            |_| (),
        )
        .map_or(f64::NAN, |(point, _)| point.y[0])
    }

    /// The same in closed form: 100 ± 200i are the roots.
    fn exact(t: f64) -> f64 {
        let (damped, angle) = ((-0.1 * t).exp(), 0.2 * t);
        damped * (angle.cos() + 0.51 * angle.sin())
    }
}

pub(super) fn checks() -> Vec<Check> {
    let mut out = vec![Check::within(
        "integrator.order",
        "order of the Dormand-Prince pair",
        ORDER,
        "",
        (4.5, 5.5),
        order(),
    )];
    for (name, case) in cases() {
        if MARCHED.contains(&name) {
            out.extend(by_both(name, &case));
        }
    }
    out
}

/// How the error falls when the step is halved, as a power of two.
fn order() -> f64 {
    let error = |longest: f64| {
        let found = Trench { longest }.charge(10.0, Tolerance::new(1.0));
        (found - Trench::exact(10.0)).abs()
    };
    (error(0.2) / error(0.1)).log2()
}

/// Events and energy of a case by both solvers.
fn by_both(name: &str, case: &Case) -> Vec<Check> {
    let rig = Rig::new(case);
    let (mut own, mut other) = (Discharge::default(), Discharge::default());
    if discharge(&rig, Tolerance::default(), &mut own, None).is_err()
        || discharge_by(&Library, &rig, FINE, &mut other, None).is_err()
    {
        (own, other) = Default::default();
    }
    let id = name.replace(' ', "-");
    let figures: [Figure; 5] = [
        ("peak", "A", |d| d.peak.0),
        ("ignition", "ms", |d| or_none(d.ignition.map(|m| m.t * 1e3))),
        ("touchdown", "ms", |d| {
            or_none(d.touchdown.map(|m| m.t * 1e3))
        }),
        ("arc energy", "J", |d| {
            or_none(d.arc.last().map(|knot| knot.energy))
        }),
        ("current end", "ms", |d| d.end.t * 1e3),
    ];
    figures
        .map(|(figure, unit, of)| {
            Check::new(
                format!("integrator.{id}.{}", figure.replace(' ', "-")),
                format!("{name}, {figure}"),
                SOLVER,
                unit,
                of(&other),
                of(&own),
                Allowed::Relative(1e-6),
            )
        })
        .into()
}
