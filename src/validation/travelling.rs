//! A melting front that moves at constant speed: a solution made for the purpose, with both phases.
//!
//! With V the front's speed, x the depth and t the time since the face began to melt,
//!
//! ```text
//! solid, x > V·t:  T = T₀ + (T_m − T₀)·exp(V·(V·t − x)/α_s)
//! melt,  x < V·t:  T = T_m + (L + c_s·(T_m − T₀))/c_l · (exp(V·(V·t − x)/α_l) − 1)
//! ```
//!
//! satisfy the heat equation in both phases, meet at T_m, and ρ·L·V is the flux that arrives less the
//! one that leaves, as substitution shows. The flux at the face, ρ·V·c_s·(T_m − T₀)·exp(V²·t/α_s) before
//! melting and ρ·V·(L + c_s·(T_m − T₀))·exp(V²·t/α_l) after, brings it about.

use super::melting::STEEL;
use super::slab::Slab;
use super::{Allowed, Check, Evidence, Source};
use arcplunge_core::simulation::heat_solver::Heating;
use arcplunge_core::simulation::mesh::{Cells, Method, Resolution};

const MADE: Source = Source {
    text: "front at constant speed, two phases; by substitution",
    evidence: Evidence::ClosedForm,
};
const ORDER: Source = Source {
    text: "the same front, mesh and steps halved 2 times",
    evidence: Evidence::Conservation,
};

/// Speed of the front \[m/s\], and the depth it has reached at the end \[m\].
const SPEED: f64 = 0.1;
const DEPTH: f64 = 50e-6;

/// Share of the profile that is there when the heating starts.
const START: f64 = 1e-4;

/// Steel that does not boil, deep against α/V.
const BODY: Slab = Slab {
    boils: 1e6,
    depth: 2e-3,
    ..STEEL
};

pub(super) fn checks() -> Vec<Check> {
    let mut out: Vec<Check> = [
        ("fronts", "by fronts", Resolution::fronts()),
        ("enthalpy", "by enthalpy", Resolution::enthalpy()),
    ]
    .into_iter()
    .map(|(id, name, resolution)| {
        Check::new(
            format!("melt.travelling.{id}"),
            format!("front at 0.1 m/s, {name}"),
            MADE,
            "um",
            DEPTH * 1e6,
            depth(&BODY, &set(resolution, resolution.cells, 1.0)) * 1e6,
            Allowed::Relative(5e-3),
        )
    })
    .collect();
    out.push(Check::within(
        "melt.travelling.order",
        "order of its error, by fronts",
        ORDER,
        "",
        (1.2, 2.5),
        order(),
    ));
    out
}

/// Mesh and steps for this course, `size` times as coarse.
fn set(method: Resolution, cells: Cells, size: f64) -> Resolution {
    // The heating lasts far longer than the melting, and both want even steps. The fronts' mesh is
    // made for the time of the strongest flux only.
    let first = match method.method {
        Method::Fronts => 0.13,
        Method::Enthalpy => 0.015,
    };
    Resolution {
        cells,
        first_cell: first * size,
        arc_steps: (400.0 / size) as usize,
        grading: 1.0,
        ..method
    }
}

/// Depth of the front of `body` under the flux made for steel that does not boil \[m\].
pub fn depth(body: &Slab, resolution: &Resolution) -> f64 {
    let heating: Heating = body.weld_under(&knots(), resolution, |_| ());
    heating.at_touchdown.map_or(f64::NAN, |melt| melt[0])
}

/// The depth at the method's standard.
pub fn standard_depth(body: &Slab) -> f64 {
    let fronts = Resolution::fronts();
    depth(body, &set(fronts, fronts.cells, 1.0))
}

/// Heat and flux at the face over time; the heat of the profile at the start comes at once.
fn knots() -> Vec<(f64, f64, f64)> {
    let sensible = BODY.heat[0] * BODY.melts;
    let warming = BODY.diffusivity() / (SPEED * SPEED);
    let melting = BODY.melt_diffusivity() / (SPEED * SPEED);
    let onset = warming * (1.0 / START).ln();
    let end = onset + DEPTH / SPEED;
    let steps = 4000;
    (0..=steps)
        .map(|k| {
            let t = end * f64::from(k) / f64::from(steps);
            let rise = BODY.density * SPEED * sensible;
            if t <= onset {
                let share = ((t - onset) / warming).exp();
                (t, rise * warming * share, rise * share)
            } else {
                let flux = BODY.density * SPEED * (sensible + BODY.fusion);
                let growth = ((t - onset) / melting).exp();
                (
                    t,
                    rise * warming + flux * melting * (growth - 1.0),
                    flux * growth,
                )
            }
        })
        .collect()
}

/// Order at which the fronts' error falls when mesh and steps are halved twice.
fn order() -> f64 {
    let error = |cells, size| {
        let found = depth(&BODY, &set(Resolution::fronts(), cells, size));
        (found / DEPTH - 1.0).abs()
    };
    (error(Cells::Coarse, 2.0) / error(Cells::Fine, 0.5)).log2() / 2.0
}
