//! Earth leads and arc blow: what the JSON, the CSV and the plan say of one shot.

use std::f64::consts::{PI, TAU};

use serde_json::Value;

use super::tool::{Bench, flat};

const ONE: [&str; 6] = [
    "--set",
    "earth.1=none",
    "--set",
    "earth.0.at=-60 mm, 0 mm",
    "--set",
    "bank.voltage=108 V",
];

fn json(sets: &[&str]) -> Value {
    let text = Bench::new()
        .run(&[&["earths", "--json", "-"], sets].concat())
        .done();
    serde_json::from_str(&text).expect("JSON")
}

#[track_caller]
fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value}"))
}

#[test]
fn practice_one_clamp_pushes_away_and_a_second_one_opposite_ends_it() {
    let document = json(&ONE);
    assert_eq!(document["witness"], "one-sided");
    assert!(number(&document["drift_x_m"]) > 1e-5);
    assert!(number(&document["drift_direction_rad"]).abs() < 1e-9);
    assert!(number(&document["push_x_N_per_m3"]) > 0.0);
    assert_eq!(number(&document["earths"][0]["charge_share"]), 1.0);
    let (from, to) = (
        number(&document["missing_from_rad"]),
        number(&document["missing_to_rad"]),
    );
    assert!(from < PI && PI < to, "{from} to {to}");
    let best = &document["trials"][0];
    assert_eq!(best["remedy"], "mirrored-clamp");
    assert!((number(&best["x_m"]) - 0.06).abs() < 1e-12);
    assert!(number(&best["drift_m"]) < 1e-12);
    assert!(number(&best["least_fill_ratio"]) > number(&document["least_fill_ratio"]));
}

#[test]
fn conserves_drift_and_field_over_the_sources() {
    let tilted = [
        &ONE[..],
        &[
            "--set",
            "lead.elevation=20 deg",
            "--set",
            "lead.direction=1 deg",
        ],
    ]
    .concat();
    for sets in [&[][..], &ONE, &tilted] {
        let document = json(sets);
        for name in [
            "drift_x_m",
            "drift_y_m",
            "flux_density_x_T",
            "flux_density_y_T",
        ] {
            let sources = document["sources"].as_array().expect("sources");
            assert!(sources.len() >= 2, "{sources:?}");
            let sum: f64 = sources.iter().map(|s| number(&s[name])).sum();
            let size: f64 = sources.iter().map(|s| number(&s[name]).abs()).sum();
            let total = number(&document[name]);
            assert!(
                (sum - total).abs() <= 1e-12 * size,
                "{name}: {sum}, {total}"
            );
        }
    }
}

#[test]
fn conserves_the_fill_round_the_rim() {
    let bench = Bench::new();
    let text = bench
        .run(&[&["earths", "--csv", "-", "--json", "e.json"], &ONE[..]].concat())
        .done();
    let document: Value = serde_json::from_str(&bench.read("e.json")).expect("JSON");
    let mut lines = text.split("\r\n");
    assert_eq!(lines.next(), Some("angle_rad,clock_h,fill_ratio"));
    let rows: Vec<Vec<f64>> = lines
        .filter(|line| !line.is_empty())
        .map(|line| line.split(',').map(|n| n.parse().expect(n)).collect())
        .collect();
    assert_eq!(rows.len(), 360);
    let mean = rows.iter().map(|row| row[2]).sum::<f64>() / 360.0;
    assert!((mean / number(&document["fill_ratio"]) - 1.0).abs() < 1e-8);
    let least = rows.iter().map(|row| row[2]).fold(f64::INFINITY, f64::min);
    assert!((least / number(&document["least_fill_ratio"]) - 1.0).abs() < 1e-8);
    // Missing where the JSON says, and nowhere else.
    let half = 0.5 * (number(&document["missing_to_rad"]) - number(&document["missing_from_rad"]));
    for row in &rows {
        let off = (row[0] - PI).abs().min(TAU - (row[0] - PI).abs());
        if (off - half).abs() > 1e-6 {
            assert_eq!(row[2] < 1.0, off < half, "{row:?}");
        }
        // Ten digits of 12 o'clock may fall on either side of it.
        let apart = (3.0 - row[0] * 6.0 / PI - row[1]).rem_euclid(12.0);
        assert!(apart.min(12.0 - apart) < 1e-6, "{row:?}");
    }
}

#[test]
fn without_an_arc_there_is_no_drift() {
    for set in ["stud.short_resistance=1 mohm", "bank.voltage=1 V"] {
        let document = json(&["--set", set]);
        for name in [
            "witness",
            "drift_m",
            "drift_direction_rad",
            "least_fill_ratio",
            "missing_from_rad",
        ] {
            assert_eq!(document[name], Value::Null, "{set}: {name}");
        }
        for name in ["rim", "trials"] {
            assert_eq!(document[name].as_array().map(Vec::len), Some(0), "{name}");
        }
    }
    let text = Bench::new()
        .run(&[
            "earths",
            "--csv",
            "-",
            "--set",
            "stud.short_resistance=1 mohm",
        ])
        .done();
    assert_eq!(text, "angle_rad,clock_h,fill_ratio\r\n");
}

#[test]
fn the_plan_is_drawn_whole_and_says_what_it_shows() {
    let bench = Bench::new();
    let page = bench
        .run(&[&["earths", "--plot", "e.svg", "--plot", "e.png"], &ONE[..]].concat())
        .done();
    assert!(page.starts_with("M5 mild steel"), "{page}");
    let svg = bench.read("e.svg");
    let drawing = roxmltree::Document::parse(&svg).expect("XML");
    let words: Vec<&str> = drawing.descendants().filter_map(|n| n.text()).collect();
    for wanted in [
        "50 mm",
        "stud",
        "missing",
        "times as large",
        "5.15 kA, 100 %",
    ] {
        assert!(
            words.iter().any(|w| w.contains(wanted)),
            "{wanted}: {words:?}"
        );
    }
    let png = std::fs::read(bench.path().join("e.png")).expect("the picture");
    assert!(png.starts_with(b"\x89PNG") && png.len() > 10_000);
    assert_eq!(bench.names(), ["e.png", "e.svg"]);
}

#[test]
fn results_in_each_others_way_are_refused() {
    let bench = Bench::new();
    bench
        .run(&["earths", "--json", "r", "--csv", "r"])
        .failed(2);
    bench.run(&["earths", "--plot", "r.gif"]).failed(2);
    bench
        .run(&["earths", "--set", "lead.elevation=95 deg"])
        .failed(2);
    assert!(bench.names().is_empty());
}

#[test]
fn the_picture_has_its_whole_sentence_and_the_rim_of_the_verdict() {
    let sets = [
        "--set",
        "earth.1.length=12m",
        "--set",
        "tool.tilt=2deg",
        "--set",
        "title=The third rig of the second bay, with one long earth lead behind the bench",
    ];
    let bench = Bench::new();
    let files = ["earths", "--plot", "a.svg", "--json", "a.json"];
    let text = bench.run(&[&files[..], &sets].concat()).done();
    assert!(text.contains("earth leads alike, 5 m of 25 mm²"), "{text}");
    let svg = bench.read("a.svg");
    assert!(!svg.contains('…') && svg.contains("the witness"), "{svg}");
    let told: Value = serde_json::from_str(&bench.read("a.json")).unwrap();
    let least = number(&told["least_fill_ratio"]);
    let fire = bench
        .run(&[&["fire", "--json", "-", "--no-band"], &sets[..]].concat())
        .done();
    let fire: Value = serde_json::from_str(&fire).unwrap();
    assert!((least - number(&fire["figures"]["rim_fill_min"])).abs() < 1e-9);
    assert!(
        told["trials"]
            .as_array()
            .unwrap()
            .iter()
            .any(|t| t["remedy"] == "equal-leads")
    );
}

#[test]
fn a_remedy_that_leaves_the_rim_as_bare_is_not_the_best_and_the_tilt_is_named() {
    let sets = |sets: &[&str]| {
        let sets: Vec<&str> = sets.iter().flat_map(|set| ["--set", *set]).collect();
        flat(&Bench::new().run(&[&["earths"], &sets[..]].concat()).done())
    };
    // A gun lead that blows the melt to where the tilt takes it from, so that a straight one leaves the rim as bare; but
    // square the tool is first.
    let four = [
        "earth.2.length=5m",
        "earth.3.length=5m",
        "lead.elevation=80deg",
    ];
    let tilt = ["tool.tilt=2deg", "tool.tilt_towards=3"];
    let tilted = sets(&[&four[..], &tilt].concat());
    assert!(
        tilted.contains("The tilt of 2° alone leaves a fill of"),
        "{tilted}"
    );
    assert!(
        tilted.contains("Best remedy tried: the tool square. The weld is sound with it."),
        "{tilted}"
    );
    let arcing = sets(&[&["earth.2.length=5m", "earth.2.clamp=arcing"][..], &tilt].concat());
    assert!(
        arcing.contains("all earth terminals and clamps tight"),
        "{arcing}"
    );
    assert!(!arcing.contains("one more clamp like 2"), "{arcing}");
    let loose = sets(&["earth.0.clamp=loose", "earth.1.length=10m"]);
    assert!(!loose.contains("one more clamp like 0"), "{loose}");
    // A clamp that is well made is copied, and mends what is blown.
    let one = sets(&["earth.1=none"]);
    assert!(
        one.contains("Best remedy tried: one more clamp like it"),
        "{one}"
    );
    // Without a drift there is nothing to send anybody for.
    let square = Bench::new().run(&["fire", "--no-band", "--set", "tool.tilt=3deg"]);
    let square = flat(&square.done());
    assert!(!square.contains("`arcplunge earths`"), "{square}");
}

#[test]
fn no_clamp_is_set_against_a_tilt() {
    let case = ["tool.tilt=2deg", "tool.tilt_towards=3", "earth.1=none"];
    let all = case.iter().flat_map(|set| ["--set", *set]);
    let all: Vec<&str> = ["earths", "--json", "-"].into_iter().chain(all).collect();
    let document: Value = serde_json::from_str(&Bench::new().run(&all).done()).unwrap();
    let trials = document["trials"].as_array().unwrap();
    assert_eq!(trials[0]["remedy"], "tool-squared");
    // Of the clamps the symmetric one, at 200 mm, is the best with the tool square.
    assert_eq!(trials[1]["remedy"], "mirrored-clamp");
    assert_eq!(trials[1]["x_m"], 0.2);
    let square = case[2..].iter().flat_map(|set| ["--set", *set]);
    let alone: Vec<&str> = ["earths", "--json", "-"]
        .into_iter()
        .chain(square)
        .collect();
    let alone: Value = serde_json::from_str(&Bench::new().run(&alone).done()).unwrap();
    assert_eq!(
        trials[1]["least_fill_ratio"],
        alone["trials"][0]["least_fill_ratio"]
    );
}

#[test]
fn a_weld_that_is_cold_is_headed_cold() {
    let case = concat!(env!("CARGO_MANIFEST_DIR"), "/examples/loose-clamp.toml");
    let page = flat(&Bench::new().run(&["earths", case]).done());
    assert!(page.contains(" cold The clamp of earth 0"), "{page}");
    assert!(page.contains("missing from 4:30 to 1:30"), "{page}");
    assert!(!page.contains("one-sided The clamp"), "{page}");
}

#[test]
fn a_loose_clamp_is_mended_by_what_makes_the_weld_sound() {
    let bench = Bench::new();
    let case = concat!(env!("CARGO_MANIFEST_DIR"), "/examples/loose-clamp.toml");
    let page = flat(&bench.run(&["earths", case]).done());
    assert!(
        page.contains(
            "Best remedy tried: all earth terminals and clamps tight. The weld is sound with it. Drift 19 µm → 32 µm, weakest \
             fill 0.980 → 1.26."
        ),
        "{page}"
    );
    let document: Value =
        serde_json::from_str(&bench.run(&["earths", case, "--json", "-"]).done()).unwrap();
    let trials = document["trials"].as_array().unwrap();
    let sound = |t: &Value| t["verdict"] == "sound";
    assert_eq!(trials[0]["remedy"], "all-tight");
    assert!(sound(&trials[0]) && !sound(trials.last().unwrap()));
}
