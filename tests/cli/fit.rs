//! `fit`: a scope's file in, values with their errors out.

use serde_json::Value;

use super::tool::{Bench, FIT, Ran, SCOPE, flat};

fn run(more: &[&str]) -> (Bench, Ran) {
    let bench = Bench::new().with("scope.csv", SCOPE);
    let ran = bench.run(&[FIT, more].concat());
    (bench, ran)
}

#[test]
fn closed_form_the_keys_behind_the_example_trace_are_found() {
    // The trace was computed with a bank of 3.3 mΩ and a gun lead of 7 m, noise of 40 A, the
    // trigger at 0.15 ms.
    let (_, ran) = run(&["--vary", "bank.esr,lead.length", "--json", "-"]);
    let document: Value = serde_json::from_str(&ran.done()).expect("JSON");
    for (k, truth) in [(0, 3.3e-3), (1, 7.0), (3, 1.5e-4)] {
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
        "--vary",
        "lead.length",
        "--case-out",
        "fitted.toml",
        "--plot",
        "fit.svg",
    ]);
    assert!(ran.done().starts_with("M5 mild steel"));
    bench.run(&["case", "check", "fitted.toml"]).done();
    assert!(bench.read("fitted.toml").contains("[lead]\nlength"));
    assert!(bench.read("fit.svg").contains("measured minus fitted"));
}

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

#[test]
fn a_stretch_keeps_the_offset_and_the_rise_of_the_whole() {
    let fitted = |more: &[&str]| -> Value {
        let first = ["--vary", "bank.esr,lead.length", "--json", "-"];
        let (_, ran) = run(&[&first[..], more].concat());
        serde_json::from_str(&ran.done()).expect("JSON")
    };
    // The rise, at 0.15 ms, lies outside of the stretch.
    let (whole, stretch) = (fitted(&[]), fitted(&["--within", "0.3ms..3ms"]));
    let number = |document: &Value, name: &str| {
        let value = match name {
            "error" => &document["values"][3]["standard_error"],
            name => &document[name],
        };
        value.as_f64().expect("a number")
    };
    for name in ["offset_A", "noise_A"] {
        assert_eq!(number(&whole, name), number(&stretch, name));
    }
    let off = (number(&stretch, "trigger_s") - 1.5e-4).abs();
    assert!(off < 4.0 * number(&stretch, "error") && off < 2e-5, "{off}");
    assert!(number(&stretch, "rows") < number(&whole, "rows"));
}

/// A bench with `rec.csv`: a record of this case's current as a scope would write it, 0.3 ms before the trigger and
/// 2 ms after the end with it, `noise` \[A\] on all of it, and each time and current as `seen` shows the latter.
fn recorded(sets: &[&str], noise: f64, seen: impl Fn(f64, f64) -> f64) -> Bench {
    let bench = Bench::new();
    let sets = sets.iter().flat_map(|set| ["--set", set]);
    let all: Vec<&str> = ["fire", "--csv", "-"].into_iter().chain(sets).collect();
    let fired = bench.run(&all).done();
    let rows: Vec<(f64, f64)> = fired
        .lines()
        .skip(1)
        .map(|line| {
            let cell = |k: usize| line.split(',').nth(k).unwrap().parse().unwrap();
            (cell(0), cell(3))
        })
        .collect();
    let end = rows[rows.len() - 1].0;
    let before = (0..150).map(|k| (f64::from(k - 150) * 2e-6, 0.0));
    let after = (1..1000).map(|k| (end + f64::from(k) * 2e-6, 0.0));
    // A linear congruential generator (Knuth's MMIX), twelve of whose numbers make one that is nearly normal.
    let mut state: u64 = 1;
    let mut even = move || {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (state >> 11) as f64 / (1u64 << 53) as f64 - 0.5
    };
    let mut normal = move || (0..12).map(|_| even()).sum::<f64>();
    let all = before.chain(rows).chain(after);
    let text: String = all
        .map(|(t, i)| format!("{:.7},{:.3}\n", t + 3e-4, seen(t, i) + noise * normal()))
        .collect();
    bench.with("rec.csv", text)
}

const TRUTH: [&str; 2] = ["bank.esr=3.3mohm", "lead.length=7m"];

fn document(bench: &Bench, more: &[&str]) -> Value {
    let first = ["fit", "--trace", "rec.csv", "--json", "-", "--vary"];
    let text = bench.run(&[&first[..], more].concat()).done();
    serde_json::from_str(&text).expect("JSON")
}

fn said(document: &Value) -> String {
    document["remarks"].to_string()
}

#[test]
fn its_own_csv_is_a_trace() {
    let bench = Bench::new();
    let fired = bench.run(&[
        "fire",
        "--csv",
        "-",
        "--both-sides",
        "--set",
        "bank.esr=3.3mohm",
    ]);
    let bench = Bench::new().with("own.csv", fired.done());
    let exact = ["--set", "tolerance.others=none"];
    let first = ["fit", "--trace", "own.csv", "--vary", "bank.esr"];
    let first = [&first[..], &exact].concat();
    let ran = bench.run(&[&first[..], &["--current", "current_A", "--json", "-"]].concat());
    let document: Value = serde_json::from_str(&ran.done()).expect("JSON");
    let found = document["values"][0]["value"].as_f64().unwrap();
    assert!((found - 3.3e-3).abs() < 1e-6, "{found}");
    assert!(document["merged_rows"].as_u64() > Some(0));
    assert!(said(&document).contains("were averaged with it"));
    let refused = bench.run(&first).failed(2);
    assert!(
        refused.contains("has text") && refused.contains("4 (current_A)"),
        "{refused}"
    );
}

#[test]
fn a_stretch_away_from_the_rise_keeps_its_trigger() {
    let bench = recorded(&TRUTH, 30.0, |_, i| i);
    let keys = "bank.esr,lead.length";
    let exact = ["--set", "tolerance.others=none"];
    let document = document(
        &bench,
        &[&[keys, "--within", "1.2ms..2.2ms"], &exact[..]].concat(),
    );
    let trigger = document["trigger_s"].as_f64().unwrap();
    assert!((trigger - 3e-4).abs() < 3e-5, "{trigger}");
    for (k, truth) in [(0, 3.3e-3), (1, 7.0)] {
        let v = &document["values"][k];
        let off = (v["value"].as_f64().unwrap() - truth).abs();
        let error = v["standard_error"].as_f64().expect("an error");
        assert!(off < 4.0 * error, "{v}");
    }
    let said = said(&document);
    assert!(
        !said.contains("--scale") && !said.contains("drifts"),
        "{said}"
    );
}

#[test]
fn another_minimum_is_told_and_is_one() {
    let tail = |free: &str| {
        let exact = ["--set", "tolerance.others=none"];
        let stretch = ["--within", "2ms..4ms", "--json", "-", "--vary", free];
        let (_, ran) = run(&[&stretch[..], &exact].concat());
        let document: Value = serde_json::from_str(&ran.done()).expect("JSON");
        document
    };
    // The tail alone: much like it falls that of a lower voltage through an arc that a stronger spring ends sooner.
    let both = tail("tool.spring_force=20..400N,bank.voltage");
    let other = &both["other_minimum"];
    assert!(said(&both).contains("Another set of values"), "{both}");
    let number = |from: &Value| from.as_f64().expect("a number");
    let told = number(&other["values"]["bank.voltage"]);
    let best = number(&both["values"][1]["value"]);
    assert!((best / told - 1.0).abs() > 0.1, "{best} V and {told} V");
    assert!(number(&other["rms_A"]) > number(&both["rms_after_A"]));
    // A search that is kept to its valley comes to rest as low: at the bottom other voltages do as well.
    let near = tail("tool.spring_force=200..400N,bank.voltage=70..100V");
    assert!(near["other_minimum"].is_null(), "{near}");
    let left = number(&near["rms_after_A"]) / number(&other["rms_A"]);
    assert!((left - 1.0).abs() < 1e-5, "{left}");
}

#[test]
fn a_scale_that_is_far_off_is_told_before_the_search_and_is_no_fit() {
    let bench = recorded(&TRUTH, 30.0, |_, i| i);
    let keys = "bank.esr,lead.length";
    let first = ["fit", "--trace", "rec.csv", "--vary", keys];
    // With all else exact: the search for what other keys would make up for takes long.
    let exact = ["--set", "tolerance.others=none", "--scale"];
    let scaled = |scale: &str| bench.run(&[&first[..], &exact, &[scale]].concat());
    // No value of the keys makes up for ten times as much.
    let refused = scaled("10A").failed(2);
    assert!(refused.contains("is --scale right?"), "{refused}");
    let ran = scaled("4A");
    assert!(
        ran.code == 0 && ran.err.starts_with("note: The trace has a peak of"),
        "{}",
        ran.err
    );
    let page = ran.out;
    assert!(page.contains("\nnot fitted "), "{page}");
    assert!(flat(&page).contains("is --scale right?"), "{page}");
    assert!(page.lines().all(|l| l.chars().count() <= 80), "{page}");
    let right = document(&bench, &[keys]);
    assert_eq!(right["fitted"], true, "{}", said(&right));
    assert!(!said(&right).contains("--scale"));
}

#[test]
fn what_is_left_is_called_noise_only_where_it_is_like_the_noise() {
    // A scale that bends by 1.5 %: no key makes that good, and what it leaves is less than the noise.
    let bent = |_: f64, i: f64| i * (1.0 + 0.015 * i / 6e3);
    for (seen, word) in [
        (&bent as &dyn Fn(f64, f64) -> f64, "it is not noise"),
        (&|_, i| i, "does not exceed the noise before the rise"),
    ] {
        let bench = recorded(&["bank.esr=3.3mohm"], 30.0, seen);
        // A probe whose gain is off, and a lead that is warmer, would make some of that good: here they are exact.
        let exact = ["bank.esr", "--set", "tolerance.others=none"];
        let document = document(&bench, &exact);
        let said = said(&document);
        assert!(said.contains(word), "{said}");
        let both = said.contains("it is not noise") && said.contains("does not exceed the noise");
        assert!(!both, "{said}");
        let memory = |name: &str| document[name].as_f64().unwrap();
        assert!(memory("noise_memory_rows") < 3.0);
        let rows = memory("memory_rows");
        assert_eq!(rows > 8.0, word == "it is not noise", "{rows}");
    }
}

#[test]
fn closed_form_a_baseline_that_drifts_is_fitted_or_told() {
    let bench = recorded(&TRUTH, 30.0, |t, i| i + 15e3 * t);
    let keys = "bank.esr,lead.length";
    // The hum that a probe may have bends a baseline as well: here there is none.
    let exact = ["--set", "tolerance.others=none"];
    let whole = document(&bench, &[&[keys], &exact[..]].concat());
    let drift = &whole["values"][4];
    assert_eq!(
        (&drift["key"], &drift["unit"]),
        (&"drift".into(), &"A/s".into())
    );
    let number = |name: &str| drift[name].as_f64().unwrap();
    let off = (number("value") - 15e3).abs();
    assert!(off < 4.0 * number("standard_error") && off < 1e3, "{drift}");
    assert!(
        said(&whole).contains("the drift was fitted too"),
        "{}",
        said(&whole)
    );
    // Without the rows on both sides it cannot be fitted.
    let part = document(&bench, &[keys, "--within", "0.2ms..3ms"]);
    assert!(part["values"][4].is_null());
    assert!(
        said(&part).contains("the baseline drifts, and the errors"),
        "{}",
        said(&part)
    );
}

#[test]
fn a_top_cut_off_with_noise_is_left_out() {
    let bench = recorded(&TRUTH, 15.0, |_, i| i.min(4500.0));
    let document = document(&bench, &["bank.esr,lead.length"]);
    assert!(
        document["clipped_rows"].as_u64() > Some(50),
        "{}",
        said(&document)
    );
    for (k, truth) in [(0, 3.3e-3), (1, 7.0)] {
        let v = &document["values"][k];
        let number = |name: &str| v[name].as_f64().unwrap();
        assert!(
            (number("value") - truth).abs() < 4.0 * number("standard_error"),
            "{v}"
        );
    }
}

#[test]
fn a_key_at_the_end_of_its_range_has_no_error() {
    let exact = ["--set", "tolerance.others=none"];
    let (_, ran) = run(&[&exact[..], &["--vary", "bank.esr=0.01..0.5mohm"]].concat());
    let page = ran.done();
    let words: String = flat(&page);
    assert!(words.contains("0.5 mohm fixed at range end"), "{page}");
    assert!(!words.contains("keeps 2 mohm"), "{page}");
}

#[test]
fn a_key_that_is_not_settled_stays_as_it_was() {
    let exact = ["--set", "tolerance.others=none"];
    let sought = ["--vary", "bank.internal_resistance,bank.switch_slope"];
    let (_, ran) = run(&[exact, sought].concat());
    let page = ran.done();
    let words: String = flat(&page);
    assert!(words.contains("only their sum is determined"), "{page}");
    assert!(words.contains("the fitted case keeps 0.2 mohm"), "{page}");
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
fn a_gain_that_is_off_is_told_and_widens_the_errors() {
    // A probe that reads 2 % too much, on a discharge test: exact keys are many standard errors off, and the residual
    // tells nothing; with the usual spread of the gain the truth is held.
    let bolted = "stud.short_resistance=1mohm";
    let bench = recorded(&[bolted, "bank.esr=3.3mohm"], 30.0, |_, i| 1.02 * i);
    let run = |more: &[&str]| document(&bench, &[&["bank.esr", "--set", bolted], more].concat());
    let off = |document: &Value| {
        let v = &document["values"][0];
        let number = |name: &str| v[name].as_f64().expect("a number");
        (number("value") - 3.3e-3).abs() / number("standard_error")
    };
    let usual = run(&[]);
    assert!(off(&usual) < 2.5, "{}", usual["values"][0]);
    let held = usual["held"].as_array().expect("a list");
    let gain = held.iter().find(|h| h["key"] == "probe.gain");
    let gain = gain.expect("the gain is held");
    let number = |name: &str| gain[name].as_f64().expect("a number");
    assert!(
        (number("value") - 1.02).abs() < 3.0 * number("standard_error"),
        "{gain}"
    );
    assert_eq!((number("value_in_case"), number("spread")), (1.0, 0.02));
    let exact = run(&["--set", "tolerance.others=none"]);
    assert!(off(&exact) > 6.0, "{}", exact["values"][0]);
    assert_eq!(exact["held"].as_array().map(Vec::len), Some(0));
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

/// A discharge test.
const BOLTED: &str = "stud.short_resistance=1mohm";

#[test]
fn several_traces_share_keys_or_have_their_own() {
    let first = recorded(&[BOLTED, "bank.esr=2mohm"], 30.0, |_, i| i).read("rec.csv");
    let bench = recorded(&[BOLTED, "bank.esr=2.5mohm"], 30.0, |_, i| i).with("first.csv", first);
    let more = [
        "fit",
        "--trace",
        "first.csv",
        "--trace",
        "rec.csv",
        "--vary-each",
        "bank.esr",
        "--set",
        BOLTED,
    ];
    let page = bench.run(&more).done();
    assert!(flat(&page).contains("bank.esr rose by"), "{page}");
    assert!(page.contains("bank.esr (2)"), "{page}");
    let text = bench.run(&[&more[..], &["--json", "-"]].concat()).done();
    let document: Value = serde_json::from_str(&text).expect("JSON");
    assert_eq!(document["more_traces"].as_array().map(Vec::len), Some(1));
    let [a, b] = [0, 1].map(|k| document["values"][k]["value"].as_f64().unwrap());
    assert!((b - a - 0.5e-3).abs() < 0.1e-3, "{a} {b}");
    let wrong = bench
        .run(&[&more[..], &["--vary", "bank.esr"]].concat())
        .failed(2);
    assert!(wrong.contains("twice"), "{wrong}");
    let always = bench
        .run(&[&more[..], &["--vary", "probe.offset"]].concat())
        .failed(2);
    assert!(always.contains("fitted to every trace anyway"), "{always}");
}

#[test]
fn a_voltage_at_the_weld_is_fitted_beside_the_current() {
    let sets = ["bank.esr=3.3mohm", "arc.fall=18V"];
    let bench = Bench::new();
    let all: Vec<&str> = ["fire", "--csv", "-", "--interval", "20us"]
        .into_iter()
        .chain(sets.iter().flat_map(|s| ["--set", s]))
        .collect();
    let fired = bench.run(&all).done();
    let (head, rows) = fired.split_once('\n').expect("a head");
    let column = |name: &str| head.split(',').position(|n| n == name).expect(name);
    let (time, current, weld) = (column("time_s"), column("current_A"), column("weld_V"));
    let quiet = (0..40).map(|k| format!("{}e-6,{},0\n", k - 200, 3 * (k % 3)));
    let row = |line: &str| {
        let cells: Vec<&str> = line.split(',').collect();
        format!("{},{},{}\n", cells[time], cells[current], cells[weld])
    };
    let text: String = quiet.chain(rows.lines().map(row)).collect();
    let bench = bench.with("both.csv", text);
    let run = |more: &[&str]| -> Value {
        let first = [
            "fit",
            "--trace",
            "both.csv",
            "--json",
            "-",
            "--vary",
            "bank.esr,arc.fall",
        ];
        serde_json::from_str(&bench.run(&[&first[..], more].concat()).done()).expect("JSON")
    };
    // From the current alone the two are hard to tell apart, and the search for what else may be is long.
    let exact = ["--set", "tolerance.others=none"];
    let (with, without) = (run(&["--voltage", "3"]), run(&exact));
    let fall = with["values"][1]["value"].as_f64().unwrap();
    assert!((fall - 18.0).abs() < 0.5, "{fall}");
    assert!(with["rms_voltage_V"].as_f64() < Some(1.0) && without["rms_voltage_V"].is_null());
    let held = |document: &Value| document["held"].to_string().contains("probe.voltage_gain");
    assert!(held(&with));
}
