//! Inductance of leads and coils against exact integrals and Rosa's formulas.

use std::f64::consts::PI;

use super::bench::plain;
use super::{Allowed, Check, Evidence, Source};
use arcplunge_core::case::Case;
use arcplunge_core::physics::lead;
use arcplunge_core::simulation::circuit::Circuit;
use arcplunge_core::simulation::rig::Rig;

const EXACT: Source = Source {
    text: "exact partial inductance of a round rod, by quadrature",
    evidence: Evidence::ClosedForm,
};
const ROSA: Source = Source {
    text: "Rosa, Bull. Bureau of Standards 4 (1908) 301",
    evidence: Evidence::ClosedForm,
};
const LOOP: Source = Source {
    text: "Rosa & Grover, Bull. Bureau of Standards 8 (1912) 1",
    evidence: Evidence::ClosedForm,
};

const SLACK: Source = Source {
    text: "the same law in a program made apart",
    evidence: Evidence::SecondSolver,
};
const MONOTONE: Source = Source {
    text: "a longer lead encloses more flux: L rises as any one grows",
    evidence: Evidence::Conservation,
};

/// Loop inductance of `earths` leads of the length `l` \[m\] beside a gun lead of that length, all of
/// radius `r` and `d` apart \[m\] → \[H\].
pub fn leads_in_air(earths: usize, l: f64, r: f64, d: f64) -> f64 {
    let section = lead::ROPE_FILL * PI * r * r;
    let mut case = plain();
    let mut earth = case.earths[0].clone();
    earth.length = l;
    earth.section = section;
    case.earths = vec![earth; earths];
    case.lead.length = l;
    case.lead.section = section;
    case.lead.spacing = d;
    case.bank.internal_inductance = 0.0;
    Rig::new(&case).circuit.loop_inductance()
}

/// Loop inductance \[H\] of the demonstration case with these lengths \[m\] of gun lead and earth leads.
pub fn of_lengths(gun: f64, earths: [f64; 2]) -> f64 {
    let mut case = Case::default();
    case.lead.length = gun;
    for (earth, length) in case.earths.iter_mut().zip(earths) {
        earth.length = length;
    }
    Circuit::new(&case).loop_inductance()
}

/// In how many of `count` triples of lengths the loop's inductance falls where one lead grows by `step` \[m\].
///
/// The triples fill 0.5 to 30 m evenly on a logarithmic scale, by an additive recurrence.
pub fn falls(count: u32, step: f64) -> u32 {
    // Powers of the inverse of the positive root of x⁴ = x + 1.
    const SHARES: [f64; 3] = [
        0.819_172_513_396_164_4,
        0.671_043_606_703_789_2,
        0.549_700_477_901_970_1,
    ];
    (0..count)
        .filter(|&n| {
            let [gun, a, b] =
                SHARES.map(|share| 0.5 * 60f64.powf((share * f64::from(n + 1)).fract()));
            let now = of_lengths(gun, [a, b]);
            let grown = [
                of_lengths(gun + step, [a, b]),
                of_lengths(gun, [a + step, b]),
                of_lengths(gun, [a, b + step]),
            ];
            grown.iter().any(|&l| l < now)
        })
        .count() as u32
}

fn unequal() -> Vec<Check> {
    let case = |id: &str, gun: f64, earths: [f64; 2], published: f64| {
        Check::new(
            format!("inductance.unequal.{id}"),
            format!("gun {gun} m, earths {} and {} m", earths[0], earths[1]),
            SLACK,
            "uH",
            published,
            1e6 * of_lengths(gun, earths),
            Allowed::Absolute(6e-4),
        )
    };
    vec![
        case("equal", 5.0, [5.0, 5.0], 5.881),
        case("gun-2", 2.0, [5.0, 5.0], 3.851),
        case("gun-3", 3.0, [5.0, 5.0], 4.521),
        case("gun-6", 6.0, [5.0, 5.0], 6.513),
        case("gun-8", 8.0, [5.0, 5.0], 7.852),
        case("gun-12", 12.0, [5.0, 5.0], 10.532),
        case("earth-9", 8.0, [3.0, 9.0], 7.671),
        case("earths-3", 8.0, [3.0, 3.0], 7.148),
        case("earths-9", 8.0, [9.0, 9.0], 9.280),
        Check::new(
            "inductance.monotone",
            "of 20 000 sets of leads, L falls in",
            MONOTONE,
            "",
            0.0,
            f64::from(falls(20_000, 0.05)),
            Allowed::Absolute(0.0),
        ),
    ]
}

pub(super) fn checks() -> Vec<Check> {
    let mut out = laws();
    out.extend(unequal());
    out
}

fn laws() -> Vec<Check> {
    let uh = |l: f64| l * 1e6;
    let rod = |id: &str, source, l: f64, r: f64, published, allowed| {
        Check::new(
            format!("inductance.{id}"),
            format!("rod {l} m long, {} mm thick", 2e3 * r),
            source,
            "uH",
            published,
            uh(lead::self_inductance(l, r)),
            Allowed::Relative(allowed),
        )
    };
    let pair = |id: &str, earths, l: f64, published, allowed| {
        let what = match earths {
            1 => "go and return",
            _ => "two returns",
        };
        Check::new(
            format!("inductance.{id}"),
            format!("{what}, {l} m, 0.1 m apart"),
            EXACT,
            "uH",
            published,
            uh(leads_in_air(earths, l, 5e-3, 0.1)),
            Allowed::Relative(allowed),
        )
    };
    // One turn whose bundle is as thick as the published wire.
    let wire = lead::ROPE_FILL * PI * (5e-3_f64 / 1.35).powi(2);
    let turn = |id: &str, what: &str, published, allowed| {
        Check::new(
            format!("inductance.{id}"),
            format!("loop 0.5 m, wire 10 mm{what}"),
            LOOP,
            "uH",
            published,
            uh(lead::coil_inductance(1.0, 0.5, wire)),
            Allowed::Relative(allowed),
        )
    };
    vec![
        rod("rod", EXACT, 1.0, 5e-3, 1.049197074, 1e-3),
        rod("rod.rosa", ROSA, 1.0, 5e-3, 1.048292909, 1e-8),
        rod("rod.short", EXACT, 0.1, 4e-3, 0.0639567946, 0.015),
        Check::new(
            "inductance.mutual",
            "two filaments, 1 m, 0.1 m apart",
            ROSA,
            "uH",
            0.4186470776,
            uh(lead::mutual_inductance(1.0, 0.1)),
            Allowed::Relative(1e-8),
        ),
        pair("pair.1m", 1, 1.0, 1.261099993, 2e-3),
        pair("pair.2m", 1, 2.0, 2.558895242, 1e-3),
        // L − 2M + (L + M)/2 with the exact L and M of the rods above.
        pair("two-earths", 2, 1.0, 0.9458249946, 2e-3),
        turn("loop", "", 1.332495386, 1e-8),
        turn("loop.finite", ", finite", 1.332594736, 2e-4),
    ]
}
