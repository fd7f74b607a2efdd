//! Heat conduction without melting, against half-spaces and slabs.

use super::slab::{Slab, pour};
use super::{Allowed, Check, Evidence, Source};
use arcplunge_core::simulation::heat_solver::HeatSolver;

const NELLIS: Source = Source {
    text: "Nellis & Klein, Heat Transfer (2009), table 3-2, step",
    evidence: Evidence::Published,
};
const CARSLAW: Source = Source {
    text: "Carslaw & Jaeger (1959), constant flux: pi k rho c dT2/4q2",
    evidence: Evidence::ClosedForm,
};
const SLAB: Source = Source {
    text: "Carslaw & Jaeger (1959), 3.8: slab at constant flux",
    evidence: Evidence::ClosedForm,
};
const PARKER: Source = Source {
    text: "Parker et al., J. Appl. Phys. 32 (1961) 1679, flash method",
    evidence: Evidence::Memory,
};

/// A body that neither melts nor boils, 1 mm deep, with a diffusivity of 1e-5 m²/s.
const DULL: Slab = Slab {
    conductivity: [40.0; 2],
    density: 8000.0,
    heat: [500.0; 2],
    fusion: 1e5,
    melts: 1e6,
    boils: 2e6,
    depth: 1e-3,
};

pub(super) fn checks() -> Vec<Check> {
    let onset = |id: &str, name: &str, slab: Slab, flux: f64, published| {
        Check::new(
            format!("heat.onset.{id}"),
            format!("{name} at {} GW/m2 melts after", flux * 1e-9),
            CARSLAW,
            "us",
            published,
            time_to_melt(&slab, flux) * 1e6,
            Allowed::Relative(2e-3),
        )
    };
    vec![
        onset("steel", "steel", STEEL, 1e9, 275.494629),
        onset("stainless", "18/8", STAINLESS, 3e9, 20.3079268),
        onset("aluminium", "aluminium", ALUMINIUM, 1e9, 206.376399),
        onset("copper", "copper", COPPER, 3e9, 142.429562),
        Check::new(
            "heat.step",
            "303 K at the surface of 378 K",
            NELLIS,
            "K",
            377.2,
            step_of_the_surface(),
            // As printed.
            Allowed::Absolute(0.05),
        ),
        Check::new(
            "heat.slab",
            "back of 1 mm, 100 MW/m2, 100 ms",
            SLAB,
            "K",
            // q·t/(ρ·c·l) − q·l/(6·k); what is left of the start has died out.
            1e8 * 0.1 / (8000.0 * 500.0 * 1e-3) - 1e8 * 1e-3 / (6.0 * 40.0),
            slab(),
            Allowed::Relative(1e-3),
        ),
        Check::new(
            "heat.flash",
            "half rise behind 1 mm, flash",
            PARKER,
            "ms",
            1.38 / std::f64::consts::PI.powi(2) * 1e-6 / 1e-5 * 1e3,
            half_rise() * 1e3,
            Allowed::Relative(0.015),
        ),
    ]
}

const STEEL: Slab = Slab {
    conductivity: [30.0; 2],
    density: 7850.0,
    heat: [680.0; 2],
    fusion: 270e3,
    melts: 1480.0,
    boils: 1e5,
    depth: 10e-3,
};
const STAINLESS: Slab = Slab {
    conductivity: [24.0; 2],
    density: 7900.0,
    heat: [620.0; 2],
    fusion: 265e3,
    melts: 1407.0,
    ..STEEL
};
const ALUMINIUM: Slab = Slab {
    conductivity: [220.0; 2],
    density: 2700.0,
    heat: [1080.0; 2],
    fusion: 397e3,
    melts: 640.0,
    ..STEEL
};
const COPPER: Slab = Slab {
    conductivity: [365.0; 2],
    density: 8960.0,
    heat: [440.0; 2],
    fusion: 208.7e3,
    melts: 1065.0,
    ..STEEL
};

/// Time \[s\] at which the face of a deep body under `flux` \[W/m²\] reaches its melting point.
fn time_to_melt(slab: &Slab, flux: f64) -> f64 {
    // Anything well past the melting point will do; its scale comes from the constants.
    let scale = slab.conductivity[0] * slab.density * slab.heat[0] * (slab.melts / flux).powi(2);
    let mut bodies = slab.bodies(scale);
    let (mut found, mut before) = (None, (0.0, 0.0));
    pour(&mut bodies, flux, scale, 120, |t, bodies| {
        let rise = (bodies.joint_temperature() - arcplunge_core::physics::ROOM).powi(2);
        let goal = slab.melts * slab.melts;
        if found.is_none() && rise >= goal {
            let (t0, rise0) = before;
            found = Some(t0 + (t - t0) * (goal - rise0) / (rise - rise0));
        }
        before = (t, rise);
    });
    found.unwrap_or(f64::NAN)
}

/// The published point lies 50 mm deep (diffusivity 9.547e-5 m²/s, 2 s after the step). The back face
/// of a body that deep rises twice as much, for as long as the step's own mirror image is far; the
/// step is held by a face that boils.
fn step_of_the_surface() -> f64 {
    let step = 75.0;
    let slab = Slab {
        conductivity: [9.547e-5 * 8000.0 * 500.0; 2],
        melts: step + 1e-6,
        boils: step,
        depth: 0.05,
        ..DULL
    };
    // A mesh for a longer time is even through the depth.
    let mut bodies = slab.bodies(30.0);
    pour(&mut bodies, 1e12, 2.0, 400, |_, _| ());
    378.0 - 0.5 * (bodies.back_temperature() - arcplunge_core::physics::ROOM)
}

/// Rise of the back face \[K\] after 100 ms at 100 MW/m².
fn slab() -> f64 {
    let mut bodies = DULL.bodies(0.05);
    pour(&mut bodies, 1e8, 0.1, 200, |_, _| ());
    bodies.back_temperature() - arcplunge_core::physics::ROOM
}

/// Time \[s\] after which the back face has half its final rise, the heat having come at once.
fn half_rise() -> f64 {
    use arcplunge_core::simulation::heat_solver::Boundary;
    let mut bodies = DULL.bodies(0.05);
    let heat = 1e4;
    let (step, last) = (2e-5, heat / (DULL.density * DULL.heat[0] * DULL.depth));
    bodies.advance(1e-7, Boundary::Heated([heat; 2]));
    bodies.restart();
    let (mut t, mut before) = (0.0, 0.0);
    for _ in 0..2000 {
        bodies.advance(step, Boundary::Heated([heat; 2]));
        t += step;
        let share = (bodies.back_temperature() - arcplunge_core::physics::ROOM) / last;
        if share >= 0.5 {
            return t - step * (share - 0.5) / (share - before);
        }
        before = share;
    }
    f64::NAN
}
