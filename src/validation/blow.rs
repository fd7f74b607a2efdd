//! Fields of straight runs and of the sheet's current, and the drift they bring about.

use std::f64::consts::PI;

use super::bench::or_none;
use super::{Allowed, Check, Evidence, Source};
use arcplunge_core::case::Case;
use arcplunge_core::physics::MU0;
use arcplunge_core::physics::blow::{Plane, Vector, push, run_field, sheet_current, sheet_field};
use arcplunge_core::physics::rim::Rim;
use arcplunge_core::simulation::fire::{Settings, Workspace};
use arcplunge_core::study::earths;

const SEGMENT: Source = Source {
    text: "Griffiths, Electrodynamics, ex. 5.5: finite segment",
    evidence: Evidence::Memory,
};
const WIRE: Source = Source {
    text: "long wire: mu0 I/2 pi d",
    evidence: Evidence::ClosedForm,
};
const SQUARE: Source = Source {
    text: "square loop, its centre: 2 sqrt(2) mu0 I/pi a",
    evidence: Evidence::ClosedForm,
};
const POLYGON: Source = Source {
    text: "circular loop, on its axis: mu0 I R2/2(R2+z2)^1.5",
    evidence: Evidence::ClosedForm,
};
const PLANE: Source = Source {
    text: "Griffiths, Electrodynamics, ex. 5.8: mu0 K/2",
    evidence: Evidence::Memory,
};
const RING: Source = Source {
    text: "Ampere's law round the clamp: the sheet's current is all",
    evidence: Evidence::Conservation,
};
const AMPERE: Source = Source {
    text: "Ampere's law round the clamp's lead: mu0 I/2 pi d, or 0",
    evidence: Evidence::ClosedForm,
};
const SECTOR: Source = Source {
    text: "sector of a disc moved by 1 % of its radius",
    evidence: Evidence::ClosedForm,
};
const TRADE: Source = Source {
    text: "common practice, no source: blow is away from the clamp",
    evidence: Evidence::Practice,
};
const PAIR: Source = Source {
    text: "common practice, no source: two equal opposite ones cancel",
    evidence: Evidence::Practice,
};

/// A field as the checks want it: from, to, point, radius of the rope.
pub type Law = fn(Vector, Vector, Vector, f64) -> Vector;

pub(super) fn checks() -> Vec<Check> {
    let mut out = runs(run_field);
    out.extend(sheets(sheet_field));
    out.extend(drifts());
    out
}

/// The checks of straight runs, for any law of them.
pub fn runs(law: Law) -> Vec<Check> {
    let check = |id: &str, quantity: &str, source, published, computed, allowed| {
        let id = format!("blow.{id}");
        let allowed = Allowed::Relative(allowed);
        Check::new(id, quantity, source, "uT", published, computed, allowed)
    };
    let size = |b: Vector| (b[0] * b[0] + b[1] * b[1] + b[2] * b[2]).sqrt() * 1e6;
    let kiloampere = |b: Vector| 1e3 * size(b);
    // 1 kA, a run of 3 m, 0.4 m beside a point 1 m along it: sines 2/2.0396 and 1/1.0770.
    let segment = law([-1.0, 0.4, 0.0], [2.0, 0.4, 0.0], [0.0; 3], 1e-3);
    let long = law([0.0, 0.05, -1e4], [0.0, 0.05, 1e4], [0.0; 3], 1e-3);
    let half = law([0.1, 0.0, 0.0], [0.1, 0.0, 1e4], [0.0; 3], 1e-3);
    vec![
        check(
            "segment",
            "1 kA, run of 3 m, 0.4 m beside it",
            SEGMENT,
            477.264_341_644,
            kiloampere(segment),
            1e-8,
        ),
        check(
            "long",
            "1 kA, long wire, 50 mm off",
            WIRE,
            4000.0,
            kiloampere(long),
            1e-9,
        ),
        check(
            "half",
            "1 kA, half a wire, 100 mm off",
            WIRE,
            1000.0,
            kiloampere(half),
            1e-9,
        ),
        check(
            "square",
            "1 kA, square of 0.2 m, its centre",
            SQUARE,
            5_656.854_249,
            kiloampere(loop_of(law, 4, 0.1 * 2f64.sqrt(), 0.0)),
            1e-9,
        ),
        check(
            "circle",
            "1 kA, loop R 100 mm, 50 mm above",
            POLYGON,
            4_495.881_428,
            kiloampere(loop_of(law, 2000, 0.1, 0.05)),
            1e-5,
        ),
    ]
}

/// Field of a polygon of `n` runs on a circle, at a height on its axis.
fn loop_of(law: Law, n: u32, radius: f64, height: f64) -> Vector {
    let corner = |k: u32| {
        let (sin, cos) = (2.0 * PI * f64::from(k) / f64::from(n)).sin_cos();
        [radius * cos, radius * sin, 0.0]
    };
    (0..n)
        .map(|k| law(corner(k), corner(k + 1), [0.0, 0.0, height], 1e-4))
        .fold([0.0; 3], |a, b| [a[0] + b[0], a[1] + b[1], a[2] + b[2]])
}

/// Field of a sheet as the checks want it: above one that carries a current density.
pub type SheetLaw = fn(Plane) -> Vector;

/// The checks of the sheet's current, for any law of its field.
pub fn sheets(field: SheetLaw) -> Vec<Check> {
    // 1 kA/m along x: the field above the sheet is along -y.
    let above = field([1e3, 0.0]);
    // The current that crosses a ring round the clamp at (0.2 m, 0): flux of K towards it.
    let crossing: f64 = (0..1000)
        .map(|k| {
            let (sin, cos) = (2.0 * PI * f64::from(k) / 1000.0).sin_cos();
            let ring = 0.05;
            let d = [-ring * cos, -ring * sin]; // to the clamp from a place on the ring
            let density = sheet_current(d);
            -(density[0] * cos + density[1] * sin) * 2.0 * PI * ring / 1000.0
        })
        .sum();
    // Sheet and a lead upright on the clamp are alike all round that lead. Above the sheet Ampere's
    // law gives the field of a whole wire if the lead rises, and none if it hangs.
    let d = 0.1;
    let sheet = field(sheet_current([d, 0.0]));
    let hanging = run_field([d, 0.0, 0.0], [d, 0.0, -1e4], [0.0; 3], 1e-3);
    let rising = run_field([d, 0.0, 0.0], [d, 0.0, 1e4], [0.0; 3], 1e-3);
    let together = |lead: Vector| [0, 1, 2].map(|c| sheet[c] + lead[c]);
    let force = |b: Vector| push(1e3, b.map(|c| 1e3 * c))[0];
    let newtons = Allowed::Relative(1e-8);
    vec![
        Check::new(
            "blow.plane",
            "1 kA/m in a plane, across it",
            PLANE,
            "uT",
            -628.318_531,
            above[1] * 1e6,
            Allowed::Relative(1e-8),
        ),
        Check::new(
            "blow.ring",
            "share of current at the clamp",
            RING,
            "",
            1.0,
            crossing,
            Allowed::Absolute(1e-12),
        ),
        Check::new(
            "blow.rising",
            "push by a rising lead, 100 mm",
            AMPERE,
            "N/m",
            -MU0 * 1e6 / (2.0 * PI * d),
            force(together(rising)),
            newtons,
        ),
        Check::new(
            "blow.hanging",
            "push by a hanging lead, 100 mm",
            AMPERE,
            "N/m",
            0.0,
            force(together(hanging)),
            Allowed::Absolute(1e-8),
        ),
        Check::new(
            "blow.sector",
            "rim fill on the far side, fill 1.2",
            SECTOR,
            "",
            1.2 * 1.01 * 1.01,
            square(1.0).fill_at(1.2, [0.01, 0.0], 0.0),
            Allowed::Relative(1.01e-4),
        ),
    ]
}

/// The rim of a square stud of this radius \[m\].
fn square(radius: f64) -> Rim {
    Rim {
        radius,
        cone: 0.05,
        tilt: 0.0,
        low: 0.0,
        mark: 0.0,
    }
}

/// The demonstration case with one clamp on the x axis, at `x` \[m\].
pub fn single(x: f64) -> Case {
    let mut case = Case::default();
    case.earths.truncate(1);
    case.earths[0].at = [x, 0.0];
    case
}

/// Drift of a case's melt \[m\]; `None` without an arc.
pub fn drift(case: &Case) -> Option<Plane> {
    let mut work = Workspace::default();
    let blow = earths::blow(case, &Settings::default(), &mut work).ok()?;
    blow.drift()
}

fn drifts() -> Vec<Check> {
    let micro = |d: Option<[f64; 2]>, c: usize| or_none(d.map(|d| d[c] * 1e6));
    let one = drift(&single(-0.2));
    vec![
        Check::within(
            "blow.away",
            "drift in x, one clamp at -200 mm",
            TRADE,
            "um",
            (0.1, 3250.0),
            micro(one, 0),
        ),
        Check::new(
            "blow.straight",
            "drift across, the same",
            TRADE,
            "um",
            0.0,
            micro(one, 1),
            Allowed::Absolute(1e-9),
        ),
        Check::new(
            "blow.pair",
            "drift, clamps at -200 and 200 mm",
            PAIR,
            "um",
            0.0,
            micro(drift(&Case::default()), 0),
            Allowed::Absolute(1e-9),
        ),
    ]
}
