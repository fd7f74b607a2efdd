//! The generated parts of the validation page: every check, and predictions beside the literature.

use std::fmt::Write;

use arcplunge_core::case::Case;
use arcplunge_core::physics::arc;
use arcplunge_core::simulation::verdict::Verdict;
use arcplunge_report::validate::{allowed, deviation, digits, published};
use arcplunge_validation::bench::shot;
use arcplunge_validation::trade::{drop_rig, figure, steel, with_pip};
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

/// What the program predicts, beside what the literature reports. Markdown.
pub fn literature_table() -> String {
    let ms = |case: &Case| format!("{:.2}", 1e3 * figure(case, |f| f.arc_time_s));
    let m5 = Case::default();
    let cooling = figure(&m5, |f| f.cooling_rate_K_per_s) * 1e-5;
    let spread = 0.5 * m5.stud.flange / arc::SPREAD * 1e6;
    let rows = [
        (
            "arc time set by the tip's length (Wilson et al. 1993)",
            format!(
                "pip of 0.6, 0.8, 1.0 mm: {}, {}, {} ms",
                ms(&with_pip(0.6e-3)),
                ms(&with_pip(0.8e-3)),
                ms(&with_pip(1e-3)),
            ),
        ),
        (
            "and by the height of the drop (Wilson et al. 1993)",
            format!(
                "1 kg dropped 10, 15, 20 mm at 110 V: {}, {}, {} ms",
                ms(&drop_rig(1.0, 10e-3, 110.0)),
                ms(&drop_rig(1.0, 15e-3, 110.0)),
                ms(&drop_rig(1.0, 20e-3, 110.0)),
            ),
        ),
        (
            "joint cools at about 10⁶ K/s (Wilson et al. 1993; Dogan, Wilson & Hawk)",
            format!("{cooling:.1}·10⁵ K/s, M5 at 112 V"),
        ),
        (
            "carbon steel welds best near 100 V on a rig with a falling weight (Danks 1985)",
            format!(
                "sound {} with 1 kg dropped 10 mm, {} with the demonstration case's spring (M5, 72 mF)",
                window(|volts| drop_rig(1.0, 10e-3, volts)),
                window(|volts| steel("M5", volts)),
            ),
        ),
        (
            "arc spreads at about 100 m/s (Wilson et al. 1993)",
            format!(
                "not computed: the model lights the whole face at once; at {} m/s the rim of an M5 is reached in {spread:.0} µs of {} ms",
                arc::SPREAD,
                ms(&m5)
            ),
        ),
    ];
    let mut text = "| reported | this program |\n|---|---|\n".to_string();
    for (reported, computed) in rows {
        let _ = writeln!(text, "| {reported} | {computed} |");
    }
    text
}

/// Range of whole volts that are called sound, from 60 to 180 V.
fn window(case: impl Fn(f64) -> Case) -> String {
    let sound = |volts: &u32| {
        shot(&case(f64::from(*volts))).is_some_and(|shot| shot.verdict == Some(Verdict::Sound))
    };
    let volts: Vec<u32> = (60..=180).filter(sound).collect();
    match (volts.first(), volts.last()) {
        (Some(low), Some(high)) => format!("from {low} to {high} V"),
        _ => "at no voltage".into(),
    }
}

#[test]
fn regress_a_failing_check_shows_on_the_page() {
    let mut checks = checks();
    checks[0] = checks[0].with_computed(2.0 * checks[0].computed);
    assert_eq!(check_tables(&checks).matches("**FAIL**").count(), 1);
}
