//! `sensitivity`: a page, files, refusals.

use crate::tool::Bench;

#[test]
fn the_cone_decides_the_fill() {
    let bench = Bench::new();
    let arguments = [
        "sensitivity",
        "--samples",
        "64",
        "--json",
        "s.json",
        "--csv",
        "s.csv",
    ];
    let text = bench
        .run(&[&arguments[..], &["--plot", "s.svg"]].concat())
        .done();
    assert!(text.contains("64 samples of 11 keys, 832 shots"), "{text}");
    assert!(text.lines().all(|l| l.chars().count() <= 80), "{text}");
    let told: serde_json::Value = serde_json::from_str(&bench.read("s.json")).unwrap();
    let total =
        |key: &str| told["figures"]["fill_ratio"]["indices"][key]["total"]["value"].as_f64();
    assert!(
        total("stud.cone").unwrap() > 0.8,
        "{:?}",
        total("stud.cone")
    );
    assert!(total("tool.friction").unwrap() < 0.1);
    let rows = bench.read("s.csv");
    assert_eq!(rows.lines().count(), 1 + 4 * 12);
    assert!(rows.contains("\r\nfill_ratio,interaction,"), "{rows}");
    let interaction = &told["figures"]["fill_ratio"]["interaction"];
    assert!(interaction["low"].as_f64() < interaction["high"].as_f64());
    // 64 samples say little of a verdict that hardly ever differs.
    assert!(text.contains("too few welds are not sound"), "{text}");
    let cone = rows
        .lines()
        .find(|l| l.starts_with("fill_ratio,stud.cone,"))
        .unwrap();
    let cell: f64 = cone.split(',').nth(5).unwrap().parse().unwrap();
    assert!((cell - total("stud.cone").unwrap()).abs() < 1e-9);
    let svg = bench.read("s.svg");
    roxmltree::Document::parse(&svg).unwrap();
    for word in [
        "stud.cone",
        "alone (first order)",
        "95 % interval",
        "fill of the wedge",
    ] {
        assert!(svg.contains(word), "{word}");
    }
}

#[test]
fn a_figure_that_does_not_vary_says_so_and_long_names_stay_in_the_page() {
    let bench = Bench::new();
    let text = bench
        .run(&[
            "sensitivity",
            "--samples",
            "16",
            "--set",
            "tolerance.stud.cone=none",
            "--show",
            "sound",
        ])
        .done();
    assert!(text.contains("the same in every shot"), "{text}");
    let text = bench
        .run(&["sensitivity", "--samples", "16", "--model"])
        .done();
    assert!(text.contains("conductivity"), "{text}");
    assert!(text.lines().all(|l| l.chars().count() <= 80), "{text}");
}

#[test]
fn samples_without_the_figure_are_told() {
    // A spread so wide that the arc is missing in some shots.
    let text = Bench::new()
        .run(&[
            "sensitivity",
            "--samples",
            "64",
            "--set",
            "tolerance.bank.voltage=40%",
            "--show",
            "arc_time_s",
        ])
        .done();
    let words: Vec<&str> = text.split_whitespace().collect();
    let words = words.join(" ");
    assert!(words.contains("this biases the indices"), "{text}");
    assert!(text.lines().all(|l| l.chars().count() <= 80), "{text}");
}

#[test]
fn what_cannot_be_asked_is_refused() {
    for (arguments, word) in [
        (&["--samples", "3"][..], "16 to 10000000"),
        (&["--samples", "9999999"], "too many values"),
        (&["--show", "sond"], "no such figure"),
        (&["--set", "tolerance.others=none"], "nothing scatters"),
        (&["--plot", "a.gif"], ".svg or .png"),
    ] {
        let bench = Bench::new();
        let all: Vec<&str> = ["sensitivity"].iter().chain(arguments).copied().collect();
        let said = bench.run(&all).failed(2);
        assert!(said.contains(word), "{arguments:?}: {said}");
        assert!(bench.names().is_empty());
    }
}
