//! `fit`: a scope's file in, values with their errors out.

use serde_json::Value;

use super::tool::{Bench, Ran};

const SCOPE: &str = include_str!("../../examples/scope.csv");

fn run(more: &[&str]) -> (Bench, Ran) {
    let bench = Bench::new().with("scope.csv", SCOPE);
    let first = [
        "fit",
        "--trace",
        "scope.csv",
        "--time-unit",
        "ms",
        "--scale",
        "10kA",
    ];
    let ran = bench.run(&[&first, more].concat());
    (bench, ran)
}

#[test]
fn closed_form_the_keys_behind_the_example_trace_are_found() {
    // The trace was computed with a tool terminal of 1.3 mΩ and a gun lead of 7 m, noise of 40 A, the
    // trigger at 0.15 ms.
    let (_, ran) = run(&["--free", "joints.tool,lead.length", "--json", "-"]);
    let document: Value = serde_json::from_str(&ran.done()).expect("JSON");
    for (k, truth) in [(0, 1.3e-3), (1, 7.0), (3, 1.5e-4)] {
        let value = &document["values"][k];
        let number = |name: &str| value[name].as_f64().expect("a number");
        let off = (number("value") - truth).abs() / number("standard_error");
        assert!(off < 4.0, "{value}");
    }
    let chi2 = document["reduced_chi2"].as_f64().expect("a number");
    assert!((0.7..1.4).contains(&chi2), "{chi2}");
}

#[test]
fn a_fitted_case_is_written_and_reads_back() {
    let (bench, ran) = run(&[
        "--free",
        "joints.tool",
        "--case-out",
        "fitted.toml",
        "--plot",
        "fit.svg",
    ]);
    assert!(ran.done().starts_with("M5 mild steel"));
    bench.run(&["case", "check", "fitted.toml"]).done();
    assert!(bench.read("fitted.toml").contains("tool"));
    assert!(bench.read("fit.svg").contains("measured less fitted"));
}

#[test]
fn what_is_wrong_with_a_trace_or_a_key_is_said() {
    for (arguments, words) in [
        (
            &["--free", "joints.tol"][..],
            &["--free", "joints.tol", "joints.tool"][..],
        ),
        (&["--free", "joints.tool,joints.tool"], &["twice"]),
        (
            &["--free", "joints.tool", "--current", "Shund"],
            &["scope.csv", "Shund", "Shunt"],
        ),
        (
            &["--free", "joints.tool", "--current", "7"],
            &["scope.csv", "1 (Time)"],
        ),
        (&["--free", "joints.tool", "--time", "2"], &["same column"]),
        (
            &["--free", "joints.tool", "--time-unit", "V"],
            &["--time-unit"],
        ),
        (&["--free", "joints.tool", "--scale", "0"], &["--scale"]),
        (
            &["--free", "joints.tool", "--within", "5ms"],
            &["--within", "FROM..TO"],
        ),
        (
            &["--free", "joints.tool", "--json", "r", "--case-out", "r"],
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
        .run(&["fit", "--trace", "empty.csv", "--free", "joints.tool"])
        .failed(2);
    assert!(
        text.contains("empty.csv") && text.contains("no rows"),
        "{text}"
    );
    bench
        .run(&["fit", "--trace", "gone.csv", "--free", "joints.tool"])
        .failed(2);
}

#[test]
fn a_trace_without_current_cannot_be_fitted() {
    let flat: String = (0..50).map(|k| format!("{}e-6,0.0\n", k)).collect();
    let bench = Bench::new().with("flat.csv", flat);
    let text = bench
        .run(&["fit", "--trace", "flat.csv", "--free", "joints.tool"])
        .failed(1);
    assert!(text.contains("no current"), "{text}");
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
        let first = ["fit", "--trace", "scope.csv", "--free", "joints.tool"];
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
        let first = ["fit", "--trace", "scope.csv", "--free", "joints.tool"];
        let text = bench.run(&[&first[..], &more].concat()).failed(2);
        assert!(text.contains(word), "{more:?}: {text}");
    }
}

#[test]
fn a_stretch_keeps_the_offset_and_the_rise_of_the_whole() {
    let number = |more: &[&str], name: &str| {
        let first = ["--free", "joints.tool,lead.length", "--json", "-"];
        let (_, ran) = run(&[&first[..], more].concat());
        let document: Value = serde_json::from_str(&ran.done()).expect("JSON");
        let value = match name {
            "error" => &document["values"][3]["standard_error"],
            name => &document[name],
        };
        value.as_f64().expect("a number")
    };
    // The rise, at 0.15 ms, lies outside of the stretch.
    let stretch = ["--within", "0.3ms..3ms"];
    for name in ["offset_A", "noise_A"] {
        assert_eq!(number(&[], name), number(&stretch, name));
    }
    let off = (number(&stretch, "trigger_s") - 1.5e-4).abs();
    assert!(off < 4.0 * number(&stretch, "error") && off < 2e-5, "{off}");
    assert!(number(&stretch, "rows") < number(&[], "rows"));
}

#[test]
fn a_key_that_is_not_settled_stays_as_it_was() {
    let (_, ran) = run(&["--free", "joints.tool,joints.bank"]);
    let page = ran.done();
    let words: String = page.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("only their sum is settled"), "{page}");
    assert!(words.contains("the fitted case keeps 0.015 mohm"), "{page}");
}

#[cfg(unix)]
#[test]
fn a_file_without_end_is_refused() {
    let text = Bench::new()
        .run(&["fit", "--trace", "/dev/zero", "--free", "joints.tool"])
        .failed(2);
    assert!(text.contains("larger than"), "{text}");
}
