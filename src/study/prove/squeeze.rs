//! The squeeze of the melt film against Stefan's plates.

use super::{Allowed, Check, Evidence, Source};
use crate::case::Case;
use crate::cycle::forge::squeeze;
use crate::cycle::heating::MeltKnot;
use crate::cycle::march::Work;
use crate::cycle::rig::Rig;
use crate::physics::squeeze::Squeeze;

const STEFAN: Source = Source {
    text: "Stefan (1874), Reynolds (1886): 3 pi mu R4 V/2h3",
    evidence: Evidence::Memory,
};
const INVISCID: Source = Source {
    text: "outflow without friction: 3 pi rho V2 R4/16h2",
    evidence: Evidence::ClosedForm,
};
const CLOSING: Source = Source {
    text: "Stefan's plates: (3 pi mu R4/4F)(1/h2^2 - 1/h1^2)",
    evidence: Evidence::ClosedForm,
};

pub(super) fn checks() -> Vec<Check> {
    let (speed, film) = (0.5, 0.1e-3);
    let thick = Squeeze::new(5e-3, 0.0, 3e-3);
    let heavy = Squeeze::new(0.0, 7000.0, 3e-3);
    let check = |id: &str, quantity: &str, source, unit, published, computed, allowed| {
        let allowed = Allowed::Relative(allowed);
        Check::new(
            format!("squeeze.{id}"),
            quantity,
            source,
            unit,
            published,
            computed,
            allowed,
        )
    };
    vec![
        check(
            "viscous",
            "viscous force, 0.1 mm, 0.5 m/s",
            STEFAN,
            "N",
            0.95425877,
            thick.force(speed, film),
            1e-7,
        ),
        check(
            "inertia",
            "inertial force, 0.1 mm, 0.5 m/s",
            INVISCID,
            "N",
            8.34976422,
            heavy.force(speed, film),
            1e-7,
        ),
        // The published times from 0.2 mm to 10 and to 5 µm, one less the other.
        check(
            "closing",
            "50 N close 10 to 5 um",
            CLOSING,
            "ms",
            0.762929885 - 0.190374624,
            closing_time(5e-3) * 1e3,
            2e-3,
        ),
    ]
}

/// Time [s] in which 50 N close a film of the viscosity `mu` [Pa·s] between discs of 3 mm radius from 10
/// to 5 µm, by the squeeze of a shot: the melt stays as it is, its inertia is left out, and the stud is
/// light enough to have none.
pub fn closing_time(mu: f64) -> f64 {
    let (film, goal, force) = (10e-6, 5e-6, 50.0);
    let mut rig = Rig::new(&Case::default());
    rig.stud.squeeze = Squeeze::new(mu, 0.0, 3e-3);
    rig.stud.flight.push = force;
    rig.stud.flight.rate = 0.0;
    rig.stud.flight.mass = 1e-3;
    // The speed at which the film holds the force.
    let speed = force / rig.stud.squeeze.force(1.0, film);
    let melt = [0.0, 0.7e-3].map(|t| MeltKnot {
        t,
        melt: [0.5 * film; 2],
    });
    let (mut found, mut before) = (f64::NAN, (0.0, 0.0, speed));
    let closed = film - goal;
    let ran = squeeze(
        &rig,
        &melt,
        (0.0, 0.0, speed),
        &mut Work::default(),
        |knot| {
            if found.is_nan() && knot.closed >= closed {
                found = reach(before, (knot.t, knot.closed, knot.speed), closed);
            }
            before = (knot.t, knot.closed, knot.speed);
        },
    );
    ran.map_or(f64::NAN, |_| found)
}

/// Time between two points (time, distance, speed) at which the distance `goal` is reached, on the
/// cubic with their speeds.
fn reach(a: (f64, f64, f64), b: (f64, f64, f64), goal: f64) -> f64 {
    let h = b.0 - a.0;
    let distance = |s: f64| {
        let r = 1.0 - s;
        a.1 * r * r * (1.0 + 2.0 * s)
            + b.1 * s * s * (3.0 - 2.0 * s)
            + h * s * r * (a.2 * r - b.2 * s)
    };
    let (mut low, mut high) = (0.0, 1.0);
    for _ in 0..60 {
        let s = 0.5 * (low + high);
        if distance(s) < goal {
            low = s
        } else {
            high = s
        }
    }
    a.0 + h * low
}
