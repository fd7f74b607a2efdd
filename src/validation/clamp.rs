//! The free-wheel diode taking over from the empty bank, against closed forms.

use super::bench::{Series, UNDER_DAMPED, or_none};
use super::{Allowed, Check, Evidence, Source};
use arcplunge_core::simulation::discharge::Discharge;
use arcplunge_core::simulation::ledger::Ledger;

const CLAMPED: Source = Source {
    text: "series RLC circuit, diode from an empty bank on",
    evidence: Evidence::ClosedForm,
};
const CLAMPED_LATE: Source = Source {
    text: "series RLC circuit, diode from -1 V on",
    evidence: Evidence::ClosedForm,
};

pub(super) fn checks() -> Vec<Check> {
    let mut out = ideal();
    out.extend(with_drop());
    out.extend(opposed());
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
        or_none(d.bank_empty.as_ref().map(read))
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

/// The published diode conducts once the bank stands at −1 V, the model's once it is empty: the
/// tolerances are what that simplification costs.
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
            1e-3,
        ),
        late(
            "drop.loss",
            "diode of 1 V, its energy",
            "J",
            1.014303702,
            joules,
            0.1,
        ),
        late(
            "drop.action",
            "diode of 1 V, action",
            "A2s",
            // All the joules but those of the diode and those left on the bank, over 10 mΩ.
            (330.0 - 1.014303702 - 0.033) / 0.01,
            d.end.sums.action,
            1e-2,
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
