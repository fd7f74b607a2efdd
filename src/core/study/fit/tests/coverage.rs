//! Whether stated errors hold the truth as often as they say, with white noise, noise with a memory, and a drift.

use super::super::autocorrelation::memory;
use super::super::trace::Trace;
use super::super::{Free, Setup, fit};
use super::{case, fitted, measured, normals, over, recorded};
use crate::case::Case;

#[test]
fn closed_form_known_keys_are_found_again_at_the_stated_coverage() {
    // Own synthetic traces: the truth is known. 95 % of intervals of ±1.96 standard errors should hold
    // it; of 4 × 20 no fewer than 69 do in all but one of a thousand tries (binomial).
    let truth = case(&["bank.internal_resistance=1.6 mohm", "lead.length=7 m"]);
    let (mut held, mut all) = (0, 0);
    for seed in 0..20 {
        let found = fitted(
            measured(&truth, 40.0, 2e-4, seed),
            &["bank.internal_resistance", "lead.length"],
        );
        let wanted = [1.6e-3, 7.0, 0.0, 2e-4];
        for (v, truth) in found.values.iter().zip(wanted) {
            let error = v.error.unwrap();
            held += usize::from((v.value - truth).abs() <= 1.96 * error);
            all += 1;
            assert!((v.value - truth).abs() < 6.0 * error, "{v:?} {truth}");
        }
        let chi2 = found.seen[0].chi2.unwrap();
        assert!((0.8..1.2).contains(&chi2), "{chi2}");
        assert!(found.confusions.is_empty(), "{:?}", found.confusions);
    }
    println!("{held} held of {all}");
    assert!(held >= 69 && held < all, "{held} of {all}");
}

#[test]
fn closed_form_errors_hold_where_the_noise_has_a_memory() {
    // AR(1): (1 + 0.97)/(1 - 0.97) = 66 rows of memory. Of 4 × 14 intervals of ±1.96 standard errors 53 should
    // hold; the memory is itself estimated from some 60 independent rows, so that 46 are asked for.
    let truth = case(&["bank.internal_resistance=1.6 mohm", "lead.length=7 m"]);
    let (mut held, mut bare, mut all) = (0, 0, 0);
    for seed in 0..14 {
        let found = fitted(
            recorded(&truth, 4000, (40.0, 0.97), 2e-4, seed),
            &["bank.internal_resistance", "lead.length"],
        );
        assert!(
            (20.0..160.0).contains(&found.seen[0].memory),
            "{}",
            found.seen[0].memory
        );
        let wanted = [1.6e-3, 7.0, 0.0, 2e-4];
        for (v, truth) in found.values.iter().zip(wanted) {
            let off = (v.value - truth).abs() / v.error.unwrap();
            held += usize::from(off <= 1.96);
            // The control: without the widening.
            bare += usize::from(off <= 1.96 / found.seen[0].memory.sqrt());
            all += 1;
        }
    }
    println!("{held} held, {bare} without the widening, of {all}");
    assert!(held >= 46, "{held} of {all}");
    assert!(bare < 28, "{bare} of {all}");
}

#[test]
fn closed_form_the_memory_of_a_noise() {
    for (rho, rows) in [(0.0, 5000), (0.8, 15_000), (0.97, 60_000), (0.97, 200_000)] {
        let mut normal = normals(3);
        let mut last = normal();
        let series: Vec<f64> = (0..rows)
            .map(|_| {
                last = rho * last + f64::sqrt(1.0 - rho * rho) * normal();
                last
            })
            .collect();
        let (found, exact) = (memory(&series), (1.0 + rho) / (1.0 - rho));
        assert!(
            (found / exact - 1.0).abs() < 0.25,
            "{rho} {rows}: {found} {exact}"
        );
    }
    assert_eq!(memory(&[0.0; 50]), 1.0);
}

#[test]
fn closed_form_errors_hold_where_the_baseline_drifts() {
    // A baseline that rises by 1 % of the peak in 4 ms. Of 4 × 8 intervals 30 should hold the truth.
    let truth = case(&["bank.internal_resistance=1.6 mohm", "lead.length=7 m"]);
    let (mut held, mut bare, mut all) = (0, 0, 0);
    for seed in 0..8 {
        let mut trace = over(&truth, (3500, 7e-3), (40.0, 0.0), 4e-4, seed);
        let slope = 60.0 / 4e-3;
        let time = trace.time.clone();
        for (i, t) in trace.current.iter_mut().zip(&time) {
            *i += slope * (t - 4e-4);
        }
        let trace = Trace::new(time, trace.current, 0.0, trace.quiet);
        let free = ["bank.internal_resistance", "lead.length"].map(str::to_string);
        let free = Free::all(&Case::default(), &free).unwrap();
        let mut setup = Setup::new(Case::default(), free, trace, true).unwrap();
        assert!(setup.records[0].drift);
        let tail = setup.records[0].trace.tail.unwrap();
        assert!(tail.from > 4.32e-3 && tail.rows > 500, "{tail:?}");
        for with in [true, false] {
            setup.records[0].drift = with;
            let found = fit(&setup).unwrap();
            let wanted = [1.6e-3, 7.0, 0.0, 4e-4, slope];
            for (v, truth) in found
                .values
                .iter()
                .zip(wanted)
                .filter(|(v, _)| v.name != "offset")
            {
                // The control: without the slope, and without the widening for what that leaves.
                let widened = if with {
                    1.0
                } else {
                    found.seen[0].memory.sqrt()
                };
                let holds = (v.value - truth).abs() <= 1.96 * v.error.unwrap() / widened;
                *(if with { &mut held } else { &mut bare }) += usize::from(holds);
                all += usize::from(with);
            }
        }
    }
    println!(
        "{held} held, of {all}; {bare} of {} without the slope",
        3 * all / 4
    );
    // Binomial: 26 or more in all but one of a thousand tries.
    assert!(held >= 26, "{held} of {all}");
    assert!(4 * bare < 3 * 3 * all / 4, "{bare}");
}
