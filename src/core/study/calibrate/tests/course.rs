//! The trace of an oscilloscope as a test weld.

use std::f64::consts::TAU;

use nalgebra::{DMatrix, DVector};

use crate::case::Case;
use crate::simulation::fire::Settings;
use crate::simulation::rig::Rig;
use crate::simulation::weld::curves;
use crate::study::calibrate::course::{Computed, Course, STRETCHES};
use crate::study::fit::trace::{Quiet, Trace, Volts};

/// The trace of a case as an oscilloscope would record it: quiet at first, a row each 2 µs, ±`noise` by turns.
fn trace(case: &Case, noise: f64) -> Trace {
    let fired = curves(&Rig::try_new(case).unwrap(), &Settings::default(), 2e-6).unwrap();
    let mut rows = fired.rows.clone();
    rows.dedup_by_key(|row| row.time_s);
    let by_turns = |k: usize| if k.is_multiple_of(2) { noise } else { -noise };
    let quiet = (0..100).map(|k| (-2e-6 * f64::from(100 - k), 0.0, 0.0));
    let shot = rows
        .iter()
        .map(|row| (row.time_s, row.current_A, row.weld_V));
    let all: Vec<(f64, f64, f64)> = quiet.chain(shot).collect();
    let current = all.iter().enumerate().map(|(k, row)| row.1 + by_turns(k));
    let quiet = Quiet {
        rows: 100,
        noise,
        memory: 1.0,
    };
    let time = all.iter().map(|row| row.0).collect();
    let mut trace = Trace::new(time, current.collect(), 0.0, Some(quiet));
    trace.voltage = Some(Volts {
        values: all.iter().map(|row| row.2).collect(),
        offset: 0.0,
        quiet: None,
        quantum: 0.0,
    });
    trace
}

fn computed(case: &Case) -> Computed {
    Computed::of(case, 5e-6).unwrap()
}

#[test]
fn agrees_with_the_figures_of_the_shot_itself() {
    let case = Case::default();
    let fired = curves(&Rig::try_new(&case).unwrap(), &Settings::default(), 2e-6).unwrap();
    let f = &fired.shot.figures;
    let course = Course::of(&trace(&case, 0.0));
    let arc = course.arc.unwrap();
    assert!(
        (arc.time / f.arc_time_s.unwrap() - 1.0).abs() < 0.01,
        "{arc:?}"
    );
    // The voltage falls with the gap: the middle lies near the mean by charge.
    let charge: f64 = fired
        .rows
        .windows(2)
        .filter(|w| w[1].phase.name() == "arc")
        .map(|w| 0.5 * (w[0].current_A + w[1].current_A) * (w[1].time_s - w[0].time_s))
        .sum();
    let mean = f.arc_energy_J.unwrap() / charge;
    assert!((arc.voltage / mean - 1.0).abs() < 0.05, "{arc:?} {mean}");
    let own = computed(&case).arc.unwrap();
    assert!((own.time / arc.time - 1.0).abs() < 0.01, "{own:?} {arc:?}");
    assert!((own.voltage / arc.voltage - 1.0).abs() < 0.01);
    assert_eq!(course.current.iter().flatten().count(), STRETCHES);
    // Its own current has hardly an error: no less probable than at the very mean, by 1 % of the peak.
    let best = -0.5 * STRETCHES as f64 * TAU.ln();
    let volume = 7.0 * (0.5e-4_f64).ln() + (0.5e-4_f64 + 8.0 * 0.5e-4).ln();
    let log = course.current_log(&computed(&case), 0.01);
    assert!((log - (best - 0.5 * volume)).abs() < 0.2, "{log}");
}

#[test]
fn agrees_with_the_density_of_a_normal_distribution_by_nalgebra() {
    let mut other = Case::default();
    other.bank.voltage *= 1.02;
    let (measured, model) = (trace(&Case::default(), 40.0), computed(&other));
    let course = Course::of(&measured);
    let share = 0.03;
    // The means by the trapezoidal rule over fine rows, apart from the code under test.
    let fine = Course::of(&trace(&other, 0.0));
    let stretch = course.width / fine.width;
    assert!((stretch - 1.0).abs() < 0.01);
    let n = STRETCHES;
    let spread = share * course.peak;
    let covariance = DMatrix::from_fn(n, n, |a, b| {
        let own = if a == b {
            0.5 * spread * spread + course.noise * course.noise
        } else {
            0.0
        };
        own + 0.5 * spread * spread
    });
    let off = DVector::from_fn(n, |k, _| {
        course.current[k].unwrap() - fine.current[k].unwrap()
    });
    let cholesky = covariance.clone().cholesky().unwrap();
    let distance = off.dot(&cholesky.solve(&off));
    let determinant = cholesky.determinant().ln() - 2.0 * n as f64 * course.peak.ln();
    let expected = -0.5 * (distance + determinant + n as f64 * TAU.ln());
    let log = course.current_log(&model, share);
    assert!((log - expected).abs() < 0.05, "{log} {expected}");
}

#[test]
fn another_rig_is_less_probable_and_a_wrong_unit_is_refused() {
    let course = Course::of(&trace(&Case::default(), 40.0));
    let log = |turn: &dyn Fn(&mut Case)| {
        let mut case = Case::default();
        turn(&mut case);
        course.current_log(&computed(&case), 0.03)
    };
    let own = log(&|_| ());
    assert!(log(&|case| case.lead.length *= 1.5) < own - 5.0);
    assert!(log(&|case| case.bank.voltage *= 1.1) < own - 1.0);
    assert!(log(&|case| case.bank.capacitance *= 1.2) < own - 1.0);
    // A case of another length of the current is no reason for a missing number.
    assert!(log(&|case| case.bank.voltage = 40.0).is_finite());
    let mut milliamperes = trace(&Case::default(), 0.0);
    milliamperes.current.iter_mut().for_each(|i| *i *= 1e-3);
    milliamperes.peak *= 1e-3;
    let told = Course::of(&milliamperes).fits(&Case::default());
    assert!(told.unwrap_err().contains("check the units"));
    let mut nothing = trace(&Case::default(), 40.0);
    nothing.current.iter_mut().for_each(|i| *i *= 1e-4);
    let told = Course::of(&nothing).fits(&Case::default());
    assert!(told.unwrap_err().contains("no current"));
    assert!(
        Course::of(&trace(&Case::default(), 40.0))
            .fits(&Case::default())
            .is_ok()
    );
}

#[test]
fn missing_rows_leave_their_stretch_out() {
    let mut clipped = trace(&Case::default(), 0.0);
    let top = 0.9 * clipped.peak;
    let over: Vec<bool> = clipped.current.iter().map(|i| *i > top).collect();
    clipped.retain(|k, _| !over[k]);
    let course = Course::of(&clipped);
    let there = course.current.iter().flatten().count();
    assert!((STRETCHES - 3..STRETCHES).contains(&there), "{there}");
    assert!(
        course
            .current_log(&computed(&Case::default()), 0.03)
            .is_finite()
    );
}
