//! Discharge against a constant opposing voltage, closed forms.

use super::bench::{OVER_DAMPED, Series, UNDER_DAMPED, discharge_check as check};
use super::{Check, Evidence, Source};
use arcplunge_core::simulation::ledger::Ledger;

const RLC_OPPOSED: Source = Source {
    text: "series RLC circuit with a constant opposing voltage",
    evidence: Evidence::ClosedForm,
};

/// A constant opposing voltage, here the switch's drop: it stops the current, and charge stays.
pub(super) fn checks() -> Vec<Check> {
    let case = Series {
        opposing: 20.0,
        ..UNDER_DAMPED
    };
    let d = case.run();
    let ledger = Ledger::new(&case.rig(), &d);
    let mut checks = vec![
        row(
            "opposed.peak",
            "against 20 V, peak",
            "A",
            4689.482454,
            d.peak.0,
        ),
        row(
            "opposed.end",
            "against 20 V, current ends",
            "ms",
            2.204801224,
            d.end.t * 1e3,
        ),
        row(
            "opposed.bank",
            "against 20 V, bank left",
            "V",
            11.17820459,
            d.end.bank,
        ),
        row(
            "opposed.charge",
            "against 20 V, charge drawn",
            "C",
            5.862238497,
            d.end.sums.charge,
        ),
        row(
            "opposed.arc",
            "against 20 V, its energy",
            "J",
            117.2447699,
            ledger.switch,
        ),
        row(
            "opposed.action",
            "against 20 V, action",
            "A2s",
            20863.18055,
            d.end.sums.action,
        ),
    ];
    checks.extend(over_damped());
    checks
}

fn over_damped() -> [Check; 3] {
    let over = Series {
        opposing: 25.0,
        until: 0.1,
        ..OVER_DAMPED
    };
    let (rig, slow) = (over.rig(), over.run());
    let split = Ledger::new(&rig, &slow);
    [
        row(
            "opposed.over.peak",
            "over-damped against 25 V, peak",
            "A",
            3366.217398,
            slow.peak.0,
        ),
        row(
            "opposed.over.arc",
            "over-damped against 25 V, energy",
            "J",
            213.75,
            split.switch,
        ),
        row(
            "opposed.over.left",
            "over-damped, 25 V, left in bank",
            "J",
            28.125,
            split.left_in_bank,
        ),
    ]
}

fn row(
    id: &'static str,
    quantity: &'static str,
    unit: &'static str,
    published: f64,
    computed: f64,
) -> Check {
    check(id, quantity, RLC_OPPOSED, unit, published, computed)
}
