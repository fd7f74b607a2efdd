//! The arc: its voltage, and its joules in a circuit with a closed form.

use super::bench::{Series, UNDER_DAMPED, plain, run};
use super::{Allowed, Check, Evidence, Source};
use arcplunge_core::case::Case;
use arcplunge_core::physics::arc;
use arcplunge_core::simulation::discharge::Discharge;
use arcplunge_core::simulation::ledger::Ledger;
use arcplunge_core::simulation::rig::{ArcRig, Rig};

const AYRTON: Source = Source {
    text: "Ayrton, The Electric Arc (1902), carbons",
    evidence: Evidence::Memory,
};
const OPPOSED: Source = Source {
    text: "series RLC circuit with a constant opposing voltage",
    evidence: Evidence::ClosedForm,
};
const SHORT_ARCS: Source = Source {
    text: "short arcs on steel: Lancaster, Physics of Welding; Juttner",
    evidence: Evidence::Memory,
};
const BOUNDS: Source = Source {
    text: "least of iron (Holm); open air (Stokes & Oppenlander 1991)",
    evidence: Evidence::Memory,
};

pub(super) fn checks() -> Vec<Check> {
    // Ayrton's 1/i terms at 10 A join the fall and the field: 38.88 + 11.66/10, 2.074 + 10.54/10.
    let ayrton = arc::voltage(40.046, 3128.0, 0.0, 0.0, 2e-3, 10.0);
    let case = Case::default();
    let mut out = vec![
        Check::new(
            "arc.ayrton",
            "2 mm carbon arc at 10 A",
            AYRTON,
            "V",
            46.302,
            ayrton,
            Allowed::Relative(1e-6),
        ),
        Check::within(
            "arc.fall",
            "falls of the default arc",
            SHORT_ARCS,
            "V",
            (15.0, 20.0),
            case.arc.fall,
        ),
        Check::within(
            "arc.field",
            "field of the default arc",
            SHORT_ARCS,
            "V/mm",
            (1.0, 3.0),
            case.arc.field * 1e-3,
        ),
        Check::within(
            "arc.mean",
            "mean voltage of the M5 arc",
            BOUNDS,
            "V",
            (13.0, 57.0),
            mean_voltage(&case),
        ),
    ];
    out.extend(constant());
    out
}

/// Mean voltage of a case's arc, by charge \[V\].
fn mean_voltage(case: &Case) -> f64 {
    let d = run(&Rig::new(case));
    let (Some(struck), Some(down), Some(last)) = (d.ignition, d.touchdown, d.arc.last()) else {
        return f64::NAN;
    };
    last.energy / (down.sums.charge - struck.sums.charge)
}

/// An arc of constant voltage that burns from the trigger on until the current stops.
fn constant() -> Vec<Check> {
    let (rig, d) = burn(20.0, UNDER_DAMPED);
    let ledger = Ledger::new(&rig, &d);
    let joules = ledger.arc_to_stud + ledger.arc_to_sheet + ledger.arc_away;
    let check = |id: &str, quantity: &str, unit, published, computed| {
        let allowed = Allowed::Relative(1e-5);
        Check::new(
            format!("arc.{id}"),
            quantity,
            OPPOSED,
            unit,
            published,
            computed,
            allowed,
        )
    };
    vec![
        check(
            "constant.peak",
            "arc of 20 V, peak",
            "A",
            4689.482454,
            d.peak.0,
        ),
        check(
            "constant.end",
            "arc of 20 V, extinction",
            "ms",
            2.204801224,
            d.end.t * 1e3,
        ),
        check(
            "constant.energy",
            "arc of 20 V, its energy",
            "J",
            117.2447699,
            joules,
        ),
        check(
            "constant.left",
            "arc of 20 V, bank at the end",
            "V",
            11.17820459,
            d.end.bank,
        ),
    ]
}

/// Burns an arc of the constant voltage `volts` in a circuit: the pip bursts at nothing, and nothing
/// moves the stud.
fn burn(volts: f64, circuit: Series) -> (Rig, Discharge) {
    let mut rig = circuit.rig();
    rig.circuit.bolted = None;
    rig.stud.pip = Rig::new(&plain()).stud.pip;
    rig.stud.pip.burst = 1e-12;
    (rig.stud.flight.push, rig.stud.flight.rate) = (0.0, 0.0);
    rig.arc = ArcRig {
        base: volts,
        field: 0.0,
        resistance: 0.0,
    };
    let d = run(&rig);
    (rig, d)
}
