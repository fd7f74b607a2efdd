//! `fit`: a scope's file in, values with their errors out.

mod input;
mod trust;

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
