//! A rig calibrated from test welds: what terminal, JSON, CSV, picture and case file say, and what is refused.

mod kept;

use serde_json::Value;

use super::tool::{Bench, Ran, flat};

const WELDS: &str = "bank.voltage [V],witness,spatter,arc_time [ms]\n\
    85,part,little,\n\
    95,part,little,1.45\n\
    105,full,little,1.44\n\
    115,full,little,\n\
    125,full,some,1.40\n\
    140,full,much,\n";

/// Welds for what does not go by how many there are.
const FEW: &str = "bank.voltage [V],witness,spatter,arc_time [ms]\n\
    95,part,little,1.45\n\
    115,full,little,\n\
    140,full,much,\n";

/// Samples enough to see which way it goes.
const QUICK: [&str; 7] = [
    "calibrate",
    "--welds",
    "welds.csv",
    "--particles",
    "64",
    "--vary",
    "bank.voltage=70..160V",
];

fn bench() -> Bench {
    Bench::new().with("welds.csv", WELDS)
}

fn few() -> Bench {
    Bench::new().with("welds.csv", FEW)
}

/// Runs it on the last second of a day that is known.
fn run(bench: &Bench, more: &[&str]) -> Ran {
    let mut command = bench.command(&[&QUICK[..], more].concat());
    command.env("SOURCE_DATE_EPOCH", "1795910399");
    let output = command.output().expect("the program runs");
    Ran {
        code: output.status.code().expect("the program ends by itself"),
        out: String::from_utf8(output.stdout).expect("UTF-8 on standard output"),
        err: String::from_utf8(output.stderr).expect("UTF-8 on standard error"),
    }
}

fn json(bench: &Bench, more: &[&str]) -> Value {
    serde_json::from_str(&run(bench, &[&["--json", "-"], more].concat()).done()).expect("JSON")
}

#[track_caller]
fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value}"))
}

#[test]
fn welds_narrow_the_window_and_the_advice_adds_up() {
    let found = json(&bench(), &["--next", "2"]);
    let wide = |when: &str, end: &str| {
        let end = &found["window"][when][end];
        number(&end["p95"]) - number(&end["p5"])
    };
    for end in ["low", "high"] {
        assert!(wide("after", end) < wide("before", end), "{end}");
    }
    let best = number(&found["window"]["after"]["best"]);
    assert!((100.0..125.0).contains(&best), "{best}");
    assert_eq!(found["welds"].as_array().unwrap().len(), 6);
    for unknown in found["unknowns"].as_object().unwrap().values() {
        let after = &unknown["after"];
        assert!(number(&after["p5"]) <= number(&after["p95"]), "{unknown}");
    }
    let likely = &found["next"]["welds"][0]["outcomes"][0];
    let supposed = &found["next"]["welds"][1]["supposed"][0];
    for word in ["witness", "spatter"] {
        assert_eq!(supposed[word], likely[word]);
    }
    for weld in found["next"]["welds"].as_array().unwrap() {
        let outcomes = weld["outcomes"].as_array().unwrap();
        let sum: f64 = outcomes.iter().map(|o| number(&o["probability"])).sum();
        assert!((sum - 1.0).abs() < 1e-2, "{weld}");
        assert!(number(&weld["gain_nat"]) > 0.0, "{weld}");
    }
}

#[test]
fn same_bits_for_any_number_of_threads() {
    let bench = few();
    let with = |threads: &str| {
        let mut command = bench.command(&[&QUICK[..], &["--json", "-", "--next", "1"]].concat());
        command.env("RAYON_NUM_THREADS", threads);
        command.env("SOURCE_DATE_EPOCH", "1795910399");
        String::from_utf8(command.output().expect("the program runs").stdout).expect("UTF-8")
    };
    assert_eq!(with("1"), with("3"));
}

#[test]
fn the_case_that_is_written_says_what_it_was_calibrated_on_and_the_band_goes_by_it() {
    let bench = bench();
    let page = run(
        &bench,
        &["--case-out", "mine.toml", "--set", "title=Bench 3"],
    )
    .done();
    assert!(
        flat(&page).contains("\"Bench 3; calibrated on 6 welds, 2026-11-28, file "),
        "{page}"
    );
    let case = bench.read("mine.toml");
    assert!(case.contains("[uncertainty]"), "{case}");
    bench.run(&["case", "check", "mine.toml"]).done();
    let fired = |arguments: &[&str]| -> Value {
        let text = bench
            .run(&[&["fire", "--json", "-"], arguments].concat())
            .done();
        serde_json::from_str(&text).expect("JSON")
    };
    let (mine, usual) = (fired(&["mine.toml"]), fired(&[]));
    let band = |shot: &Value| shot["band"]["fill_ratio"].clone();
    assert!(band(&mine)[0].is_number() && band(&mine) != band(&usual));
    // What is known better scatters less than the catalogue's 128 shots have it.
    let only = fired(&[
        "--set",
        "uncertainty.arc.to_both=0.001",
        "--set",
        "uncertainty.arc.fall=0.01V",
    ]);
    let wide = |shot: &Value| number(&band(shot)[1]) - number(&band(shot)[0]);
    assert!(
        wide(&only) < wide(&usual),
        "{} {}",
        wide(&only),
        wide(&usual)
    );
    // The case goes round through its JSON, its uncertainty with it.
    let bench = bench.with("shot.json", mine.to_string());
    let again = bench.run(&["case", "show", "shot.json"]).done();
    assert!(again.contains("[uncertainty]"), "{again}");
}

#[test]
fn a_weld_noted_wrongly_is_named_with_the_likely_mistake() {
    let wrong = format!("{WELDS}80,full,much,1.39\n");
    let found = json(&Bench::new().with("welds.csv", wrong), &[]);
    let last = &found["welds"][6];
    assert!(number(&last["outlier"]) > 0.5, "{last}");
    let said = last["likely_mistake"]["words"].as_str().unwrap();
    assert!(!said.is_empty() && number(&last["likely_mistake"]["times_as_probable"]) > 3.0);
    assert!(number(&found["welds"][2]["outlier"]) < 0.2);
}

#[test]
fn csv_picture_and_report_are_written() {
    let bench = few();
    let files = ["--csv", "c.csv", "--plot", "c.svg", "--report", "c.html"];
    run(&bench, &files).done();
    let csv = bench.read("c.csv");
    assert!(csv.starts_with("key,before_5,"), "{csv}");
    assert!(csv.contains("arc.fall,") && csv.contains("arc_time_scatter,"));
    let svg = bench.read("c.svg");
    assert!(svg.contains("Share of the rigs with a sound weld"), "{svg}");
    assert!(bench.read("c.html").contains("What the welds say"));
    let meta: Value = serde_json::from_str(&bench.read("c.csv.meta.json")).unwrap();
    assert_eq!(meta["study"]["command"], "calibrate");
}

#[test]
fn what_is_wrong_is_told_by_line_and_column() {
    let wrong = |text: &str, words: &[&str]| {
        let bench = Bench::new().with("welds.csv", text);
        let said = run(&bench, &["--json", "r.json"]).failed(2);
        assert!(words.iter().all(|word| said.contains(word)), "{said}");
        assert_eq!(bench.names(), ["welds.csv"]);
    };
    wrong(
        "bank.voltage [V],witness\n112,ful\n",
        &["welds.csv", "line 2, witness", "did you mean full?"],
    );
    wrong(
        "bank.voltage [V],witnes\n112,full\n",
        &["line 1", "did you mean witness?"],
    );
    wrong(
        "bank.voltage,witness\n112,full\n",
        &["line 2, bank.voltage", "unit"],
    );
    wrong("bank.voltage [V],witness\n112,\n", &["every cell"]);
    wrong(
        "bank.voltage [V],witness\n,full\n",
        &["line 2, bank.voltage: the cell is empty"],
    );
    wrong("bank.voltage [V]\n112\n", &["what was seen", "witness"]);
    wrong("stud.size,witness\nM55,full\n", &["stud.size"]);
    let bench = bench();
    let refused = |more: &[&str], word: &str| {
        let said = run(&bench, more).failed(2);
        assert!(said.contains(word), "{said}");
    };
    refused(&["--json", "welds.csv"], "the test welds");
    refused(&["--step", "2mm"], "--step");
    refused(
        &["--scale", "10kA"],
        "--scale: welds.csv names no oscilloscope's file",
    );
    refused(&["--set", "stud.short_resistance=1 mohm"], "discharge test");
    refused(
        &["--set", "uncertainty.arc.fal=1V"],
        "did you mean `arc.fall`",
    );
    refused(&["--set", "uncertainty.arc.fall=-1V"], "above zero");
}

#[test]
fn another_seed_says_about_the_same() {
    let bench = bench();
    let middle = |seed: &str| {
        let found = json(&bench, &["--seed", seed]);
        number(&found["window"]["after"]["middle"]["median"])
    };
    assert!(
        (middle("1") - middle("2")).abs() < 6.0,
        "{} {}",
        middle("1"),
        middle("2")
    );
}

#[test]
fn regress_too_few_samples_are_told_to_be_doubled() {
    // It named half of them, counted by island.
    let said = run(&bench(), &[]).done();
    let flat = said.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(flat.contains("use more, as in --particles 128"), "{said}");
}

#[test]
fn a_trace_says_more_than_words_and_a_wrong_one_is_told_by_its_cell() {
    let bench = bench();
    // The rig welds with an arc of less voltage than the case has it.
    let rig = ["--set", "arc.fall=15.5V", "--csv", "scope.csv"];
    bench.run(&[&["fire"], &rig[..]].concat()).done();
    let table = |cell: &str| format!("bank.voltage [V],witness,trace\n112,full,{cell}\n95,part,\n");
    let bench = bench
        .with("traced.csv", table("scope.csv"))
        .with("worded.csv", table(""))
        .with("missing.csv", table("scop.csv"));
    let scope = ["--time", "time_s", "--current", "current_A"];
    let at = |welds: &'static str| ["--welds", welds, "--particles", "64", "--json", "-"];
    let of = |welds, more: &[&str]| {
        let all = [&["calibrate"], &at(welds)[..], more].concat();
        let found: Value = serde_json::from_str(&bench.run(&all).done()).expect("JSON");
        found
    };
    let fall = |found: &Value, which: &str| {
        let unknown = &found["unknowns"]["arc.fall"];
        number(&unknown["after"][which])
    };
    let words = of("worded.csv", &[]);
    let traced = of(
        "traced.csv",
        &[&scope[..], &["--voltage", "weld_V"]].concat(),
    );
    assert!(fall(&traced, "median") < fall(&words, "median"));
    let wide = |found: &Value| fall(found, "p95") - fall(found, "p5");
    assert!(
        wide(&traced) < 0.9 * wide(&words),
        "{} {}",
        wide(&traced),
        wide(&words)
    );
    let told = bench.run(&[&["calibrate"], &at("missing.csv")[..]].concat());
    assert_eq!(told.code, 2);
    assert!(
        told.err.contains("missing.csv: line 2, trace: scop.csv"),
        "{}",
        told.err
    );
    let all = [
        &["calibrate"],
        &at("traced.csv")[..],
        &scope,
        &["--scale", "1mA"],
    ]
    .concat();
    let told = bench.run(&all);
    assert_eq!(told.code, 2);
    assert!(
        told.err.contains("line 2, trace: the trace has a charge"),
        "{}",
        told.err
    );
    // A unit so wrong that the current lasts for nanoseconds: told, not computed with as many rows.
    let tiny = [
        &["calibrate"],
        &at("traced.csv")[..],
        &scope,
        &["--time-unit", "ns"],
    ]
    .concat();
    let told = bench.run(&tiny);
    assert_eq!(told.code, 2);
    assert!(told.err.contains("check the units"), "{}", told.err);
    // Nothing is written over a trace that is read.
    let over = ["calibrate", "--welds", "traced.csv", "--csv", "scope.csv"];
    let told = bench.run(&[&over[..], &scope].concat());
    assert_eq!(told.code, 2);
    assert!(told.err.contains("scope.csv"), "{}", told.err);
    assert!(bench.read("scope.csv").starts_with("time_s,"));
}
