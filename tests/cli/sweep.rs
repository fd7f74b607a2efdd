//! `sweep` and `dial`: rows, resuming, pictures, goals, refusals.

use crate::tool::Bench;

const VOLTS: &str = "bank.voltage=90..130 V/9";

#[test]
fn a_table_says_where_the_weld_is_sound() {
    let text = Bench::new().run(&["sweep", "--vary", VOLTS]).done();
    assert!(text.contains("sound from 105 V to 130 V"), "{text}");
    assert!(text.lines().all(|l| l.chars().count() <= 80));
    assert!(text.contains("a bank can kill"), "the cautions are missing");
}

#[test]
fn a_map_of_letters_has_the_case_on_it() {
    let force = "tool.spring_force=40..120 N/9";
    let text = Bench::new()
        .run(&["sweep", "--vary", force, "--vary", VOLTS])
        .done();
    assert!(text.contains('@') && text.contains('#') && text.contains('o'));
}

#[test]
fn a_map_has_the_title_words_on_its_axes_and_the_edge_where_the_arc_goes_out() {
    let bench = Bench::new();
    let all = [
        "sweep",
        "--vary",
        "bank.voltage=60..200V/13",
        "--vary",
        "tool.spring_force=20..160N/13",
        "--set",
        "title=Bay 3",
        "--plot",
        "a.svg",
    ];
    bench.run(&all).done();
    let svg = bench.read("a.svg");
    for words in [
        "Bay 3",
        "M5 mild steel on 1.5 mm",
        "charging voltage (bank.voltage), V",
        "spring force on the stud at the start (tool.spring_force), N",
        "the arc goes out",
    ] {
        assert!(svg.contains(words), "{words}");
    }
}

#[test]
fn rows_are_the_figures_fire_gives() {
    let bench = Bench::new();
    let csv = bench
        .run(&["sweep", "--vary", "bank.voltage=112..120 V/2", "--csv", "-"])
        .done();
    let mut reader = csv::Reader::from_reader(csv.as_bytes());
    let head = reader.headers().unwrap().clone();
    let row = reader.records().next().unwrap().unwrap();
    let fire = bench.run(&["fire", "--json", "-", "--no-band"]).done();
    let fire: serde_json::Value = serde_json::from_str(&fire).unwrap();
    assert_eq!(&head[0], "bank.voltage_V");
    let mut numbers = 0;
    for (name, field) in head.iter().zip(&row).skip(1) {
        match fire["figures"][name].as_f64() {
            Some(value) => {
                numbers += 1;
                let field: f64 = field.parse().unwrap();
                assert!((field - value).abs() <= 1e-9 * value.abs(), "{name}");
            }
            None => assert!(["sound", "filled", ""].contains(&field), "{name} {field}"),
        }
    }
    assert!(numbers > 20, "only {numbers} figures were compared");
}

#[test]
fn regress_a_stopped_sweep_goes_on_to_the_same_file() {
    let whole = Bench::new();
    whole
        .run(&["sweep", "--vary", VOLTS, "--csv", "rows.csv"])
        .done();
    let rows = whole.read("rows.csv");
    assert!(!whole.names().contains(&"rows.csv.part".to_string()));
    // Cut within the fifth row, as a crash would.
    let cut = rows.match_indices('\n').nth(4).unwrap().0 + 20;
    let bench = Bench::new().with("rows.csv.part", &rows[..cut]).with_meta(
        "rows.csv.part",
        &whole,
        "rows.csv",
    );
    bench
        .run(&["sweep", "--vary", VOLTS, "--csv", "rows.csv", "--resume"])
        .done();
    assert_eq!(bench.read("rows.csv"), rows);
    assert!(!bench.names().contains(&"rows.csv.part".to_string()));
}

#[test]
fn rows_of_a_stopped_run_are_not_begun_over() {
    let sweep = ["sweep", "--vary", VOLTS, "--csv", "rows.csv"];
    let whole = Bench::new();
    whole.run(&sweep).done();
    let rows = whole.read("rows.csv");
    let cut = rows.match_indices('\n').nth(4).unwrap().0 + 20;
    let scatter = ["scatter", "--shots", "20", "--csv", "rows.csv"];
    for command in [&sweep[..], &scatter] {
        let bench = Bench::new().with("rows.csv.part", &rows[..cut]);
        let said = bench.run(command).failed(2);
        assert!(
            said.contains("rows.csv.part has 4 rows") && said.contains("add --resume, or delete"),
            "{said}"
        );
        assert_eq!(bench.read("rows.csv.part"), rows[..cut]);
    }
    // A file without rows is nothing to lose.
    let head = rows.find('\n').unwrap() + 1;
    let bench = Bench::new().with("rows.csv.part", &rows[..head]);
    bench.run(&sweep).done();
    assert_eq!(bench.read("rows.csv"), rows);
}

#[test]
fn rows_of_another_sweep_are_not_gone_on_with() {
    let whole = Bench::new();
    whole
        .run(&["sweep", "--vary", VOLTS, "--csv", "rows.csv"])
        .done();
    let bench = Bench::new()
        .with("rows.csv.part", whole.read("rows.csv"))
        .with_meta("rows.csv.part", &whole, "rows.csv");
    let said = bench
        .run(&[
            "sweep",
            "--vary",
            VOLTS,
            "--csv",
            "rows.csv",
            "--resume",
            "--set",
            "lead.length=6m",
        ])
        .failed(2);
    assert!(said.contains("lead.length: 5.0 there, 6.0 now"), "{said}");
    let nothing = Bench::new()
        .run(&["sweep", "--vary", VOLTS, "--csv", "rows.csv", "--resume"])
        .failed(2);
    assert!(nothing.contains("there is no rows.csv.part"), "{nothing}");
}

#[test]
fn pictures_are_drawn_of_one_key_and_of_two() {
    let bench = Bench::new();
    let force = "tool.spring_force=40..120 N/9";
    bench
        .run(&["sweep", "--vary", VOLTS, "--plot", "a.svg"])
        .done();
    bench
        .run(&[
            "sweep",
            "--vary",
            force,
            "--vary",
            VOLTS,
            "--show",
            "arc_energy_J",
            "--plot",
            "b.svg",
        ])
        .done();
    for (name, words) in [
        ("a.svg", ["fill of the wedge", "cold", "sound", "this case"]),
        (
            "b.svg",
            ["this case", "cold", "sound", "melt just fills the wedge"],
        ),
    ] {
        let svg = bench.read(name);
        roxmltree::Document::parse(&svg).unwrap();
        for word in words {
            assert!(svg.contains(word), "{name}: {word}");
        }
    }
}

#[test]
fn a_map_names_only_the_lines_it_has() {
    let bench = Bench::new();
    let map = |volts: &str| {
        let volts = format!("bank.voltage={volts}");
        let force = "tool.spring_force=70..90 N/5";
        let sweep = [
            "sweep", "--vary", force, "--vary", &volts, "--plot", "map.svg",
        ];
        bench.run(&sweep).done();
        let svg = bench.read("map.svg");
        ["boiled off", "just fills the wedge"].map(|word| svg.contains(word))
    };
    assert_eq!(map("110..116 V/5"), [false, false]);
    assert_eq!(map("90..116 V/9"), [false, true]);
    assert_eq!(map("110..150 V/9"), [true, false]);
}

#[test]
fn what_cannot_be_swept_is_refused() {
    for (arguments, word) in [
        (&["--vary", "bank.volts=1..2V"][..], "did you mean"),
        (&["--vary", "bank.voltage=1..2"], "unit"),
        (&["--vary", VOLTS, "--vary", VOLTS], "twice"),
        (
            &["--vary", VOLTS, "--show", "arc_energi_J"],
            "did you mean arc_energy_J?",
        ),
        (&["--vary", VOLTS, "--plot", "a.gif"], ".svg or .png"),
        (
            &["--vary", "bank.voltage=1..2V/999999", "--plot", "a.svg"],
            "too many to show",
        ),
        (&["--vary", "bank.voltage=1..2V/99999999"], "a million"),
    ] {
        let bench = Bench::new();
        let all: Vec<&str> = ["sweep"].iter().chain(arguments).copied().collect();
        let said = bench.run(&all).failed(2);
        assert!(said.contains(word), "{arguments:?}: {said}");
        assert!(bench.names().is_empty());
    }
}

#[test]
fn the_dial_finds_where_the_weld_is_sound_most_often_and_what_ends_the_window() {
    let bench = Bench::new();
    let text = bench.run(&["dial", "--vary", "bank.voltage"]).done();
    assert!(text.contains("bank.voltage = 113 V"), "{text}");
    assert!(text.contains("cold: melt does not reach the rim"), "{text}");
    let text = bench.run(&[
        "dial",
        "--vary",
        "bank.voltage",
        "--target",
        "fill_ratio=1.2",
        "--json",
        "-",
    ]);
    let json: serde_json::Value = serde_json::from_str(&text.done()).unwrap();
    let volts = json["values"]["bank.voltage"].as_f64().unwrap();
    assert!((volts - 105.53).abs() < 0.05, "{volts}");
}

#[test]
fn a_goal_out_of_reach_is_told_with_exit_code_1() {
    let bench = Bench::new();
    let ran = bench.run(&["dial", "--vary", "bank.voltage", "--target", "fill_ratio=3"]);
    assert_eq!(ran.code, 1);
    assert!(ran.out.contains("does not reach 3.00"), "{}", ran.out);
    let ran = bench.run(&[
        "dial",
        "--vary",
        "bank.voltage",
        "--set",
        "lead.length=40m",
        "--set",
        "bank.capacitance=10mF",
    ]);
    assert_eq!(ran.code, 1);
    assert!(ran.out.contains("Sound nowhere"), "{}", ran.out);
}

#[test]
fn what_cannot_be_turned_is_refused() {
    for (arguments, word) in [
        (&["--vary", "bank.volt"][..], "did you mean bank.voltage?"),
        (&["--vary", "tool.tilt"], "give a range to search"),
        (&["--vary", "stud.size"], "not a number"),
        (
            &["--vary", "bank.voltage", "--target", "hot"],
            "--target sound",
        ),
        (
            &["--vary", "bank.voltage", "--target", "fill_rato=1"],
            "did you mean fill_ratio?",
        ),
        (
            &["--vary", "bank.voltage", "--target", "arc_time_s=1.2"],
            "in SI units it is `--target arc_time_s=1.2s`",
        ),
        (&["--vary", "tool.voltag"], "did you mean bank.voltage?"),
        (
            &["--vary", "bank.voltage", "--target", "fill_ratio=full"],
            "a number in SI",
        ),
        (
            &["--vary", "bank.voltage", "--vary", "bank.voltage"],
            "twice",
        ),
        (
            &[
                "--vary",
                "bank.voltage",
                "--set",
                "stud.short_resistance=1 mohm",
            ],
            "no weld to judge",
        ),
    ] {
        let all: Vec<&str> = ["dial"].iter().chain(arguments).copied().collect();
        let said = Bench::new().run(&all).failed(2);
        assert!(said.contains(word), "{arguments:?}: {said}");
    }
}
