//! The free-wheel diode beside the emptying bank, against closed forms and a circuit simulator.

use super::bench::{Series, UNDER_DAMPED, or_none, run};
use super::{Allowed, Check, Evidence, Source};
use arcplunge_core::case::Case;
use arcplunge_core::simulation::discharge::Discharge;
use arcplunge_core::simulation::ledger::Ledger;
use arcplunge_core::simulation::rig::Rig;

const CLAMPED: Source = Source {
    text: "series RLC circuit, diode from an empty bank on",
    evidence: Evidence::ClosedForm,
};
const CLAMPED_LATE: Source = Source {
    text: "series RLC circuit, diode from -1 V on",
    evidence: Evidence::ClosedForm,
};

const NGSPICE: Source = Source {
    text: "ngspice-39, a diode of 1 mV behind V_D across the bank",
    evidence: Evidence::SecondSolver,
};

pub(super) fn checks() -> Vec<Check> {
    let mut out = ideal();
    out.extend(with_drop());
    out.extend(opposed());
    out.extend(shared());
    out
}

/// The demonstration bank through a short of 1 mΩ, and through 20 V: ESR and diode share the current.
fn shared() -> Vec<Check> {
    let mut case = Case::default();
    case.stud.short_resistance = Some(1e-3);
    let bolted = Rig::new(&case);
    case.bank.internal_resistance -= 1e-4;
    case.stud.short_resistance = Some(1e-4);
    case.bank.switch_drop += 20.0;
    let opposed = Rig::new(&case);
    let runs = [
        (
            "short",
            &bolted,
            [
                1.381_124, 4939.331, 3.986_528, 54_266.35, 91.823_823, 2.736_682,
            ],
        ),
        (
            "20 V",
            &opposed,
            [
                1.891_911, 1574.519, 2.248_534, 37_999.00, 75.809_083, 0.054_774,
            ],
        ),
    ];
    let mut out = Vec::new();
    for (name, rig, published) in runs {
        let d = run(rig);
        let ledger = Ledger::new(rig, &d);
        let [time, current, ..] = empty(&d);
        let computed = [
            ("conducts", "diode conducts", "ms", time, 1e-6),
            ("current", "current then", "A", current, 1e-6),
            ("end", "current ends", "ms", d.end.t * 1e3, 2e-4),
            ("action", "action", "A2s", d.end.sums.action, 1e-5),
            ("esr", "joules of the ESR", "J", ledger.bank_esr, 1e-5),
            ("joules", "joules of the diode", "J", ledger.diode, 1e-2),
        ];
        for ((id, what, unit, own, allowed), published) in computed.into_iter().zip(published) {
            out.push(Check::new(
                format!("diode.shared.{}.{id}", name.replace(' ', "")),
                format!("through {name}, {what}"),
                NGSPICE,
                unit,
                published,
                own,
                Allowed::Relative(allowed),
            ));
        }
    }
    out
}

fn exact(id: &str, quantity: &str, unit: &'static str, published: f64, computed: f64) -> Check {
    let allowed = Allowed::Relative(1e-6);
    Check::new(
        format!("diode.{id}"),
        quantity,
        CLAMPED,
        unit,
        published,
        computed,
        allowed,
    )
}

/// Time \[ms\], current \[A\], charge \[C\] and action \[A²s\] at which the bank ran empty.
fn empty(d: &Discharge) -> [f64; 4] {
    let at = |read: fn(&arcplunge_core::simulation::discharge::Moment) -> f64| {
        or_none(d.diode_conducts.as_ref().map(read))
    };
    [
        at(|m| m.t * 1e3),
        at(|m| m.current),
        at(|m| m.sums.charge),
        at(|m| m.sums.action),
    ]
}

fn ideal() -> Vec<Check> {
    let d = UNDER_DAMPED.run();
    let [time, current, charge, action] = empty(&d);
    let after = d.end.sums;
    vec![
        exact("time", "bank empty", "ms", 1.531866039, time),
        exact(
            "current",
            "current when the bank is empty",
            "A",
            2483.167398,
            current,
        ),
        exact(
            "charge",
            "charge after that",
            "C",
            1.241583699,
            after.charge - charge,
        ),
        exact(
            "before",
            "energy in 10 mohm until then",
            "J",
            314.5846992,
            0.01 * action,
        ),
        exact(
            "after",
            "energy in 10 mohm after that",
            "J",
            15.41530082,
            0.01 * (after.action - action),
        ),
    ]
}

/// Without an ESR the diode conducts once the bank stands at −1 V.
fn with_drop() -> Vec<Check> {
    let case = Series {
        diode: 1.0,
        ..UNDER_DAMPED
    };
    let d = case.run();
    let late = |id: &str, quantity: &str, unit, published, computed, allowed| {
        let allowed = Allowed::Relative(allowed);
        Check::new(
            format!("diode.{id}"),
            quantity,
            CLAMPED_LATE,
            unit,
            published,
            computed,
            allowed,
        )
    };
    let joules = Ledger::new(&case.rig(), &d).diode;
    vec![
        late(
            "drop.end",
            "diode of 1 V, current ends",
            "ms",
            3.158200021,
            d.end.t * 1e3,
            1e-6,
        ),
        late(
            "drop.loss",
            "diode of 1 V, its energy",
            "J",
            1.014303702,
            joules,
            1e-6,
        ),
        late(
            "drop.action",
            "diode of 1 V, action",
            "A2s",
            // All the joules but those of the diode and those left on the bank, over 10 mΩ.
            (330.0 - 1.014303702 - 0.033) / 0.01,
            d.end.sums.action,
            1e-6,
        ),
    ]
}

fn opposed() -> Vec<Check> {
    let case = Series {
        opposing: 20.0,
        resistance: 5e-3,
        ..UNDER_DAMPED
    };
    let d = case.run();
    let [time, current, charge, action] = empty(&d);
    let end = &d.end;
    vec![
        exact(
            "opposed.time",
            "against 20 V, bank empty",
            "ms",
            1.422246252,
            time,
        ),
        exact(
            "opposed.current",
            "against 20 V, current then",
            "A",
            3280.784587,
            current,
        ),
        exact(
            "opposed.end",
            "against 20 V, current ends",
            "ms",
            2.02119052,
            end.t * 1e3,
        ),
        exact(
            "opposed.arc",
            "against 20 V, its energy after",
            "J",
            17.70015028,
            20.0 * (end.sums.charge - charge),
        ),
        exact(
            "opposed.heat",
            "against 20 V, 5 mohm until then",
            "J",
            171.0911312,
            5e-3 * action,
        ),
    ]
}
