//! Runs a group of the built-in checks and tells which fail.

use arcplunge_validation::{Check, Evidence, GROUPS, group};

/// The checks of a group with this kind of evidence.
pub fn of(title: &str, kinds: &[Evidence]) -> Vec<Check> {
    let found = GROUPS.iter().find(|(name, _)| *name == title);
    let (title, run) = found.unwrap_or_else(|| panic!("no group {title}"));
    let mut checks = group(title, *run);
    checks.retain(|check| kinds.contains(&check.evidence));
    checks
}

/// Panics with every failing check of the group, and if there is none to run.
#[track_caller]
pub fn hold(title: &str, kinds: &[Evidence]) {
    let checks = of(title, kinds);
    assert!(!checks.is_empty(), "no such check in {title}");
    let failed: Vec<Check> = checks.into_iter().filter(|c| !c.passed()).collect();
    assert!(failed.is_empty(), "{failed:#?}");
}

/// One check by its name.
#[allow(dead_code)] // not every kind of evidence has a control that needs it
pub fn named(id: &str) -> Check {
    let all = arcplunge_validation::checks();
    let found = all.into_iter().find(|check| check.id == id);
    found.unwrap_or_else(|| panic!("no check {id}"))
}
