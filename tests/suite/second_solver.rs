//! The march against a second solver, that of `ode_solvers`, on the same equations and events.

use crate::common::judge::case;
use crate::common::settings::rig;
use crate::heat_methods::cases;
use crate::proof::{hold, named};
use arcplunge::case::Case;
use arcplunge::cycle::discharge::{Discharge, discharge};
use arcplunge::cycle::events::EventName;
use arcplunge::cycle::march::Tolerance;
use arcplunge::cycle::rig::Rig;
use arcplunge::study::prove::Evidence;
use proptest::strategy::{Strategy, ValueTree};
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};

/// By how much times of events, over the time, and energy and charge, over the bank's, may differ; and
/// times [s].
const APART: (f64, f64) = (1e-6, 1e-9);

/// By how much the times may differ at which a current has crept out.
const CREEP: f64 = 1e-3;

/// Tolerance of the second solver.
const FINE: Tolerance = Tolerance::new(1e-11);

fn marched(case: &Case, tolerance: Tolerance) -> Discharge {
    let mut out = Discharge::default();
    discharge(&Rig::new(case), tolerance, &mut out, None).expect("a discharge");
    out
}

/// What differs between two marches of a case, in words; times at which the current ends may differ by
/// `end`.
fn apart(case: &Case, own: &Discharge, other: &Discharge, end: f64) -> Result<(), String> {
    let names = |d: &Discharge| d.events.iter().map(|e| e.name).collect::<Vec<_>>();
    if names(own) != names(other) || own.how != other.how {
        return Err(format!("{:?} and {:?}", own.events, other.events));
    }
    for (a, b) in own.events.iter().zip(&other.events) {
        let ends = matches!(a.name, EventName::CurrentEnd | EventName::ArcOut);
        let part = if ends { end } else { APART.0 };
        if (a.time_s - b.time_s).abs() > part * b.time_s + APART.1 {
            return Err(format!("{a:?} and {b:?}"));
        }
    }
    let stored = 0.5 * case.bank.capacitance * case.bank.voltage.powi(2);
    let energy = |d: &Discharge| d.arc.last().map_or(0.0, |knot| knot.energy) / stored;
    let charge = |d: &Discharge| d.end.sums.charge / (case.bank.capacitance * case.bank.voltage);
    for (what, a, b) in [
        ("peak", own.peak.0 / other.peak.0.max(1e-9), 1.0),
        ("arc energy", energy(own), energy(other)),
        ("charge", charge(own), charge(other)),
    ] {
        if other.peak.0 > 0.0 && (a - b).abs() > APART.0 {
            return Err(format!("{what}: {a} and {b}"));
        }
    }
    Ok(())
}

#[test]
fn agrees_with_a_second_solver_from_event_to_event() {
    hold("March", &[Evidence::SecondSolver]);
}

#[test]
fn agrees_with_a_second_solver_only_at_a_tight_tolerance() {
    let loose = marched(&Case::default(), Tolerance::new(1e-3));
    let at = loose.ignition.expect("an arc").t * 1e3;
    assert!(!named("march.M5.ignition").with_computed(at).passed());
}

#[test]
fn agrees_with_a_second_solver_over_random_rigs() {
    let mut arced = 0;
    for case in cases(3, 300) {
        let own = marched(&case, Tolerance::default());
        let other = marched(&case, FINE.by_library());
        if let Err(why) = apart(&case, &own, &other, APART.0) {
            panic!("{why}\n{case:#?}");
        }
        arced += usize::from(own.ignition.is_some());
    }
    assert!(arced > 200, "only {arced} arced");
}

/// Rigs far from any welder's. The last microampere of a current that creeps out hangs on the tolerance:
/// both solvers take a fine one.
#[test]
fn agrees_with_a_second_solver_over_hostile_rigs() {
    let rng = TestRng::from_seed(RngAlgorithm::ChaCha, &[7; 32]);
    let mut runner = TestRunner::new_with_rng(Config::default(), rng);
    let wanted = std::env::var("SECOND_SOLVER_CASES").map_or(1000, |n| n.parse().expect("a count"));
    let (strategy, mut compared) = (rig(), 0);
    while compared < wanted {
        let tree = strategy.new_tree(&mut runner).expect("no filters");
        let sets = tree.current();
        let Some(case) = case(&sets) else { continue };
        let (own, other) = (marched(&case, FINE), marched(&case, FINE.by_library()));
        if let Err(why) = apart(&case, &own, &other, CREEP) {
            panic!("{why}\n{sets:?}");
        }
        compared += 1;
    }
}
