//! Contact spots: constriction, temperature over voltage, blow-off.

use std::f64::consts::PI;

use super::bench::plain;
use super::{Allowed, Check, Evidence, Source};
use arcplunge_core::case::joint_id::JointId;
use arcplunge_core::case::{Case, catalogue};
use arcplunge_core::physics::ROOM;
use arcplunge_core::physics::joint;
use arcplunge_core::physics::pip::{Pip, PipHeat, Spot};
use arcplunge_core::simulation::fire::Settings;
use arcplunge_core::simulation::rig::Rig;
use arcplunge_core::simulation::weld::curves;

const HOLM: Source = Source {
    text: "Holm, Electric Contacts, 4th ed. (1967)",
    evidence: Evidence::Memory,
};
const HOLM_TABLE: Source = Source {
    text: "Holm, Electric Contacts, 4th ed. (1967), contact metals",
    evidence: Evidence::Published,
};
const KOHLRAUSCH: Source = Source {
    text: "Kohlrausch's relation, T2 = T0^2 + U2/4L",
    evidence: Evidence::ClosedForm,
};
const LORENZ: Source = Source {
    text: "(pi2/3)(k/e)^2, SI 2019",
    evidence: Evidence::ClosedForm,
};
const COOPER: Source = Source {
    text: "Cooper, Mikic & Yovanovich, IJHMT 12 (1969)",
    evidence: Evidence::Memory,
};
const TUBE: Source = Source {
    text: "Negus & Yovanovich (1984), spot in a tube, exact series",
    evidence: Evidence::Memory,
};
const DWIGHT: Source = Source {
    text: "Dwight; Holm: mu0/4pi I2 ln(B/b)",
    evidence: Evidence::Memory,
};
const SLADE: Source = Source {
    text: "Slade, IEEE Holm Conf. (2014), single spot, 4.45e-7 I2",
    evidence: Evidence::Published,
};

/// A cold pip 1 mm long of the radius `b` \[m\] pressed to a spot of the radius `a` \[m\].
pub fn pip(b: f64, a: f64, resistivity: f64, sheet: f64) -> Pip {
    let demonstration = Rig::new(&Case::default()).stud.pip;
    Pip {
        volume: PI * b * b * LENGTH,
        resistivity_20: resistivity,
        sheet_resistivity: sheet,
        cold_area: PI * a * a,
        ..demonstration
    }
}

/// Length of that pip \[m\].
pub const LENGTH: f64 = 1e-3;

pub(super) fn checks() -> Vec<Check> {
    let mut out = constriction();
    out.extend(hot_spots());
    out.extend(melting_voltages());
    out.extend(blow_off());
    out
}

fn constriction() -> Vec<Check> {
    let ohm = |b, a, pip_side, sheet| {
        let pip = pip(b, a, pip_side, sheet);
        let cold = pip.heated(PipHeat::Solid, 0.0);
        pip.column(&cold, LENGTH, 0.0, Spot::Plastic).constriction
    };
    let micro = |id: &str, quantity: &str, published, computed: f64| {
        Check::new(
            format!("contact.{id}"),
            quantity,
            HOLM,
            "uohm",
            published,
            computed * 1e6,
            Allowed::Relative(1e-5),
        )
    };
    let copper = 1.7241e-8;
    // A body so wide that its rim is not felt: a/b = 1e-7.
    let wide = 1e3;
    let spot = (10.0 / (PI * 1e9)).sqrt();
    let share = |epsilon: f64, source, published, allowed| {
        let factor = 4.0 * epsilon * LENGTH / copper * ohm(LENGTH, epsilon * LENGTH, copper, 0.0);
        let what = if allowed < 1e-4 { "" } else { ", tube" };
        Check::new(
            format!(
                "contact.factor.{epsilon}{}",
                if what.is_empty() { "" } else { ".tube" }
            ),
            format!("constriction factor, a/b = {epsilon}{what}"),
            source,
            "",
            published,
            factor,
            Allowed::Relative(allowed),
        )
    };
    vec![
        micro(
            "spot.copper",
            "copper on copper, spot 0.2 mm",
            86.205,
            ohm(wide, 1e-4, copper, copper),
        ),
        micro(
            "spot.iron",
            "copper on iron, spot 0.2 mm",
            285.8525,
            ohm(wide, 1e-4, copper, 9.71e-8),
        ),
        micro(
            "sheet",
            "sheet under a 0.75 mm pip",
            95.333,
            ohm(0.375e-3, 0.375e-3, 0.143e-6, 0.143e-6),
        ),
        micro(
            "plastic",
            "copper, 10 N, hardness 1 GPa",
            152.7944,
            ohm(wide, spot, copper, copper),
        ),
        share(0.1, COOPER, 0.85381497, 1e-7),
        share(0.5, COOPER, 0.35355339, 1e-7),
        share(
            0.3,
            TUBE,
            1.0 - 1.40978 * 0.3 + 0.34406 * 0.027 + 0.0435 * 0.00243,
            0.02,
        ),
    ]
}

fn hot_spots() -> Vec<Check> {
    vec![
        Check::new(
            "contact.lorenz",
            "Lorenz number",
            LORENZ,
            "1e-8 V2/K2",
            2.443004509,
            joint::LORENZ * 1e8,
            Allowed::Relative(2e-3),
        ),
        Check::new(
            "contact.kohlrausch",
            "spot at 0.1 V, bulk at 300 K",
            KOHLRAUSCH,
            "K",
            438.5579,
            joint::spot_temperature(0.1, 300.0),
            Allowed::Relative(1e-3),
        ),
        Check::new(
            "contact.holm.copper.soft",
            "copper softens at Holm's 0.12 V",
            HOLM_TABLE,
            "K",
            463.0,
            joint::spot_temperature(joint::SOFTENING_VOLTAGE, 293.0),
            Allowed::Relative(0.2),
        ),
    ]
}

/// The voltage past which a spot widens or a joint melts, by Kohlrausch's relation, beside Holm's rounded table.
fn melting_voltages() -> Vec<Check> {
    let melts = |what: &str, source, published, melting_point, allowed| {
        Check::new(
            format!("contact.melts.{}", what.replace(' ', "-")),
            format!("a spot of {what} melts at"),
            source,
            "V",
            published,
            joint::melting_voltage(melting_point, ROOM),
            Allowed::Relative(allowed),
        )
    };
    let of = |name: &str| catalogue::metal(name).melting_point;
    vec![
        melts(
            "copper",
            HOLM_TABLE,
            joint::MELTING_VOLTAGE,
            of("copper"),
            0.05,
        ),
        melts("silver", HOLM_TABLE, 0.37, 1234.93, 0.05),
        melts("mild steel", HOLM, 0.60, of("mild steel"), 0.09),
        melts("aluminium", HOLM, 0.30, of("aluminium Mg alloy"), 0.12),
        Check::new(
            "contact.melts.pip",
            "cold M5 pip, its spot at most",
            KOHLRAUSCH,
            "V",
            0.552_613,
            spot_voltage(&Case::default()),
            Allowed::Relative(1e-3),
        ),
    ]
}

/// Largest voltage \[V\] of the contact spot of a case's cold pip, at currents up to 4 kA.
fn spot_voltage(case: &Case) -> f64 {
    let rig = Rig::new(case);
    let (pip, length) = (rig.stud.pip, rig.stud.pip_length);
    let cold = pip.heated(PipHeat::Solid, 0.0);
    let voltage = |i: f64| {
        let spot = if pip.overload(&cold, length, i) > 1.0 {
            Spot::Molten
        } else {
            Spot::Plastic
        };
        i * pip.column(&cold, length, i, spot).constriction
    };
    (1..=4000)
        .map(|i| voltage(f64::from(i)))
        .fold(0.0, f64::max)
}

fn blow_off() -> Vec<Check> {
    let newton = |i: f64, flange: f64, spot: f64| {
        let pip = Pip {
            flange_radius: flange,
            ..pip(spot, spot, 0.0, 0.0)
        };
        pip.blow_off_force(i, spot)
    };
    let force = |id: &str, quantity: &str, published, computed| {
        let allowed = Allowed::Relative(1e-6);
        Check::new(
            format!("contact.{id}"),
            quantity,
            DWIGHT,
            "N",
            published,
            computed,
            allowed,
        )
    };
    // The demonstration case's own spot at the start.
    let rig = Rig::new(&Case::default());
    let own = rig.stud.pip;
    let spot = own.plastic_radius(&own.heated(PipHeat::Solid, 0.0), rig.stud.pip_length);
    vec![
        force(
            "blow-off.10kA",
            "blow-off, 10 kA, spot 0.6 mm",
            25.902672,
            newton(1e4, 4e-3, 0.3e-3),
        ),
        force(
            "blow-off.5kA",
            "blow-off, 5 kA, spot 0.75 mm",
            5.198604,
            newton(5e3, 3e-3, 0.375e-3),
        ),
        Check::new(
            "contact.parting",
            "joint held by 44.5 N parts at",
            SLADE,
            "kA",
            10.0,
            parting(44.5) * 1e-3,
            Allowed::Relative(1e-6),
        ),
        Check::new(
            "contact.blow-off.measured",
            "blow-off, cold M5 pip at 10 kA",
            SLADE,
            "N",
            44.5,
            own.blow_off_force(1e4, spot),
            Allowed::Relative(0.4),
        ),
    ]
}

/// Current at which a joint held by `force` \[N\] parts in a discharge \[A\].
fn parting(force: f64) -> f64 {
    let mut case = plain();
    case.stud.short_resistance = Some(1e-3);
    case.bank.voltage = 250.0;
    case.joints.tool.force = Some(force);
    let traced = curves(&Rig::new(&case), &Settings::default(), 1e-4);
    traced.map_or(f64::NAN, |traced| {
        let at = traced.shot.joints[JointId::Tool].parts_s;
        let row = traced.rows.iter().find(|row| Some(row.time_s) == at);
        row.map_or(f64::NAN, |row| row.current_A)
    })
}
