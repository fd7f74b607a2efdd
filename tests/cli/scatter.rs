//! `scatter` and `join`: rows, resuming, parts, pictures, refusals.

use crate::tool::{Bench, flat, without_command};

/// Shots that take a second or two.
const MANY: [&str; 3] = ["scatter", "--shots", "8000"];

fn json(text: &str) -> serde_json::Value {
    serde_json::from_str(text).unwrap()
}

#[test]
fn a_page_says_what_share_is_sound_and_what_moves_it() {
    let text = Bench::new().run(&["scatter", "--shots", "500"]).done();
    assert!(text.contains("500 shots, Sobol points, seed 1"), "{text}");
    assert!(
        text.contains("not sound") && text.contains("stud.cone"),
        "{text}"
    );
    assert!(text.lines().all(|l| l.chars().count() <= 80), "{text}");
    assert!(text.contains("a bank can kill"), "the cautions are missing");
}

#[test]
fn rows_and_json_tell_the_same() {
    let bench = Bench::new();
    let arguments = [
        "scatter", "--shots", "300", "--csv", "rows.csv", "--json", "-",
    ];
    let told = json(&bench.run(&arguments).done());
    let text = bench.read("rows.csv");
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let head = reader.headers().unwrap().clone();
    let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    assert_eq!(
        (rows.len(), &head[0], &head[1]),
        (300, "shot", "bank.voltage_V")
    );
    let column = |name: &str| head.iter().position(|h| h == name).unwrap();
    let verdict = column("verdict");
    let mut counted = 0;
    for row in told["verdicts"].as_array().unwrap() {
        let name = row["verdict"].as_str().unwrap();
        let count = rows.iter().filter(|r| &r[verdict] == name).count();
        assert_eq!(row["count"].as_u64(), Some(count as u64), "{name}");
        assert!(row["low"].as_f64().unwrap() <= row["share"].as_f64().unwrap());
        counted += count;
    }
    assert_eq!(counted, 300);
    let at = column("arc_energy_J");
    let mut energies: Vec<f64> = rows.iter().map(|r| r[at].parse().unwrap()).collect();
    energies.sort_by(f64::total_cmp);
    let energy = &told["figures"]["arc_energy_J"];
    let median = energy["quantiles"][4]["value"].as_f64().unwrap();
    assert!((median - energies[149]).abs() <= 1e-4 * median, "{median}");
    let mean = energies.iter().sum::<f64>() / 300.0;
    assert!((energy["mean"].as_f64().unwrap() - mean).abs() < 1e-9 * mean);
    assert!(
        told["rank_correlations"]["fill_ratio"]["stud.cone"]
            .as_f64()
            .unwrap()
            < -0.85
    );
    assert_eq!(told["drawn"][0]["key"], "bank.voltage");
}

#[test]
fn a_shot_of_the_rows_is_the_shot_fire_gives() {
    let bench = Bench::new();
    let text = bench.run(&["scatter", "--shots", "3", "--csv", "-"]).done();
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let head = reader.headers().unwrap().clone();
    let row = reader.records().nth(2).unwrap().unwrap();
    let figures = head.iter().position(|h| h == "stored_energy_J").unwrap();
    let sets: Vec<String> = (1..figures)
        .map(|k| {
            let (key, unit) = head[k].rsplit_once('_').unwrap();
            format!("--set={key}={} {unit}", &row[k])
        })
        .collect();
    let mut arguments = vec!["fire", "--json", "-", "--no-band"];
    arguments.extend(sets.iter().map(String::as_str));
    let fired = json(&bench.run(&arguments).done());
    let mut numbers = 0;
    for k in figures..head.len() - 3 {
        let (name, cell) = (&head[k], &row[k]);
        let figure = fired["figures"].get(name).expect(name);
        match figure.as_f64() {
            None => assert_eq!(cell, "", "{name}"),
            Some(value) => {
                numbers += 1;
                let cell: f64 = cell.parse().unwrap();
                // The draws stand in the file with ten digits.
                assert!(
                    (cell - value).abs() <= 1e-6 * value.abs(),
                    "{name} {cell} {value}"
                );
            }
        }
    }
    assert!(numbers > 20, "only {numbers} figures were compared");
}

#[test]
fn tolerances_of_a_case_file_are_used_and_the_others_left_out() {
    let case = "[tolerance]\nothers = \"none\"\nbank.voltage = { spread = \"2 V\", shape = \"uniform\" }\n";
    let bench = Bench::new().with("weld.toml", case);
    let text = bench
        .run(&["scatter", "weld.toml", "--shots", "50", "--csv", "-"])
        .done();
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    assert_eq!(&reader.headers().unwrap()[2], "stored_energy_J");
    let volts = reader.records().map(|row| row.unwrap()[1].parse().unwrap());
    let volts: Vec<f64> = volts.collect();
    assert_eq!(volts.len(), 50);
    assert!(volts.iter().all(|v| (110.0..114.0).contains(v)));
    let model = bench
        .run(&[
            "scatter",
            "weld.toml",
            "--shots",
            "2",
            "--model",
            "--csv",
            "-",
        ])
        .done();
    assert!(
        model.starts_with("shot,bank.voltage_V,arc.split,arc.to_both,"),
        "{model}"
    );
}

#[test]
fn seeds_and_samplings_differ_and_repeat() {
    let bench = Bench::new();
    let run = |more: &[&str]| {
        let arguments = [&["scatter", "--shots", "20", "--csv", "-"], more].concat();
        bench.run(&arguments).done()
    };
    let first = run(&[]);
    assert_eq!(first, run(&["--seed", "1"]));
    assert_ne!(first, run(&["--seed", "2"]));
    let random = run(&["--sampling", "random"]);
    assert_ne!(first, random);
    assert_eq!(random, run(&["--sampling", "random"]));
}

#[test]
fn regress_a_cut_run_goes_on_to_the_same_file_and_the_same_summary() {
    let whole = Bench::new();
    let arguments = [
        "scatter", "--shots", "400", "--csv", "rows.csv", "--json", "sum.json",
    ];
    whole.run(&arguments).done();
    let rows = whole.read("rows.csv");
    // Cut within a row, as a crash would.
    let cut = rows.match_indices('\n').nth(150).unwrap().0 + 30;
    let bench = Bench::new().with("rows.csv.part", &rows[..cut]).with_meta(
        "rows.csv.part",
        &whole,
        "rows.csv",
    );
    bench.run(&[&arguments[..], &["--resume"]].concat()).done();
    assert_eq!(bench.read("rows.csv"), rows);
    assert_eq!(
        without_command(&bench.read("sum.json")),
        without_command(&whole.read("sum.json"))
    );
    assert!(!bench.names().contains(&"rows.csv.part".to_string()));
    // A finished file is not fired again, and can be gone on with to more shots.
    let more = ["scatter", "--shots", "500", "--csv", "rows.csv", "--resume"];
    bench.run(&more).done();
    assert!(bench.read("rows.csv").starts_with(&rows));
    let said = bench
        .run(&[&arguments[..], &["--resume"]].concat())
        .failed(2);
    assert!(said.contains("more than the"), "{said}");
    let said = bench.run(&[&more[..], &["--seed", "2"]].concat()).failed(2);
    assert!(said.contains("seed: 1 there, 2 now"), "{said}");
    assert!(
        bench.names().contains(&"rows.csv".to_string()),
        "what was refused stays"
    );
}

/// Starts a long run and ends it by this signal when the first rows have come.
#[cfg(unix)]
fn interrupted(bench: &Bench, signal: &str) -> std::process::ExitStatus {
    let mut command = std::process::Command::new(assert_cmd::cargo::cargo_bin("arcplunge"));
    command
        .current_dir(bench.path())
        .args(MANY)
        .args(["--csv", "rows.csv"]);
    command
        .stdout(std::process::Stdio::null())
        .stderr(std::process::Stdio::null());
    let mut child = command.spawn().unwrap();
    let part = bench.path().join("rows.csv.part");
    let begun = || std::fs::metadata(&part).is_ok_and(|about| about.len() > 200_000);
    let start = std::time::Instant::now();
    while !begun() && start.elapsed().as_secs() < 60 {
        std::thread::sleep(std::time::Duration::from_millis(2));
    }
    let kill = std::process::Command::new("kill")
        .args([signal, &child.id().to_string()])
        .status();
    assert!(kill.unwrap().success());
    child.wait().unwrap()
}

#[cfg(unix)]
#[test]
fn regress_a_run_that_was_killed_ends_as_one_that_was_not() {
    let whole = Bench::new();
    whole
        .run(&[&MANY[..], &["--csv", "rows.csv"]].concat())
        .done();
    for (signal, code) in [("-KILL", None), ("-INT", Some(130))] {
        let bench = Bench::new();
        assert_eq!(interrupted(&bench, signal).code(), code, "{signal}");
        assert_eq!(bench.names(), ["rows.csv.part", "rows.csv.part.meta.json"]);
        let kept = bench.read("rows.csv.part").lines().count();
        assert!((300..7900).contains(&kept), "{kept}");
        bench
            .run(&[&MANY[..], &["--csv", "rows.csv", "--resume"]].concat())
            .done();
        assert!(bench.read("rows.csv") == whole.read("rows.csv"), "{signal}");
    }
}

#[test]
fn an_interval_without_an_end_is_said_to_want_shots() {
    let page = |shots| Bench::new().run(&["scatter", "--shots", shots]).done();
    let few = page("30");
    assert!(few.contains("too few shots"), "{few}");
    assert!(few.lines().all(|l| l.chars().count() <= 80), "{few}");
    assert!(!page("400").contains("too few shots"));
}

#[test]
fn intervals_of_studs_in_boxes_take_the_boxes_as_units() {
    let boxed = |size: &str| {
        let size = format!("tolerance.batch_size={size}");
        let cone = r#"tolerance.stud.cone={spread="0.5 deg", batch="0.45 deg"}"#;
        let more = ["--shots", "2000", "--set", cone, "--set", &size];
        let bench = Bench::new();
        let text = bench
            .run(&[&["scatter", "--json", "b.json"], &more[..]].concat())
            .done();
        let told = json(&bench.read("b.json"));
        let quantiles = told["figures"]["rim_fill_min"]["quantiles"]
            .as_array()
            .unwrap();
        let median = quantiles
            .iter()
            .find(|q| q["share"] == 0.5)
            .unwrap()
            .clone();
        (text, median)
    };
    // Of 200 000 shots the median is 1.238; as if studs were independent the interval would be 0.03 wide.
    let (text, median) = boxed("100");
    let [low, high] = ["low", "high"].map(|end| median[end].as_f64().unwrap());
    assert!(low < 1.238 && 1.238 < high && high - low > 0.1, "{median}");
    assert!(
        text.contains("Intervals take whole boxes as their units"),
        "{text}"
    );
    let (text, median) = boxed("500");
    assert!(
        median["low"].is_null() && text.contains("too few boxes"),
        "{text}"
    );
}

#[test]
fn a_picture_has_histograms_and_shots() {
    let bench = Bench::new();
    bench
        .run(&["scatter", "--shots", "300", "--plot", "a.svg"])
        .done();
    let svg = bench.read("a.svg");
    roxmltree::Document::parse(&svg).unwrap();
    for word in [
        "fill of the wedge",
        "arc energy",
        "90 % in",
        "stud.cone",
        "this case",
        "test welds",
    ] {
        assert!(svg.contains(word), "{word}");
    }
    bench
        .run(&[
            "scatter",
            "--shots",
            "30",
            "--set",
            "stud.short_resistance=1mohm",
            "--plot",
            "b.svg",
        ])
        .done();
    assert!(bench.read("b.svg").contains("peak current"));
}

#[test]
fn a_build_without_parquet_says_so_before_it_fires() {
    let bench = Bench::new();
    let rows = [
        "scatter",
        "--shots",
        "9",
        "--csv",
        "a.csv",
        "--parquet",
        "a.parquet",
    ];
    let ran = bench.run(&rows);
    if cfg!(feature = "parquet") {
        assert_eq!(ran.code, 0, "{}", ran.err);
        assert_eq!(bench.names(), ["a.csv", "a.csv.meta.json", "a.parquet"]);
        assert!(
            std::fs::read(bench.path().join("a.parquet"))
                .unwrap()
                .starts_with(b"PAR1")
        );
    } else {
        assert!(ran.failed(1).contains("--features parquet"));
        assert!(bench.names().is_empty());
    }
}

#[test]
fn what_cannot_be_scattered_is_refused() {
    for (arguments, word) in [
        (&["--shots", "0"][..], "1000000000"),
        (&["--shots", "many"], "1000000000"),
        (&["--set", "tolerance.others=none"], "nothing scatters"),
        (&["--set", "tolerance.bank.volts=1V"], "did you mean"),
        (&["--show", "arc_energi_J"], "did you mean arc_energy_J?"),
        (&["--part", "2/4"], "--csv"),
        (&["--part", "5/4", "--csv", "a.csv"], "count from 1 to 4"),
        (
            &["--part", "1/2", "--csv", "a.csv", "--plot", "a.svg"],
            "cannot be used with",
        ),
        (&["--resume"], "--csv"),
        (&["--csv", "a.csv", "--json", "a.csv"], "two results"),
    ] {
        let bench = Bench::new();
        let all: Vec<&str> = ["scatter"].iter().chain(arguments).copied().collect();
        let said = bench.run(&all).failed(2);
        assert!(said.contains(word), "{arguments:?}: {said}");
        assert!(bench.names().is_empty());
    }
}

#[test]
fn the_footer_is_that_of_the_points_and_one_shot_is_one() {
    let page = |more: &[&str]| flat(&Bench::new().run(&[&["scatter"], more].concat()).done());
    let random = page(&["--shots", "600", "--sampling", "random"]);
    assert!(
        random.contains("Intervals of shares are Wilson's"),
        "{random}"
    );
    assert!(!random.contains("Sobol"), "{random}");
    assert!(page(&["--shots", "600"]).contains("too wide for Sobol points"));
    assert!(page(&["--shots", "1"]).contains(" 1 shot, Sobol points"));
}
