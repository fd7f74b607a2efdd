//! Residuals at values of one's own, and a fit that is stopped.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use super::{case, measured};
use crate::study::fit::{FitError, Free, Setup, fit};

const NOISE: f64 = 20.0;
const TRIGGER: f64 = 0.3e-3;

fn setup() -> Setup {
    let truth = case(&["bank.esr=3 mohm"]);
    let base = case(&[]);
    let free = Free::all(&base, &["bank.esr".to_string()]).unwrap();
    Setup::new(base, free, measured(&truth, NOISE, TRIGGER, 7), true).unwrap()
}

/// The values sought, with this resistance \[Ω\].
fn values(setup: &Setup, esr: f64) -> Vec<f64> {
    let value = |name: &str| match name {
        "bank.esr" => esr,
        "trigger" => TRIGGER,
        _ => 0.0,
    };
    let sought = setup.sought_values();
    assert!(
        sought
            .iter()
            .all(|s| s.range.0 < s.start && s.start < s.range.1)
    );
    sought.iter().map(|s| value(&s.name)).collect()
}

#[test]
fn closed_form_residuals_at_the_truth_are_the_noise() {
    let setup = setup();
    let mean_square = |esr: f64| {
        let all = setup.residuals_at(&values(&setup, esr)).unwrap();
        let squares: f64 = all.iter().map(|r| r * r).sum();
        (squares / all.len() as f64, all.len() as f64)
    };
    // The squares of n standard normal numbers have the mean 1 and the deviation √(2/n): four of them.
    let (found, rows) = mean_square(3e-3);
    let noise = 4.0 * (2.0 / rows).sqrt();
    assert!((found - 1.0).abs() < noise, "{found}");
    // A resistance a sixth off leaves more than noise would.
    let off = mean_square(2.5e-3).0;
    assert!(off > 1.0 + noise, "{off}, noise up to {noise}");
}

#[test]
fn values_that_are_none_have_no_residuals() {
    let setup = setup();
    assert_eq!(setup.residuals_at(&values(&setup, -1.0)), None);
    assert_eq!(setup.residuals_at(&[3e-3]), None);
}

#[test]
fn a_stopped_fit_says_so() {
    let stop = Arc::new(AtomicBool::new(true));
    let setup = setup().until(stop.clone());
    assert_eq!(fit(&setup).unwrap_err(), FitError::Stopped);
    stop.store(false, Ordering::Relaxed);
    assert!(fit(&setup).is_ok());
}
