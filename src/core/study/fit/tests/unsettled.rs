//! Keys that the trace does not settle: not told apart, or at an end of their range.

use super::super::Free;
use super::super::problem::current;
use super::{FINE, case, fitted, measured, over};
use crate::case::Case;

#[test]
fn closed_form_two_terminals_in_series_cannot_be_told_apart_by_the_current() {
    let truth = case(&["joints.tool=1.5 mohm"]);
    let found = fitted(
        measured(&truth, 40.0, 2e-4, 1),
        &["joints.tool", "joints.bank"],
    );
    let pair = &found.confusions[0];
    assert_eq!(
        (pair.first.as_str(), pair.second.as_str()),
        ("joints.tool", "joints.bank")
    );
    assert!((pair.correlation + 1.0).abs() < 0.01, "{pair:?}");
    assert!(
        found.values[..2].iter().all(|v| v.error.is_none()),
        "{:?}",
        found.values
    );
    // Their sum is settled all the same.
    let sum = found.values[0].value + found.values[1].value;
    assert!((sum - 1.515e-3).abs() < 0.05e-3, "{sum}");
    // The control: a lead is told from a terminal.
    let found = fitted(
        measured(&truth, 40.0, 2e-4, 1),
        &["joints.tool", "lead.length"],
    );
    assert!(found.confusions.is_empty() && found.values.iter().all(|v| v.error.is_some()));
}

#[test]
fn closed_form_the_fitted_case_has_the_sum_of_keys_that_are_not_told_apart() {
    let truth = case(&["joints.tool=1.3 mohm", "lead.length=7 m"]);
    let trace = measured(&truth, 30.0, 2e-4, 1);
    let keys = ["joints.tool", "joints.bank", "lead.length"];
    let found = fitted(trace.clone(), &keys);
    let [tool, bank, lead] = [0, 1, 2].map(|k| &found.values[k]);
    assert!(tool.error.is_none() && bank.error.is_none() && lead.error.is_some());
    // The bank's terminal keeps its 15 µΩ, which is the truth; the tool's has the rest.
    assert_eq!(bank.in_case, Some(15e-6));
    let alone = fitted(trace.clone(), &["joints.tool", "lead.length"]);
    for (k, v) in [(0, tool), (1, lead)] {
        let (wanted, error) = (alone.values[k].value, alone.values[k].error.unwrap());
        assert!((v.in_case.unwrap() - wanted).abs() < 0.05 * error, "{v:?}");
    }
    // What the case leaves is computed from it alone, with the trigger and the offset found.
    let times: Vec<f64> = trace.time.iter().map(|t| t - found.trigger).collect();
    let left = |case: &Case| {
        let current = current(case, &times, FINE).unwrap();
        let pairs = current.iter().zip(&trace.current);
        let square: f64 = pairs.map(|(c, m)| (c - m).powi(2)).sum();
        (square / times.len() as f64).sqrt()
    };
    let written = left(&found.case);
    assert!(written < 1.05 * found.rms[1], "{written} {:?}", found.rms);
    assert!((found.case_rms / found.rms[1] - 1.0).abs() < 0.01 && !found.case_worse);
    // The control: both at their start beside the length found leave far more.
    let mut back = found.case.clone();
    let tool = Free::read(&back, "joints.tool").unwrap();
    tool.address.set_number(&mut back, 15e-6).unwrap();
    assert!(left(&back) > 3.0 * found.rms[1], "{}", left(&back));
    // A record that ends with the current has no rows to show a drift.
    let whole = over(&truth, (2500, 5e-3), (30.0, 0.0), 3e-4, 1);
    assert!(whole.tail.is_none(), "{:?}", whole.tail);
    // One key alone is written as it was found.
    let found = fitted(trace, &["joints.tool"]);
    assert_eq!(found.values[0].in_case, Some(found.values[0].value));
}

#[test]
fn a_key_at_the_end_of_its_range_is_held_there() {
    let truth = case(&["joints.tool=1.3 mohm"]);
    let trace = measured(&truth, 30.0, 2e-4, 1);
    let found = fitted(trace.clone(), &["joints.tool=0.01..0.5mohm", "lead.length"]);
    let tool = &found.values[0];
    assert!(tool.at_bound && tool.error.is_none(), "{tool:?}");
    assert_eq!((tool.value, tool.in_case), (0.5e-3, Some(0.5e-3)));
    assert_eq!(
        Free::read(&found.case, "joints.tool").unwrap().given,
        0.5e-3
    );
    assert!(found.values[1].error.is_some());
    assert_eq!(found.correlation[0][1], 0.0);
    // A range that leaves out the case's value, and holds the truth.
    let found = fitted(trace, &["joints.tool=1..2mohm"]);
    let tool = &found.values[0];
    assert!(
        (tool.value - 1.3e-3).abs() < 5.0 * tool.error.unwrap(),
        "{tool:?}"
    );
}
