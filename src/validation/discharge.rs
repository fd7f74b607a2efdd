//! Discharge of the bank through a bolted short against the closed forms of a series RLC circuit,
//! integrated by the solver of every shot.

use super::bench::{CRITICAL, OVER_DAMPED, Series, UNDER_DAMPED, discharge_check as check};
use super::integrator::Trench;
use super::{Check, Evidence, Source, opposed};
use arcplunge_core::simulation::integrator::Tolerance;

const RLC: Source = Source {
    text: "series RLC circuit",
    evidence: Evidence::ClosedForm,
};
const TRENCH: Source = Source {
    text: "Trench, Elementary Differential Equations, example 6.3.1",
    evidence: Evidence::Published,
};

pub(super) fn checks() -> Vec<Check> {
    let mut out = under_damped();
    out.extend(critical());
    out.extend(over_damped());
    out.extend(opposed::checks());
    out.push(check(
        "trench",
        "charge 10 ms after 1 C and 2 A",
        TRENCH,
        "C",
        0.01750916724,
        Trench::default().charge(10.0, Tolerance::default()),
    ));
    out
}

fn under_damped() -> Vec<Check> {
    let d = UNDER_DAMPED.run();
    let (peak, at) = d.peak;
    vec![
        check(
            "under.peak",
            "under-damped, peak",
            RLC,
            "A",
            5861.853068,
            peak,
        ),
        check(
            "under.time",
            "under-damped, time of peak",
            RLC,
            "ms",
            0.6729351845,
            at * 1e3,
        ),
        check(
            "under.action",
            "under-damped, action",
            RLC,
            "A2s",
            33000.0,
            d.end.sums.action,
        ),
    ]
}

fn critical() -> Vec<Check> {
    let d = CRITICAL.run();
    let (peak, at) = d.peak;
    let then = Series {
        until: 0.632455532e-3,
        ..CRITICAL
    };
    vec![
        check(
            "critical.peak",
            "critical, peak",
            RLC,
            "A",
            5235.016223,
            peak,
        ),
        check(
            "critical.time",
            "critical, time of peak",
            RLC,
            "ms",
            0.632455532,
            at * 1e3,
        ),
        check(
            "critical.bank",
            "critical, bank at the peak",
            RLC,
            "V",
            66.21829941,
            then.run().end.bank,
        ),
        check(
            "critical.action",
            "critical, action",
            RLC,
            "A2s",
            32018.06131,
            d.end.sums.action,
        ),
    ]
}

fn over_damped() -> Vec<Check> {
    let (peak, at) = OVER_DAMPED.run().peak;
    let then = Series {
        until: 5e-3,
        ..OVER_DAMPED
    };
    let then = then.run().end;
    vec![
        check(
            "over.peak",
            "over-damped, peak",
            RLC,
            "A",
            4252.064082,
            peak,
        ),
        check(
            "over.time",
            "over-damped, time of peak",
            RLC,
            "ms",
            0.380833983,
            at * 1e3,
        ),
        check(
            "over.current",
            "over-damped, current at 5 ms",
            RLC,
            "A",
            513.3603594,
            then.current,
        ),
        check(
            "over.bank",
            "over-damped, bank at 5 ms",
            RLC,
            "V",
            12.10851730,
            then.bank,
        ),
    ]
}
