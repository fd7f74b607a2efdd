//! The current's spreading in the sheet against closed forms and a finite-difference solution.

use std::f64::consts::PI;

use super::{Allowed, Check, Evidence, Source};
use arcplunge_core::case::Case;
use arcplunge_core::simulation::rig::Rig;

const RADIAL: Source = Source {
    text: "radial flow in a plate: rho/(2 pi t) ln(b/a)",
    evidence: Evidence::ClosedForm,
};
const SINKS: Source = Source {
    text: "potentials of point sinks, rim by quadrature",
    evidence: Evidence::ClosedForm,
};
const PLATE: Source = Source {
    text: "finite differences, tests/reference/sheet.py",
    evidence: Evidence::SecondSolver,
};
const IMAGES: Source = Source {
    text: "point sinks and their images, insulated sheet of 1.6 m",
    evidence: Evidence::ClosedForm,
};

/// Radii of flange and clamp, and distance of the clamp \[m\].
const RIM: f64 = 3.25e-3;
const CLAMP: f64 = 15e-3;
const FAR: f64 = 0.2;

/// A rig with clamps at these places, as the demonstration case otherwise, and the sheet's ρ/(2πt) \[Ω\].
fn rig(clamps: &[[f64; 2]]) -> (Rig, f64) {
    let mut case = Case::default();
    let earth = case.earths[0].clone();
    case.earths = clamps
        .iter()
        .map(|&at| {
            let mut one = earth.clone();
            one.at = at;
            one
        })
        .collect();
    let g = case.sheet.metal.resistivity_20 / (2.0 * PI * case.sheet.thickness);
    (Rig::new(&case), g)
}

/// Resistance of the sheet alone with clamps that share the current alike, over ρ/(2πt).
fn shared(clamps: &[[f64; 2]]) -> f64 {
    let (rig, g) = rig(clamps);
    let n = clamps.len();
    let sum: f64 = (0..n).map(|j| rig.circuit.sheet[0][j]).sum();
    sum / n as f64 / g
}

/// Mean potential round the rim less that of one clamp, for sinks at both places, over ρ/(2πt): by quadrature.
fn by_quadrature(sinks: &[[f64; 2]]) -> f64 {
    const POINTS: usize = 720;
    let each = 1.0 / sinks.len() as f64;
    // A source at the stud, and what each sink adds.
    let potential = |[x, y]: [f64; 2], radius: f64| {
        let from = |[a, b]: [f64; 2]| (x - a).hypot(y - b).max(radius);
        let sinks: f64 = sinks.iter().map(|&s| each * from(s).ln()).sum();
        sinks - x.hypot(y).ln()
    };
    let rim = (0..POINTS).map(|n| {
        let angle = 2.0 * PI * n as f64 / POINTS as f64;
        potential([RIM * angle.cos(), RIM * angle.sin()], 0.0)
    });
    rim.sum::<f64>() / POINTS as f64 - potential(sinks[0], CLAMP)
}

pub(super) fn checks() -> Vec<Check> {
    let (one, two) = ([[FAR, 0.0]], [[FAR, 0.0], [-FAR, 0.0]]);
    let aside = [[FAR, 0.0], [0.0, FAR]];
    let ratio = |id: &str, quantity: &str, source, published, clamps: &[[f64; 2]], allowed| {
        Check::new(
            format!("sheet.{id}"),
            quantity,
            source,
            "rho/2 pi t",
            published,
            shared(clamps),
            Allowed::Relative(allowed),
        )
    };
    let (rig, _) = rig(&one);
    let ohm = 0.15e-6 / (2.0 * PI * 1.5e-3);
    vec![
        Check::new(
            "sheet.radial",
            "clamp 200 mm from an M5",
            RADIAL,
            "uohm",
            1e6 * ohm * ((FAR / RIM).ln() + (FAR / CLAMP).ln()),
            1e6 * rig.circuit.sheet[0][0],
            Allowed::Relative(1e-9),
        ),
        ratio(
            "one.rim",
            "one clamp",
            SINKS,
            by_quadrature(&one),
            &one,
            1e-9,
        ),
        ratio(
            "two.rim",
            "two opposite",
            SINKS,
            by_quadrature(&two),
            &two,
            1e-9,
        ),
        ratio(
            "corner.rim",
            "two at a right angle",
            SINKS,
            by_quadrature(&aside),
            &aside,
            1e-9,
        ),
        ratio("one.plate", "one clamp", PLATE, ONE_PLATE, &one, 5e-3),
        ratio("two.plate", "two opposite", PLATE, TWO_PLATE, &two, 5e-3),
        ratio("one.images", "one clamp", IMAGES, 6.76, &one, 0.01),
        ratio("two.images", "two opposite", IMAGES, 5.07, &two, 2e-3),
    ]
}

/// What the finite differences give with 800 cells to half a turn; half as fine a mesh gives 6.7413 and 5.0807.
const ONE_PLATE: f64 = 6.725_48;
const TWO_PLATE: f64 = 5.072_42;
