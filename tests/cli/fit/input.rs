//! `fit`: what a trace's file may hold, and what is wrong with it or with a key.

use super::{TRUTH, document, recorded, run, said};
use crate::tool::{Bench, SCOPE};

#[test]
fn what_is_wrong_with_a_trace_or_a_key_is_said() {
    for (arguments, words) in [
        (
            &["--vary", "joints.tol"][..],
            &["--vary", "joints.tol", "joints.tool"][..],
        ),
        (&["--vary", "joints.tool,joints.tool"], &["twice"]),
        (
            &["--vary", "joints.tool", "--current", "Shund"],
            &["scope.csv", "Shund", "Shunt"],
        ),
        (
            &["--vary", "joints.tool", "--current", "7"],
            &["scope.csv", "1 (Time)"],
        ),
        (&["--vary", "joints.tool", "--time", "2"], &["same column"]),
        (
            &["--vary", "joints.tool", "--time-unit", "V"],
            &["--time-unit"],
        ),
        (&["--vary", "joints.tool", "--scale", "0"], &["--scale"]),
        (
            &["--vary", "joints.tool", "--within", "5ms"],
            &["--within", "FROM..TO"],
        ),
        (
            &["--vary", "joints.tool", "--json", "r", "--case-out", "r"],
            &["r"],
        ),
    ] {
        let (_, ran) = run(arguments);
        let text = ran.failed(2);
        for word in words {
            assert!(text.contains(word), "{arguments:?}: {text}");
        }
    }
    let bench = Bench::new().with("empty.csv", "nothing\n");
    let text = bench
        .run(&["fit", "--trace", "empty.csv", "--vary", "joints.tool"])
        .failed(2);
    assert!(
        text.contains("empty.csv") && text.contains("no rows"),
        "{text}"
    );
    for (path, why) in [
        ("gone.csv", "there is no such file"),
        (".", "this is a directory"),
    ] {
        let text = bench
            .run(&["fit", "--trace", path, "--vary", "joints.tool"])
            .failed(2);
        assert!(text.contains(&format!("{path}: {why}")), "{text}");
    }
}

#[test]
fn a_trace_without_current_cannot_be_fitted() {
    let flat: String = (0..50).map(|k| format!("{}e-6,0.0\n", k)).collect();
    let bench = Bench::new().with("flat.csv", flat);
    let text = bench
        .run(&["fit", "--trace", "flat.csv", "--vary", "joints.tool"])
        .failed(2);
    assert!(
        text.contains("flat.csv: the trace shows no current"),
        "{text}"
    );
}

#[test]
fn values_to_start_from_that_break_a_rule_are_named() {
    let bench = Bench::new().with("scope.csv", SCOPE);
    let text = bench
        .run(&[
            "fit",
            "--trace",
            "scope.csv",
            "--vary",
            "arc.to_stud=0.7..0.9",
        ])
        .failed(2);
    assert!(text.contains("are not a valid case"), "{text}");
    assert!(text.contains("of the arc's power"), "{text}");
}

#[test]
fn a_result_never_replaces_the_trace() {
    for result in [
        ["--json", "scope.csv"],
        ["--json", "./scope.csv"],
        ["--case-out", "scope.csv"],
        ["--plot", "link.svg"],
    ] {
        let bench = Bench::new().with("scope.csv", SCOPE);
        #[cfg(unix)]
        std::os::unix::fs::symlink("scope.csv", bench.path().join("link.svg")).expect("a link");
        let first = ["fit", "--trace", "scope.csv", "--vary", "joints.tool"];
        let text = bench.run(&[&first[..], &result].concat()).failed(2);
        assert!(text.contains("is the trace"), "{result:?}: {text}");
        assert_eq!(bench.read("scope.csv"), SCOPE);
    }
}

#[test]
fn a_wrong_unit_is_named() {
    for (more, word) in [
        (["--time-unit", "us", "--scale", "10kA"], "--time-unit"),
        (["--time-unit", "ms", "--scale", "1A"], "--scale"),
        (
            ["--time-unit", "ms", "--scale", "-10kA"],
            "negative --scale",
        ),
    ] {
        let bench = Bench::new().with("scope.csv", SCOPE);
        let first = ["fit", "--trace", "scope.csv", "--vary", "joints.tool"];
        let text = bench.run(&[&first[..], &more].concat()).failed(2);
        assert!(text.contains(word), "{more:?}: {text}");
    }
}

#[cfg(unix)]
#[test]
fn a_file_without_end_is_refused() {
    let text = Bench::new()
        .run(&["fit", "--trace", "/dev/zero", "--vary", "joints.tool"])
        .failed(2);
    assert!(text.contains("larger than"), "{text}");
}

#[test]
fn what_a_file_has_beside_plain_rows_is_told() {
    let over = recorded(&TRUTH, 30.0, |_, i| if i > 4500.0 { 9.9e37 } else { i });
    let text = over.read("rec.csv");
    let rows = text.lines().enumerate();
    let notes: String = rows
        .map(|(k, line)| match k {
            0 => format!("Record Length,{},Points,{line}\n", 2000),
            1 => format!("Sample Interval,2e-6,s,{line}\n"),
            _ => format!(",,,{line}\n"),
        })
        .collect();
    let bench = over.with("rec.csv", notes);
    let document = document(&bench, &["bank.esr,lead.length"]);
    let said = said(&document);
    assert!(said.contains("mark for over-range"), "{said}");
    assert!(
        said.contains("notes beside the first rows were skipped: 1, 2, 3"),
        "{said}"
    );
    assert!(
        document["over_range_rows"].as_u64() > Some(20),
        "{document}"
    );
    assert_eq!(
        (&document["trace"]["time"], &document["trace"]["current"]),
        (&"4".into(), &"5".into())
    );
    assert_eq!(
        (&document["trace"]["scale"], &document["trace"]["scale_A"]),
        (&"1 A".into(), &1.0.into())
    );
    for (k, truth) in [(0, 3.3e-3), (1, 7.0)] {
        let v = &document["values"][k];
        let number = |name: &str| v[name].as_f64().expect("a number");
        assert!(
            (number("value") - truth).abs() < 4.0 * number("standard_error"),
            "{v}"
        );
    }
}
