//! Keys that are held as well as they are known, the probe, and several traces.

use super::super::trace::{Quiet, Trace};
use super::super::{Fit, Free, Setup, fit};
use super::{case, normals, over};
use crate::case::Case;
use crate::case::read::demonstration;
use crate::case::tolerance::Tolerances;

/// A discharge test, as far as it is known.
const BOLTED: &str = "stud.short_resistance=1 mohm";

fn tolerances(spreads: &[&str], sets: &[&str]) -> Tolerances {
    let spreads = ["others=none"].iter().chain(spreads);
    let spreads = spreads.map(|s| format!("tolerance.{s}"));
    let all: Vec<String> = sets
        .iter()
        .map(ToString::to_string)
        .chain(spreads)
        .collect();
    demonstration(&all).unwrap().tolerances
}

/// The fit of these keys to traces of cases with a bolted short, whose other keys are known to these spreads.
fn fitted(
    traces: Vec<Trace>,
    keys: &[&str],
    each: &[&str],
    spreads: &[&str],
    sets: &[&str],
) -> Fit {
    let base = case(&[&[BOLTED], sets].concat());
    let read = |keys: &[&str]| {
        let keys: Vec<String> = keys.iter().map(ToString::to_string).collect();
        Free::all(&base, &keys).unwrap()
    };
    let mut free = read(keys);
    for key in read(each) {
        free.extend((0..traces.len()).map(|r| Free {
            record: Some(r),
            ..key.clone()
        }));
    }
    let setup = Setup::of(base, free, traces, true).unwrap();
    fit(&setup.knowing(&tolerances(spreads, sets))).unwrap()
}

/// The trace of a case, 12 ms long, with white noise \[A\], as `seen`.
fn trace(sets: &[&str], noise: f64, seed: u8, seen: impl Fn(f64, f64) -> f64) -> Trace {
    let truth: Case = case(&[&[BOLTED], sets].concat());
    let exact = over(&truth, (1500, 12e-3), (0.0, 0.0), 6e-4, seed);
    let mut normal = normals(seed);
    let rows = exact.time.iter().zip(&exact.current);
    let current = rows.map(|(t, i)| seen(*t, *i) + noise * normal()).collect();
    let quiet = Quiet {
        rows: 60,
        noise,
        memory: 1.0,
    };
    Trace::new(exact.time, current, 0.0, Some(quiet))
}

#[test]
fn a_trace_without_noise_takes_no_search_of_the_keys_that_are_held() {
    use super::super::search::{polish, search};
    let truth = case(&[]);
    let exact = over(&truth, (400, 4e-3), (0.0, 0.0), 0.0, 1);
    let free = Free::all(&truth, &["bank.esr".to_string()]).unwrap();
    let of = |current: Vec<f64>| {
        let trace = Trace::new(exact.time.clone(), current, 0.0, None);
        let setup = Setup::new(truth.clone(), free.clone(), trace, true).unwrap();
        setup.knowing(&demonstration(&[]).unwrap().tolerances)
    };
    let moved = |setup: &Setup| {
        let plain = search(setup).unwrap().best;
        let (setup, rest) = polish(setup, &plain).unwrap();
        assert!(setup.known.len() > 10);
        setup.held(&rest.u).any(|away| away != 0.0)
    };
    let setup = of(exact.current.clone());
    assert!(!moved(&setup));
    // Its errors are those of a probe, not of the sums.
    let found = fit(&setup).unwrap();
    let v = &found.values[0];
    assert!((v.value / 2e-3 - 1.0).abs() < 1e-3, "{v:?}");
    let least = 1e-5 * exact.peak * (found.seen[0].memory / 400.0).sqrt();
    assert!(found.values[1].noise_error.unwrap() > 0.9 * least);
    assert!(setup.records[0].noiseless(found.seen[0].rms[1]));
    // The control: with noise they are searched.
    let mut normal = normals(1);
    let noisy = exact.current.iter().map(|i| i + 40.0 * normal());
    assert!(moved(&of(noisy.collect())));
}

#[test]
fn closed_form_a_gain_that_is_off_does_not_deceive_the_errors() {
    // A gain 2 % off: without its spread the resistance is many standard errors off, with it within two.
    let rig = ["bank.esr=3 mohm"];
    let off = |spreads: &[&str]| {
        let trace = trace(&rig, 20.0, 1, |_, i| 1.02 * i);
        let found = fitted(vec![trace], &["bank.esr"], &[], spreads, &[]);
        let v = &found.values[0];
        ((v.value - 3e-3).abs() / v.error.unwrap(), found)
    };
    let (exact, _) = off(&[]);
    assert!(exact > 6.0, "{exact}");
    let (known, found) = off(&["probe.gain=2 %"]);
    assert!(known < 2.5, "{known}");
    let gain = &found.held[0];
    assert!((gain.value - 1.02).abs() < 3.0 * gain.error, "{gain:?}");
    // What the gain costs is told: by its share the error without it follows.
    let v = &found.values[0];
    let without = v.error.unwrap() * (1.0 - gain.shares[0]).sqrt();
    assert!(
        (without / v.noise_error.unwrap() - 1.0).abs() < 0.05,
        "{v:?} {gain:?}"
    );
}

#[test]
fn closed_form_a_key_that_is_held_widens_the_errors_by_what_it_does() {
    // In a bolted discharge a lead's temperature and a resistance do nearly the same: the resistance is known no
    // better than 0.00393/K of the lead's own, 1.94e-8 Ω·m · 5 m / 35 mm² for the gun lead and 1.94e-8 · 5/25/2 for the earth
    // leads, times 10 K: IEC 60228 copper at 20 °C with a ropes' lay, from docs/physics.md.
    let trace = || trace(&[], 40.0, 2, |_, i| i);
    let found = fitted(
        vec![trace()],
        &["bank.internal_resistance"],
        &[],
        &["lead.temperature=10 K"],
        &[],
    );
    let leads = 1.94e-8 * 5.0 * (1.0 / 35e-6 + 0.5 / 25e-6);
    let wanted = 0.00393 * leads * 10.0;
    let v = &found.values[0];
    assert!(
        (v.error.unwrap() / wanted - 1.0).abs() < 0.1,
        "{v:?} {wanted}"
    );
    assert!(v.noise_error.unwrap() < 0.3 * wanted);
    // The control: were it exact, so would be the error.
    let exact = fitted(vec![trace()], &["bank.internal_resistance"], &[], &[], &[]);
    assert!(exact.held.is_empty());
    assert_eq!(exact.values[0].error, exact.values[0].noise_error);
}

#[test]
fn a_coil_and_hum_are_seen_through() {
    use std::f64::consts::TAU;
    let sets = ["probe.bandwidth=50 kHz", "probe.low_cutoff=5 Hz"];
    let spreads = [
        "probe.bandwidth=20 %",
        "probe.low_cutoff=20 %",
        "probe.hum_cosine=30 A",
        "probe.hum_sine=30 A",
    ];
    // The coil's own filters stand in the case that makes the trace.
    let hum = |t: f64| 40.0 * (TAU * 50.0 * t + 1.0).cos();
    let rig = [&["bank.esr=3 mohm"], &sets[..]].concat();
    let trace = || trace(&rig, 10.0, 3, |t, i| i + hum(t));
    let found = fitted(
        vec![trace()],
        &["bank.esr", "lead.length"],
        &[],
        &spreads,
        &sets,
    );
    for (v, truth) in found.values.iter().zip([3e-3, 5.0]) {
        assert!((v.value - truth).abs() < 3.0 * v.error.unwrap(), "{v:?}");
    }
    // The control: a case that knows of neither leaves what is far more than noise.
    let blind = fitted(vec![trace()], &["bank.esr", "lead.length"], &[], &[], &[]);
    let left = |found: &Fit| found.seen[0].chi2.unwrap();
    assert!(left(&blind) > 10.0 * left(&found), "{}", left(&blind));
}

#[test]
fn closed_form_a_drift_between_two_traces_is_told_whatever_the_gain() {
    // The same gain spoils both: their difference is known far better than either.
    let traces = || {
        ["bank.esr=2 mohm", "bank.esr=2.5 mohm"]
            .map(|esr| trace(&[esr], 20.0, 4, |_, i| 1.015 * i))
            .to_vec()
    };
    let spreads = ["probe.gain=2 %"];
    let found = fitted(traces(), &["lead.length"], &["bank.esr"], &spreads, &[]);
    let named: Vec<_> = found
        .values
        .iter()
        .map(|v| (v.name.as_str(), v.record))
        .collect();
    assert_eq!(
        named[..3],
        [
            ("lead.length", None),
            ("bank.esr", Some(0)),
            ("bank.esr", Some(1))
        ]
    );
    let (change, error) = found.change(1, 2).unwrap();
    assert!((change - 0.5e-3).abs() < 3.0 * error, "{change} {error}");
    assert!(error < 0.5 * found.values[1].error.unwrap(), "{error}");
    for (k, esr) in [(1, 2e-3), (2, 2.5e-3)] {
        let v = &found.values[k];
        assert!((v.value - esr).abs() < 3.0 * v.error.unwrap(), "{v:?}");
        assert_eq!(found.cases[k - 1].bank.esr, v.in_case.unwrap());
    }
}
