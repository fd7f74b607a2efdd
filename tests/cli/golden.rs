//! Texts kept as files, so that a change in them is seen: `ARCPLUNGE_WRITE_DOCS=1 cargo test` writes
//! them anew.

use std::fs;
use std::path::Path;

use super::tool::Bench;

/// Holds `text` against the file of this name, or writes it.
#[track_caller]
fn golden(name: &str, text: &str) {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/golden")
        .join(name);
    if std::env::var_os("ARCPLUNGE_WRITE_DOCS").is_some() {
        fs::write(&path, text).expect("the folder of golden files");
        return;
    }
    let kept = fs::read_to_string(&path)
        .unwrap_or_default()
        .replace("\r\n", "\n");
    assert_eq!(
        text, kept,
        "{name} has changed; ARCPLUNGE_WRITE_DOCS=1 writes it anew"
    );
}

/// Runs the program and holds what it prints, no wider than 80 columns, against the text kept.
fn page(bench: &Bench, name: &str, arguments: &[&str]) {
    let text = bench.run(arguments).done();
    assert!(
        text.lines().all(|l| l.chars().count() <= 80),
        "{name} is wider than 80 columns"
    );
    golden(name, &text);
}

/// A command with changed keys.
fn with_sets<'a>(command: &'a str, sets: &[&'a str]) -> Vec<&'a str> {
    let mut arguments = vec![command];
    for set in sets {
        arguments.extend(["--set", set]);
    }
    arguments
}

#[test]
fn help_texts() {
    let bench = Bench::new();
    for (name, arguments) in [
        ("help.txt", &["--help"][..]),
        ("help-fire.txt", &["fire", "--help"]),
        ("help-sweep.txt", &["sweep", "--help"]),
        ("help-scatter.txt", &["scatter", "--help"]),
        ("help-sensitivity.txt", &["sensitivity", "--help"]),
        ("help-join.txt", &["join", "--help"]),
        ("help-dial.txt", &["dial", "--help"]),
        ("help-chart.txt", &["chart", "--help"]),
        ("help-earths.txt", &["earths", "--help"]),
        ("help-calibrate.txt", &["calibrate", "--help"]),
        ("help-compare.txt", &["compare", "--help"]),
        ("help-fit.txt", &["fit", "--help"]),
        ("help-shift.txt", &["shift", "--help"]),
        ("help-card.txt", &["card", "--help"]),
        ("help-page.txt", &["page", "--help"]),
        ("help-case.txt", &["case", "--help"]),
        ("help-case-new.txt", &["case", "new", "--help"]),
        ("help-case-check.txt", &["case", "check", "--help"]),
        ("help-case-show.txt", &["case", "show", "--help"]),
        ("help-case-schema.txt", &["case", "schema", "--help"]),
        ("help-completions.txt", &["completions", "--help"]),
        ("help-manual.txt", &["manual", "--help"]),
        ("help-catalogue.txt", &["catalogue", "--help"]),
    ] {
        page(&bench, name, arguments);
    }
}

#[test]
fn pages() {
    let bench = Bench::new();
    for (name, sets) in [
        ("fire.txt", &[][..]),
        (
            "fire-loose.txt",
            &[
                "joints.tool=loose",
                "earth.1.clamp=arcing",
                "lead.length=8 m",
                "title=A tool terminal that came loose",
            ],
        ),
        ("fire-bolted.txt", &["stud.short_resistance=1 mohm"]),
        ("fire-no-current.txt", &["bank.voltage=1 V"]),
    ] {
        let arguments = with_sets("fire", sets);
        page(&bench, name, &arguments);
    }
}

#[test]
fn pages_of_a_card() {
    let bench = Bench::new();
    page(&bench, "card.txt", &["card"]);
    let mut arguments = with_sets(
        "card",
        &["tool.scale=[[1, \"40 N\"], [5, \"120 N\"]]", "earth.1=none"],
    );
    arguments.push("--as-set");
    page(&bench, "card-as-set.txt", &arguments);
}

#[test]
fn pages_of_a_calibration() {
    let welds = include_str!("../../examples/welds.csv");
    let bench = Bench::new().with("welds.csv", welds);
    page(
        &bench,
        "calibrate.txt",
        &["calibrate", "--welds", "welds.csv", "--next", "2"],
    );
}

#[test]
fn pages_of_a_shift() {
    let bench = Bench::new();
    page(&bench, "shift.txt", &["shift", "--welds", "500"]);
    let sets = [
        "bank.voltage=140 V",
        "stud.size=M6",
        "bank.capacitance=90 mF",
        "lead.section=10 mm2",
        "charger.interlock=no",
        "charger.power=250 W",
        "title=Late charger, thin lead",
    ];
    let mut arguments = with_sets("shift", &sets);
    arguments.extend([
        "--welds",
        "300",
        "--pace",
        "20/min",
        "--breaks",
        "10min@10min",
    ]);
    page(&bench, "shift-late.txt", &arguments);
}

#[test]
fn pages_of_the_earths() {
    let bench = Bench::new();
    for (name, sets) in [
        ("earths.txt", &[][..]),
        (
            "earths-one-sided.txt",
            &[
                "earth.1=none",
                "earth.0.at=-60 mm, 0 mm",
                "bank.voltage=108 V",
                "title=One clamp, close to the stud",
            ],
        ),
        (
            "earths-leaning.txt",
            &[
                "earth.1.clamp=arcing",
                "earth.2.at=0 mm, -150 mm",
                "earth.2.elevation=-60 deg",
                "lead.elevation=10 deg",
                "lead.direction=60 deg",
            ],
        ),
        ("earths-bolted.txt", &["stud.short_resistance=1 mohm"]),
    ] {
        let arguments = with_sets("earths", sets);
        page(&bench, name, &arguments);
    }
}

#[test]
fn contrasts() {
    let bench = Bench::new();
    let few = [
        "compare",
        "--fault",
        "loose-tool-terminal",
        "--fault",
        "centre-mark-deep",
    ];
    let many = "arcing-chuck,one-earth-lead-off,tired-bank+weak-spring";
    let many = [
        "compare",
        "--fault",
        many,
        "--variant",
        "lead.length=12m,lead.section=70mm2",
    ];
    for (name, arguments) in [("compare.txt", few), ("compare-many.txt", many)] {
        page(&bench, name, &arguments);
    }
}

#[test]
fn a_faulty_case_in_words() {
    let faulty = "title = \"four mistakes\"\n\n[bank]\nvoltgae = \"112 V\"\nesr = 2\n\n\
                  [lead]\nlength = \"5 V\"\n\n[joints]\ntool = \"lose\"\n";
    let bench = Bench::new().with("weld.toml", faulty);
    golden(
        "faulty-case.txt",
        &bench.run(&["fire", "weld.toml"]).failed(2),
    );
    let said = bench.run(&["fire", "--set", "lead.lenght=12 m"]).failed(2);
    golden("faulty-set.txt", &said);
}

#[test]
fn faulty_lessons_in_words() {
    let sound = include_str!("../../examples/lessons/guards.toml");
    let faulty = sound
        .replace("question = \"After", "qestion = \"After")
        .replacen("right = true", "right = 1", 1);
    let untrue = sound
        .replace("now.verdict = cold", "now.verdict = sound")
        .replace("stud.size=M6", "stud.size=M66");
    let bench = Bench::new()
        .with("faulty.toml", faulty)
        .with("untrue.toml", untrue);
    let told = ["faulty.toml", "untrue.toml"]
        .map(|name| bench.run(&["page", "--lessons", name]).failed(2));
    golden("faulty-lessons.txt", &told.join("\n"));
}

#[test]
fn faulty_classes_in_words() {
    let bench = Bench::new();
    let told = [
        &["page", "--class=nowhere"][..],
        &["page", "--class", "--listen", "0.0.0.0:0"],
    ]
    .map(|arguments| bench.run(arguments).failed(2));
    golden("faulty-class.txt", &told.join("\n"));
}

#[test]
fn catalogue_and_case() {
    let bench = Bench::new();
    golden("catalogue.txt", &bench.run(&["catalogue"]).done());
    golden("case-new.txt", &bench.run(&["case", "new", "-"]).done());
    golden(
        "case-show.txt",
        &bench
            .run(&["case", "show", "--set", "lead.length=12 m"])
            .done(),
    );
}

#[test]
fn sweeps_and_dials() {
    let bench = Bench::new();
    let force = "tool.spring_force=40..120 N/9";
    let volts = "bank.voltage=90..130 V/9";
    for (name, arguments) in [
        ("sweep.txt", &["sweep", "--vary", volts][..]),
        (
            "sweep-map.txt",
            &["sweep", "--vary", force, "--vary", volts],
        ),
        ("dial.txt", &["dial", "--vary", "bank.voltage"]),
        (
            "chart.txt",
            &[
                "chart",
                "--metal",
                "copper",
                "--metal",
                "brass 63/37 on copper",
            ],
        ),
        ("scatter.txt", &["scatter", "--shots", "400"]),
        ("sensitivity.txt", &["sensitivity", "--samples", "128"]),
    ] {
        page(&bench, name, arguments);
    }
}
