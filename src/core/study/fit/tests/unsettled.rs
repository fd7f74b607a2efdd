//! Keys that the trace does not settle: not told apart, or at an end of their range.

use super::super::Free;
use super::super::curve::current;
use super::{FINE, case, fitted, measured, over};
use crate::case::Case;

#[test]
fn closed_form_two_resistances_in_series_cannot_be_told_apart_by_the_current() {
    let truth = case(&["bank.internal_resistance=1.8 mohm"]);
    let found = fitted(
        measured(&truth, 40.0, 2e-4, 1),
        &["bank.internal_resistance", "bank.switch_slope"],
    );
    let pair = &found.confusions[0];
    assert_eq!(
        [pair.first, pair.second].map(|k| found.values[k].name.as_str()),
        ["bank.internal_resistance", "bank.switch_slope"]
    );
    assert!((pair.correlation + 1.0).abs() < 0.01, "{pair:?}");
    assert!(
        found.values[..2].iter().all(|v| v.error.is_none()),
        "{:?}",
        found.values
    );
    // Their sum is settled all the same.
    let sum = found.values[0].value + found.values[1].value;
    assert!((sum - 2e-3).abs() < 0.05e-3, "{sum}");
    // The control: a lead is told from a terminal.
    let found = fitted(
        measured(&truth, 40.0, 2e-4, 1),
        &["bank.internal_resistance", "lead.length"],
    );
    assert!(found.confusions.is_empty() && found.values.iter().all(|v| v.error.is_some()));
}

#[test]
fn closed_form_the_fitted_case_has_the_sum_of_keys_that_are_not_told_apart() {
    let truth = case(&["bank.internal_resistance=1.6 mohm", "lead.length=7 m"]);
    let trace = measured(&truth, 30.0, 2e-4, 1);
    let keys = [
        "bank.internal_resistance",
        "bank.switch_slope",
        "lead.length",
    ];
    let found = fitted(trace.clone(), &keys);
    let [wiring, switch, lead] = [0, 1, 2].map(|k| &found.values[k]);
    assert!(wiring.error.is_none() && switch.error.is_none() && lead.error.is_some());
    // The switch keeps its 0.2 mΩ, which is the truth; the wiring has the rest.
    assert_eq!(switch.in_case, Some(0.2e-3));
    let alone = fitted(trace.clone(), &["bank.internal_resistance", "lead.length"]);
    for (k, v) in [(0, wiring), (1, lead)] {
        let (wanted, error) = (alone.values[k].value, alone.values[k].error.unwrap());
        assert!((v.in_case.unwrap() - wanted).abs() < 0.05 * error, "{v:?}");
    }
    // What the case leaves is computed from it alone, with the trigger and the offset found.
    let times: Vec<f64> = trace
        .time
        .iter()
        .map(|t| t - found.seen[0].trigger)
        .collect();
    let left = |case: &Case| {
        let current = current(case, &times, FINE).unwrap();
        let pairs = current.iter().zip(&trace.current);
        let square: f64 = pairs.map(|(c, m)| (c - m).powi(2)).sum();
        (square / times.len() as f64).sqrt()
    };
    let written = left(&found.cases[0]);
    assert!(
        written < 1.05 * found.rms()[1],
        "{written} {:?}",
        found.rms()
    );
    assert!((found.case_rms / found.rms()[1] - 1.0).abs() < 0.01 && !found.case_worse);
    // The control: both at their start beside the length found leave far more.
    let mut back = found.cases[0].clone();
    let wiring = Free::read(&back, "bank.internal_resistance").unwrap();
    wiring.address.set_number(&mut back, 0.3e-3).unwrap();
    assert!(left(&back) > 3.0 * found.rms()[1], "{}", left(&back));
    // A record that ends with the current has no rows to show a drift.
    let whole = over(&truth, (2200, 4.4e-3), (30.0, 0.0), 3e-4, 1);
    assert!(whole.tail.is_none(), "{:?}", whole.tail);
    // One key alone is written as it was found.
    let found = fitted(trace, &["bank.internal_resistance"]);
    assert_eq!(found.values[0].in_case, Some(found.values[0].value));
}

#[test]
fn a_key_at_the_end_of_its_range_is_held_there() {
    let truth = case(&["bank.internal_resistance=1.6 mohm"]);
    let trace = measured(&truth, 30.0, 2e-4, 1);
    let found = fitted(
        trace.clone(),
        &["bank.internal_resistance=0.01..0.5mohm", "lead.length"],
    );
    let wiring = &found.values[0];
    assert!(wiring.at_bound && wiring.error.is_none(), "{wiring:?}");
    assert_eq!((wiring.value, wiring.in_case), (0.5e-3, Some(0.5e-3)));
    assert_eq!(
        Free::read(&found.cases[0], "bank.internal_resistance")
            .unwrap()
            .given,
        0.5e-3
    );
    assert!(found.values[1].error.is_some());
    assert_eq!(found.correlation[0][1], 0.0);
    // A range that leaves out the case's value, and holds the truth.
    let found = fitted(trace, &["bank.internal_resistance=1..2mohm"]);
    let wiring = &found.values[0];
    assert!(
        (wiring.value - 1.6e-3).abs() < 5.0 * wiring.error.unwrap(),
        "{wiring:?}"
    );
}
