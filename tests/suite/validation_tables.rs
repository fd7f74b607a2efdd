//! The generated parts of the validation pages: every check, and the published whole welds.

use std::fmt::Write;

use arcplunge_report::measured::summary;
use arcplunge_report::validate::{allowed, deviation, digits, published};
use arcplunge_validation::measured::{Outcome, Row};
use arcplunge_validation::{Check, Evidence, checks};

/// How many checks there are of each kind of evidence. Markdown.
pub fn count_table(checks: &[Check]) -> String {
    let mut text = "| kind of evidence | checks |\n|---|---|\n".to_string();
    for kind in Evidence::ALL {
        let count = checks.iter().filter(|check| check.evidence == kind).count();
        let _ = writeln!(text, "| {} | {count} |", kind.name());
    }
    let _ = writeln!(text, "| all | {} |", checks.len());
    text
}

/// Every check, a table a group. Markdown.
pub fn check_tables(checks: &[Check]) -> String {
    let mut text = String::new();
    let mut group = "";
    for check in checks {
        if check.group != group {
            group = check.group;
            let _ = writeln!(
                text,
                "### {group}\n\n| quantity | unit | published | computed | off | allowed | evidence | source |\n|---|---|---|---|---|---|---|---|"
            );
        }
        let mark = if check.passed() { "" } else { " **FAIL**" };
        let _ = writeln!(
            text,
            "| {} | {} | {} | {} | {}{mark} | {} | {} | {} |",
            check.quantity,
            check.unit,
            published(check),
            digits(check.computed),
            deviation(check),
            allowed(check),
            check.evidence.name(),
            check.source.replace('|', "\\|"),
        );
        if last_of(checks, check) {
            text.push('\n');
        }
    }
    text
}

/// Whether no later check is in the same group.
fn last_of(checks: &[Check], check: &Check) -> bool {
    let last = checks.iter().rfind(|other| other.group == check.group);
    last.is_some_and(|last| std::ptr::eq(last, check))
}

/// Published whole welds: what each states, what was assumed, what the model gives. Markdown.
pub fn measured_table(rows: &[Row]) -> String {
    let mut text =
        "| experiment | it states | assumed | the model gives | |\n|---|---|---|---|---|\n"
            .to_string();
    for row in rows {
        let _ = writeln!(
            text,
            "| {} ({}) | {} | {} | {} | **{}** |",
            row.source,
            row.known,
            row.states,
            row.assumed,
            row.gives,
            row.outcome.name(),
        );
    }
    let _ = writeln!(text, "\n{}", summary(rows));
    text
}

/// What each comparison does not show, misses first. Markdown.
pub fn measured_remarks(rows: &[Row]) -> String {
    let mut text = String::new();
    for outcome in [Outcome::Miss, Outcome::Open, Outcome::Hit] {
        for row in rows.iter().filter(|row| row.outcome == outcome) {
            let (name, what, remark) = (outcome.name(), row.states, &row.remark);
            let _ = writeln!(text, "- **{name}**, {}: {what}. {remark}", row.source);
        }
    }
    text
}

#[test]
fn regress_a_failing_check_shows_on_the_page() {
    let mut checks = checks();
    checks[0] = checks[0].with_computed(2.0 * checks[0].computed);
    assert_eq!(check_tables(&checks).matches("**FAIL**").count(), 1);
}
