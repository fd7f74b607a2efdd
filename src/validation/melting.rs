//! Melting, boiling and freezing against Neumann's solutions of the moving front.

use super::bench::or_none;
use super::slab::{CELLS, Slab, pour};
use super::{Allowed, Check, Evidence, Source};
use arcplunge_core::physics::ROOM;
use arcplunge_core::simulation::heat_solver::{Boundary, HeatSolver};
use arcplunge_core::simulation::mesh::{Cells, Resolution};

const NEUMANN: Source = Source {
    text: "Neumann, one phase: Crank (1984) eq. 3.14",
    evidence: Evidence::ClosedForm,
};
const NEUMANN_TWO: Source = Source {
    text: "Neumann, two phases: Carslaw & Jaeger (1959) 11.2",
    evidence: Evidence::ClosedForm,
};
const FREEZING: Source = Source {
    text: "just molten on a cold body: Carslaw & Jaeger (1959) 11.2",
    evidence: Evidence::ClosedForm,
};
const ORDER: Source = Source {
    text: "Neumann's two-phase front, mesh and steps halved 3 times",
    evidence: Evidence::Conservation,
};

/// Steel of the two-phase problem; its face is held at 3134 K, from 293 K, by boiling.
pub const STEEL: Slab = Slab {
    conductivity: [30.0, 35.0],
    density: 7850.0,
    heat: [680.0, 820.0],
    fusion: 270e3,
    melts: 1480.0,
    boils: 2841.0,
    depth: 4e-3,
};
const ALUMINIUM: Slab = Slab {
    conductivity: [220.0, 95.0],
    density: 2700.0,
    heat: [1080.0, 1180.0],
    fusion: 397e3,
    melts: 640.0,
    boils: 2499.0,
    depth: 10e-3,
};

/// A flux that makes any face boil at once \[W/m²\].
const FIERCE: f64 = 1e12;

/// Front after 1 ms, steel \[µm\].
const STEEL_FRONT: f64 = 68.8311072;

pub(super) fn checks() -> Vec<Check> {
    let mut out: Vec<Check> = [
        (0.1, 0.220016272743),
        (0.5, 0.464785920646),
        (1.0, 0.620062633314),
        (2.0, 0.800601362806),
    ]
    .map(|(stefan, lambda)| {
        Check::new(
            format!("melt.one-phase.{stefan}"),
            format!("front constant, Stefan number {stefan}"),
            NEUMANN,
            "",
            lambda,
            one_phase(stefan),
            Allowed::Relative(5e-3),
        )
    })
    .into();
    out.extend(two_phases());
    out.extend(freezing());
    out.push(Check::within(
        "melt.order",
        "order of the front's error",
        ORDER,
        "",
        (0.9, 2.0),
        order(),
    ));
    out
}

/// λ = s/(2·√(α·t)) of melt from a body at its melting point whose face is held above it.
fn one_phase(stefan: f64) -> f64 {
    let (above, t) = (1000.0, 1e-3);
    let slab = Slab {
        conductivity: [35.0; 2],
        heat: [820.0; 2],
        fusion: 820.0 * above / stefan,
        melts: 1e-3,
        boils: above,
        ..STEEL
    };
    let mut bodies = slab.bodies(t);
    pour(
        &mut bodies,
        FIERCE,
        t,
        Resolution::enthalpy().arc_steps,
        |_, _| (),
    );
    bodies.melt()[0] / (2.0 * (slab.melt_diffusivity() * t).sqrt())
}

fn two_phases() -> Vec<Check> {
    let t = 1e-3;
    let front = |slab: &Slab| {
        let default = Resolution::default();
        let melt = slab.weld(FIERCE, t, &default, |_| ()).at_touchdown;
        or_none(melt.map(|melt| melt[0])) * 1e6
    };
    let check = |id: &str, quantity: &str, unit, published, computed, allowed| {
        let allowed = Allowed::Relative(allowed);
        Check::new(
            format!("melt.{id}"),
            quantity,
            NEUMANN_TWO,
            unit,
            published,
            computed,
            allowed,
        )
    };
    // What goes into the body through a face held at its boiling point is, up to the time t,
    // 2·k·(Tb − Tm)·√(t/(π·α))/erf λ; the vapour takes the rest.
    let erf = 0.490778895; // erf 0.4667265349, by series
    let k = STEEL.conductivity[1];
    let taken = 2.0
        * k
        * (STEEL.boils - STEEL.melts)
        * (t / (std::f64::consts::PI * STEEL.melt_diffusivity())).sqrt()
        / erf;
    vec![
        check(
            "steel",
            "front in boiling steel, 1 ms",
            "um",
            STEEL_FRONT,
            front(&STEEL),
            5e-3,
        ),
        check(
            "aluminium",
            "front in boiling aluminium, 1 ms",
            "um",
            230.944541,
            front(&ALUMINIUM),
            5e-3,
        ),
        check(
            "boiling",
            "heat into boiling steel, 1 ms",
            "MJ/m2",
            taken * 1e-6,
            taken_up(t) * 1e-6,
            5e-3,
        ),
    ]
}

/// Heat that goes into boiling steel up to the time `t` \[s\] → \[J/m²\].
fn taken_up(t: f64) -> f64 {
    let flux = 1e11;
    let mut bodies = STEEL.bodies(t);
    pour(
        &mut bodies,
        flux,
        t,
        Resolution::enthalpy().arc_steps,
        |_, _| (),
    );
    flux * t - bodies.vapour()[0]
}

/// Half a film of 100 µm, just molten, between two cold halves: freezing time and joint temperature.
fn freezing() -> Vec<Check> {
    let (time, joint) = freeze(50e-6, 0.2094603e-3);
    vec![
        Check::new(
            "melt.freezing",
            "100 um of molten steel freezes",
            FREEZING,
            "ms",
            0.20946029,
            time * 1e3,
            Allowed::Relative(5e-3),
        ),
        Check::new(
            "melt.joint",
            "rise of their joint meanwhile",
            FREEZING,
            "K",
            0.589203061 * STEEL.melts,
            joint,
            Allowed::Relative(5e-3),
        ),
    ]
}

/// Freezes just molten steel of the thickness `film` \[m\] on a cold half-space; the mesh is made for
/// the time `t` \[s\]. Time at which the last of it freezes \[s\], and the joint's rise halfway \[K\].
fn freeze(film: f64, t: f64) -> (f64, f64) {
    use arcplunge_core::simulation::melt::Bodies;
    let thin = Slab {
        depth: film,
        ..STEEL
    };
    let mut bodies: Bodies<CELLS> =
        Bodies::new(&[thin.face(), STEEL.face()], t, &Resolution::enthalpy());
    // So slowly that it is even throughout, and no more than melts it.
    let heat = film * thin.density * thin.face().enthalpy.liquidus;
    for j in 1..=200 {
        bodies.advance(10.0, Boundary::Heated([heat * f64::from(j) / 200.0, 0.0]));
    }
    bodies.restart();
    let (mut now, mut joint, mut before) = (0.0, f64::NAN, bodies.molten_margin());
    let steps = 400;
    for j in 1..=2 * steps {
        let next = t * (f64::from(j) / f64::from(steps)).powi(2);
        bodies.advance(next - now, Boundary::Contact);
        let margin = bodies.molten_margin();
        if next <= 0.5 * t {
            joint = bodies.joint_temperature() - ROOM;
        }
        if margin <= 0.0 {
            return (now + (next - now) * before / (before - margin), joint);
        }
        (now, before) = (next, margin);
    }
    (f64::NAN, joint)
}

/// Order at which the front's error falls when mesh and steps are halved, over three halvings. The error
/// is the root mean square over the last three quarters of 1 ms: a front counted by its share of a
/// cell is now a little ahead, now a little behind.
fn order() -> f64 {
    let t = 1e-3;
    let error = |cells: Cells, size: f64| {
        let standard = Resolution::enthalpy();
        let scaled = |count: usize| (count as f64 / size).round() as usize;
        let resolution = Resolution {
            cells,
            first_cell: standard.first_cell * size,
            arc_steps: scaled(standard.arc_steps),
            ..standard
        };
        let (mut sum, mut count) = (0.0, 0.0);
        STEEL.weld(FIERCE, t, &resolution, |knot| {
            if knot.t > 0.25 * t && knot.t <= t {
                let exact = STEEL_FRONT * (knot.t / t).sqrt();
                sum += (knot.melt[0] * 1e6 - exact).powi(2);
                count += 1.0;
            }
        });
        f64::sqrt(sum / count)
    };
    (error(Cells::Coarse, 2.0) / error(Cells::Finest, 0.25)).log2() / 3.0
}
