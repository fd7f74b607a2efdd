//! The march against a second solver, that of `ode_solvers`, on the same equations and events.

use crate::common::judge::case;
use crate::common::settings::rig;
use crate::heat_methods::cases;
use crate::proof::{hold, named};
use arcplunge_core::case::Case;
use arcplunge_core::simulation::discharge::{Discharge, discharge, discharge_by};
use arcplunge_core::simulation::events::EventName;
use arcplunge_core::simulation::integrator::{IntegrationError, Tolerance};
use arcplunge_core::simulation::rig::Rig;
use arcplunge_validation::Evidence;
use arcplunge_validation::dop853::Library;
use proptest::strategy::{Strategy, ValueTree};
use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};

/// By how much times of events, over the time, and energy, charge and currents, over the bank's and the
/// peak, may differ: the accuracy a shot is held to. And times [s]: the release of a stud that is held by a
/// thousandth of its push is that sharp.
const APART: (f64, f64) = (1e-6, 5e-9);

/// By how much the times may differ at which a current has crept out: at 10⁻⁹ kA, where a tolerance of 10⁻¹¹
/// is a hundredth of it.
const CREEP: f64 = 1e-3;

/// By how much the peaks of earths may differ, over the whole current's: they are those of the cubics
/// between the ends of steps, of 0.25 ms at most.
const CUBIC: f64 = 1e-4;

/// Tolerance of the second solver.
const FINE: Tolerance = Tolerance::new(1e-11);

fn marched(case: &Case, tolerance: Tolerance) -> Discharge {
    let mut out = Discharge::default();
    discharge(&Rig::new(case), tolerance, &mut out, None).expect("a discharge");
    out
}

/// By the second solver.
fn tried(case: &Case) -> Result<Discharge, IntegrationError> {
    let mut out = Discharge::default();
    discharge_by(&Library, &Rig::new(case), FINE, &mut out, None)?;
    Ok(out)
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
    let action = |d: &Discharge| d.end.sums.action / other.end.sums.action.max(1e-9);
    let peak = other.peak.0.max(1e-9);
    let mut figures = vec![
        ("peak", own.peak.0 / peak, other.peak.0 / peak),
        ("arc energy", energy(own), energy(other)),
        ("charge", charge(own), charge(other)),
        ("action", action(own), action(other)),
    ];
    for k in 0..case.earths.len() {
        let [a, b] = [own, other].map(|d| d.peak_earths[k] / peak);
        figures.push(("earth's peak", a, b));
    }
    for (what, a, b) in figures {
        let part = if what == "earth's peak" {
            CUBIC
        } else {
            APART.0
        };
        if other.peak.0 > 0.0 && (a - b).abs() > part {
            return Err(format!("{what}: {a} and {b}"));
        }
    }
    Ok(())
}

#[test]
fn agrees_with_a_second_solver_from_event_to_event() {
    hold("Integrator", &[Evidence::SecondSolver]);
}

#[test]
fn agrees_with_a_second_solver_on_sheet_leads_and_diode() {
    for group in ["Sheet", "Inductance", "Free-wheel diode"] {
        hold(group, &[Evidence::SecondSolver]);
    }
}

#[test]
fn agrees_with_a_second_solver_not_with_a_diode_that_takes_all_at_once() {
    // An empty bank hands its whole current over where its own voltage, without the ESR's, is gone.
    let mut case = Case::default();
    case.stud.short_resistance = Some(1e-3);
    case.bank.switch_slope += case.bank.esr;
    case.bank.esr = 0.0;
    let at = marched(&case, Tolerance::default())
        .diode_conducts
        .expect("a diode");
    let check = named("diode.shared.short.conducts");
    assert!(!check.with_computed(1e3 * at.t).passed(), "{}", at.t);
}

#[test]
fn agrees_with_a_second_solver_only_at_a_tight_tolerance() {
    let loose = marched(&Case::default(), Tolerance::new(1e-3));
    let at = loose.ignition.expect("an arc").t * 1e3;
    assert!(!named("integrator.M5.ignition").with_computed(at).passed());
}

#[test]
fn agrees_with_a_second_solver_over_random_rigs() {
    let mut arced = 0;
    for case in cases(3, 300) {
        let own = marched(&case, Tolerance::default());
        let other = tried(&case).expect("a discharge");
        if let Err(why) = apart(&case, &own, &other, APART.0) {
            panic!("{why}\n{case:#?}");
        }
        arced += usize::from(own.ignition.is_some());
    }
    assert!(arced > 200, "only {arced} arced");
}

/// Rigs far from any welder's, `SECOND_SOLVER_CASES` of them or a thousand. The last microampere of a current that creeps out hangs on the tolerance:
/// both solvers take a fine one.
#[test]
fn agrees_with_a_second_solver_over_hostile_rigs() {
    let rng = TestRng::from_seed(RngAlgorithm::ChaCha, &[7; 32]);
    let mut runner = TestRunner::new_with_rng(Config::default(), rng);
    let wanted = std::env::var("SECOND_SOLVER_CASES").map_or(1000, |n| n.parse().expect("a count"));
    let (strategy, mut compared, mut arced, mut given_up) = (rig(), 0, 0, 0);
    while compared < wanted {
        let tree = strategy.new_tree(&mut runner).expect("no filters");
        let sets = tree.current();
        let Some(case) = case(&sets) else { continue };
        let own = marched(&case, FINE);
        let Ok(other) = tried(&case) else {
            given_up += 1;
            continue;
        };
        if let Err(why) = apart(&case, &own, &other, CREEP) {
            panic!("{why}\n{sets:?}");
        }
        arced += usize::from(own.ignition.is_some());
        compared += 1;
    }
    // The library's steps underflow before a wall now and then.
    assert!(given_up * 1000 <= wanted, "{given_up} given up");
    assert!(arced * 5 > wanted, "only {arced} arced");
}
