//! The checks as a document, and their rows for programs.

use super::document::{Document, Table};
use arcplunge_validation::measured::{GROUP, Outcome, PREFIX, Row};
use arcplunge_validation::{Allowed, Check, Evidence};
use serde_json::{Value, json};

/// Relative deviation below which no figure is given.
const ROUNDING: f64 = 1e-6;

/// Below this a value is rounding; nothing that is checked has a unit that small.
const NOTHING: f64 = 1e-10;

/// The checks as a document, grouped, with the counts at the end; `others` are the published whole welds that are no checks.
pub fn document(checks: &[Check], others: &[Row]) -> Document {
    let mut document = Document::default();
    let b = &mut document.blocks;
    for group in checks.chunk_by(|a, b| a.group == b.group) {
        let head = [
            group[0].group,
            "published",
            "computed",
            "off",
            "allowed",
            "",
        ];
        let mut table = Table::new("{:<40}{:>11}{:>10}{:>10}{:>9}{}", head, 1);
        for check in group {
            let mark = if check.passed() { "" } else { " FAIL" };
            table.row([
                format!("  {}", what(check)),
                published(check),
                digits(check.computed),
                deviation(check),
                allowed(check),
                mark.to_string(),
            ]);
            let (source, evidence) = (&check.source, check.evidence.name());
            table.row([format!("      {source} ({evidence})")]);
        }
        b.table(table);
        b.gap();
    }
    let failed = checks.iter().filter(|check| !check.passed()).count();
    b.line(summary(checks.len(), failed));
    b.line(whole_welds(checks, others));
    document
}

/// The checks as a JSON array, one object a check; at its end the published whole welds that are no checks, with their
/// outcome and null for whether they passed.
///
/// # Errors
/// None that is known: all values are numbers and text; a number that is missing becomes null.
pub fn json(checks: &[Check], others: &[Row]) -> serde_json::Result<String> {
    let mut rows: Vec<Value> = checks
        .iter()
        .map(serde_json::to_value)
        .collect::<Result<_, _>>()?;
    rows.extend(others.iter().map(|row| {
        json!({
            "id": format!("{PREFIX}{}", row.id), "group": GROUP, "quantity": row.states, "source": row.source,
            "evidence": Evidence::Reported, "unit": "", "published": null, "computed": null, "allowed": null,
            "deviation": null, "passed": null, "outcome": row.outcome, "gives": row.gives,
        })
    }));
    serde_json::to_string_pretty(&rows)
}

/// How many there are and how many failed, in a sentence.
fn summary(all: usize, failed: usize) -> String {
    match failed {
        0 => format!("{all} checks, all within tolerance."),
        1 => format!("{all} checks, 1 FAILED."),
        _ => format!("{all} checks, {failed} FAILED."),
    }
}

/// How many of the published whole welds are met: those that are not are no checks.
fn whole_welds(checks: &[Check], others: &[Row]) -> String {
    let tried = checks.iter().filter(|check| check.id.starts_with(PREFIX));
    let met = tried.clone().filter(|check| check.passed()).count();
    let count = |outcome| others.iter().filter(|row| row.outcome == outcome).count();
    let all = tried.count() + others.len();
    let open = count(Outcome::Open);
    format!(
        "Of {all} published whole welds {met} are met, {} missed and {open} open: see --measured.",
        all - met - open
    )
}

fn what(check: &Check) -> String {
    match check.unit {
        "" => check.quantity.clone(),
        unit => format!("{} [{unit}]", check.quantity),
    }
}

/// The value from outside, or the range.
pub fn published(check: &Check) -> String {
    match check.allowed {
        Allowed::Range(low, high) => {
            format!("{}..{}", significant(low, 3), significant(high, 3))
        }
        _ => digits(check.published),
    }
}

/// How far off it is, for reading.
pub fn deviation(check: &Check) -> String {
    let off = check.deviation();
    match check.allowed {
        _ if off.is_nan() => "none".into(),
        Allowed::Absolute(_) => short(off),
        Allowed::Range(..) if off == 0.0 => "inside".into(),
        // Below that it is rounding, which differs between machines.
        _ if off.abs() < ROUNDING => "<1e-4 %".into(),
        _ => percent(off),
    }
}

/// What is allowed, for reading.
pub fn allowed(check: &Check) -> String {
    match check.allowed {
        Allowed::Relative(most) => percent(most),
        Allowed::Absolute(most) => short(most),
        Allowed::Range(..) => "range".into(),
    }
}

fn percent(share: f64) -> String {
    format!("{} %", short(100.0 * share))
}

/// Two significant digits.
fn short(value: f64) -> String {
    significant(value, 2)
}

/// A value to five significant digits.
pub fn digits(value: f64) -> String {
    significant(value, 5)
}

/// A number to `n` significant digits, in powers of ten where that is shorter.
fn significant(value: f64, n: usize) -> String {
    if value == 0.0 {
        return "0".into();
    }
    if !value.is_finite() {
        return "none".into();
    }
    if value.abs() < NOTHING {
        return "<1e-10".into();
    }
    let text = format!("{value:.*e}", n - 1);
    let Some((mantissa, exponent)) = text.split_once('e') else {
        return text;
    };
    let exponent: i32 = exponent.parse().unwrap_or(0);
    let trim = |text: &str| {
        if text.contains('.') {
            text.trim_end_matches('0').trim_end_matches('.').to_string()
        } else {
            text.to_string()
        }
    };
    if (-4..6).contains(&exponent) {
        let places = (n as i32 - 1 - exponent).max(0) as usize;
        trim(&format!("{value:.places$}"))
    } else {
        format!("{}e{exponent}", trim(mantissa))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use arcplunge_validation::checks;
    use arcplunge_validation::measured::{rows, unchecked};

    #[test]
    fn regress_the_table_fits_80_columns_and_counts_the_checks() {
        let checks = checks();
        let text = document(&checks, &unchecked()).text(false);
        let long: Vec<&str> = text.lines().filter(|l| l.chars().count() > 80).collect();
        assert!(long.is_empty(), "{long:#?}");
        let all = format!("\n{} checks, all within tolerance.\n", checks.len());
        assert!(text.contains(&all), "{text}");
        assert!(!text.contains("FAIL"));
    }

    #[test]
    fn regress_a_failing_check_is_marked_and_counted() {
        let mut checks = checks();
        checks[0] = checks[0].with_computed(2.0 * checks[0].computed);
        checks[1] = checks[1].with_computed(f64::NAN);
        let text = document(&checks, &[]).text(false);
        assert_eq!(text.matches(" FAIL\n").count(), 2);
        assert!(text.contains(" 2 FAILED.\n"));
    }

    #[test]
    fn regress_whole_welds_that_are_missed_are_told_beside_those_that_are_met() {
        let rows = rows();
        let count = |outcome| rows.iter().filter(|row| row.outcome == outcome).count();
        let [met, missed, open] = [Outcome::Hit, Outcome::Miss, Outcome::Open].map(count);
        assert!(missed >= 4 && met + missed + open == rows.len());
        let (mut checks, others) = (checks(), unchecked());
        let told = |met: usize, missed: usize| {
            format!(
                "Of {} published whole welds {met} are met, {missed} missed and {open} open: see --measured.\n",
                rows.len()
            )
        };
        let text = document(&checks, &others).text(false);
        assert!(text.ends_with(&told(met, missed)), "{text}");
        // One that is met no longer counts with those that are missed.
        let first = checks
            .iter()
            .position(|c| c.id.starts_with(PREFIX))
            .unwrap();
        checks[first] = checks[first].with_computed(f64::NAN);
        let text = document(&checks, &others).text(false);
        assert!(text.ends_with(&told(met - 1, missed + 1)), "{text}");
    }

    #[test]
    fn regress_json_rows_carry_every_field() {
        let checks = checks();
        let rows: Value = serde_json::from_str(&json(&checks, &unchecked()).unwrap()).unwrap();
        let (rows, others) = rows.as_array().unwrap().split_at(checks.len());
        assert_eq!(others.len(), unchecked().len());
        for row in others {
            assert!(row["passed"].is_null() && row["outcome"] != "hit", "{row}");
            assert_eq!(row["group"], GROUP);
        }
        for row in rows.iter().chain(others) {
            for key in [
                "id",
                "group",
                "quantity",
                "source",
                "evidence",
                "unit",
                "published",
                "computed",
                "allowed",
                "deviation",
                "passed",
            ] {
                assert!(row.get(key).is_some(), "{row} has no {key}");
            }
        }
        for row in rows {
            assert_eq!(row["passed"], true, "{row}");
        }
    }

    #[test]
    fn regress_every_check_has_a_name_of_its_own() {
        let mut names: Vec<String> = checks().into_iter().map(|check| check.id).collect();
        let all = names.len();
        names.sort();
        names.dedup();
        assert_eq!(names.len(), all);
    }

    #[test]
    fn regress_numbers_are_short() {
        for (value, text) in [
            (0.0, "0"),
            (5861.853068, "5861.9"),
            (1.21, "1.21"),
            (0.0172413793, "0.017241"),
            (33000.0, "33000"),
            (1.5e-7, "1.5e-7"),
            (-2.5e9, "-2.5e9"),
            (3e-14, "<1e-10"),
            (f64::NAN, "none"),
        ] {
            assert_eq!(digits(value), text);
        }
    }
}
