//! The squeeze of the melt film against Stefan's plates.

use super::{Allowed, Check, Evidence, Source};
use arcplunge_core::case::Case;
use arcplunge_core::physics::squeeze::Squeeze;
use arcplunge_core::simulation::heat_solver::MeltKnot;
use arcplunge_core::simulation::integrator::Work;
use arcplunge_core::simulation::rig::Rig;
use arcplunge_core::simulation::squeeze_flow::squeeze;

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
        check(
            "closing",
            "0.2 mm film, 50 N, 0.190 ms on",
            CLOSING,
            "um",
            10.0,
            film_left(5e-3, 0.2e-3, 0.190374624e-3, 1e-7) * 1e6,
            1e-3,
        ),
        // The published times from 0.2 mm to 10 and to 5 µm, one less the other.
        check(
            "closing.heavy",
            "10 um film, 50 N, 0.573 ms on",
            CLOSING,
            "um",
            5.0,
            film_left(5e-3, 10e-6, 0.762929885e-3 - 0.190374624e-3, 5e-3) * 1e6,
            2e-3,
        ),
    ]
}

/// Film \[m\] left after the time `t` \[s\] of one that was `film` thick \[m\], of the viscosity `mu` \[Pa·s\]
/// between discs of 3 mm radius under 50 N, by the squeeze of a shot: the melt stays as it is and its
/// inertia is left out. A stud of the mass `mass` \[kg\] so small has none that counts, or comes down at
/// the speed at which the film holds it.
pub fn film_left(mu: f64, film: f64, t: f64, mass: f64) -> f64 {
    let force = 50.0;
    let mut rig = Rig::new(&Case::default());
    for face in &mut rig.faces {
        face.density_liquid = face.density;
    }
    rig.stud.squeeze = Squeeze::new(mu, 0.0, 3e-3);
    rig.stud.flight.push = force;
    rig.stud.flight.rate = 0.0;
    rig.stud.flight.mass = mass;
    let speed = force / rig.stud.squeeze.force(1.0, film);
    let melt = [0.0, t].map(|t| MeltKnot {
        t,
        melt: [0.5 * film; 2],
        face: [0.0; 2],
    });
    let start = (0.0, 0.0, speed);
    squeeze(&rig, &melt, start, &mut Work::default(), |_| ())
        .map_or(f64::NAN, |closed| film - closed)
}
