//! The plunge before the stud meets the melt: closing the gap under a spring, and a fall.

use super::bench::{or_none, shot};
use super::{Allowed, Check, Evidence, Source};
use arcplunge_core::case::Case;
use arcplunge_core::case::model::{Attitude, Method};
use arcplunge_core::physics::GRAVITY;
use arcplunge_core::physics::plunge::Flight;

const SPRING: Source = Source {
    text: "mass on a slackening spring, from rest",
    evidence: Evidence::ClosedForm,
};
const FALL: Source = Source {
    text: "free fall, (2 g h)^1/2 with g of ISO 80000-3",
    evidence: Evidence::ClosedForm,
};

/// Mass \[kg\], force at the start \[N\], rate \[N/m\] and gap \[m\] of a spring-driven stud.
type Setup = (f64, f64, f64, f64);

const HEAVY: Setup = (0.15, 60.0, 2000.0, 1e-3);
const SHORT: Setup = (0.15, 60.0, 2000.0, 0.55e-3);
const LIGHT: Setup = (0.08, 40.0, 1500.0, 0.8e-3);

pub(super) fn checks() -> Vec<Check> {
    let row = |id: &str, what: String, unit, published, computed| {
        let allowed = Allowed::Relative(1e-8);
        Check::new(
            format!("closure.{id}"),
            what,
            SPRING,
            unit,
            published,
            computed,
            allowed,
        )
    };
    let mut out = Vec::new();
    for (id, setup, level, down) in [
        (
            "heavy",
            HEAVY,
            (2.2423263296, 0.8869423130),
            (2.2151854467, 0.8979309365),
        ),
        (
            "short",
            SHORT,
            (1.6608564362, 0.6602777193),
            (1.6408036175, 0.6683965751),
        ),
        (
            "light",
            LIGHT,
            (1.7933569772, 0.8876936408),
            (1.7759383486, 0.8964879475),
        ),
    ] {
        let (mass, force, _, gap) = setup;
        let what = format!("{} g {force} N {} mm", mass * 1e3, gap * 1e3);
        for (id, axis, attitude, (ms, speed)) in [
            (id.to_string(), "level", Attitude::Level, level),
            (format!("{id}.down"), "down", Attitude::Down, down),
        ] {
            let time = touch_time(setup, attitude) * 1e3;
            out.push(row(
                &format!("{id}.time"),
                format!("{what}, {axis}"),
                "ms",
                ms,
                time,
            ));
            let weight = if attitude == Attitude::Down {
                mass * GRAVITY
            } else {
                0.0
            };
            let computed = landing_speed(setup, weight);
            out.push(row(
                &format!("{id}.speed"),
                format!("{what}, {axis}, speed"),
                "m/s",
                speed,
                computed,
            ));
        }
    }
    for (height, published) in [(1.0, 0.14004749), (10.0, 0.44286906), (50.0, 0.99028531)] {
        out.push(Check::new(
            format!("closure.fall.{height}"),
            format!("fall from {height} mm"),
            FALL,
            "m/s",
            published,
            landing_speed((0.5, 0.0, 0.0, height * 1e-3), 0.5 * GRAVITY),
            Allowed::Relative(1e-7),
        ));
    }
    out
}

/// Time \[s\] after which the pip of a gap-method shot, lifted by the gap, meets the sheet.
fn touch_time((mass, force, rate, gap): Setup, attitude: Attitude) -> f64 {
    let mut case = Case::default();
    let tool = &mut case.tool;
    (tool.method, tool.attitude) = (Method::Gap, attitude);
    (tool.moving_mass, tool.spring_force, tool.spring_rate) = (mass, force, rate);
    (tool.lift, tool.friction) = (gap, 0.0);
    or_none(shot(&case).and_then(|shot| shot.figures.pip_touch_s))
}

/// Speed \[m/s\] with which the flight ends.
fn landing_speed((mass, force, rate, gap): Setup, weight: f64) -> f64 {
    let push = force + weight;
    let flight = Flight { push, rate, mass };
    let time = flight.time_to(0.0, 0.0, gap);
    or_none(time.map(|time| flight.at(0.0, 0.0, time).1))
}
