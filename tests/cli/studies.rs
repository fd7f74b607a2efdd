//! Studies that know themselves: what stands beside a table, rows that are kept, one writer, places of streams.

use std::fs;

use crate::tool::{Bench, FIT, SCOPE};

const SCATTER: [&str; 5] = ["scatter", "--shots", "12", "--csv", "rows.csv"];
const SWEEP: [&str; 5] = [
    "sweep",
    "--vary",
    "bank.voltage=90..130 V/5",
    "--csv",
    "rows.csv",
];

fn meta(bench: &Bench, csv: &str) -> serde_json::Value {
    serde_json::from_str(&bench.read(&format!("{csv}.meta.json"))).unwrap()
}

/// A bench on which `command` was stopped after all its rows were written.
fn stopped(command: &[&str]) -> Bench {
    let whole = Bench::new();
    whole.run(command).done();
    Bench::new()
        .with("rows.csv.part", whole.read("rows.csv"))
        .with_meta("rows.csv.part", &whole, "rows.csv")
}

#[test]
fn regress_rows_of_another_study_are_refused_with_what_differs() {
    for (more, word) in [
        (
            ["--set", "model.hot_share=0.2"],
            "model.hot_share: 0.1 there, 0.2 now",
        ),
        (["--set", "title=x"], "title: \"\" there, \"x\" now"),
        (
            ["--set", "tolerance.bank.voltage=2V"],
            "drawn.bank.voltage.spread: 0.56 there, 2.0 now",
        ),
        (["--seed", "7"], "seed: 1 there, 7 now"),
        (
            ["--sampling", "random"],
            "sampling: \"sobol\" there, \"random\" now",
        ),
        (["--part", "1/1"], "part: none there, 1/1 now"),
    ] {
        let bench = stopped(&SCATTER);
        let kept = bench.read("rows.csv.part");
        let said = bench
            .run(&[&SCATTER[..], &["--resume"], &more].concat())
            .failed(2);
        assert!(said.contains(word), "{word}: {said}");
        assert_eq!(bench.read("rows.csv.part"), kept);
    }
    let said = stopped(&SWEEP)
        .run(&[&SCATTER[..], &["--resume"]].concat())
        .failed(2);
    assert!(
        said.contains("command: \"sweep\" there, \"scatter\" now"),
        "{said}"
    );
    let other = [
        "sweep",
        "--vary",
        "bank.voltage=90..130 V/9",
        "--csv",
        "rows.csv",
        "--resume",
    ];
    let said = stopped(&SWEEP).run(&other).failed(2);
    assert!(
        said.contains("vary.bank.voltage.count: 5 there, 9 now"),
        "{said}"
    );
    // Another version, and no word of the study at all.
    let bench = stopped(&SWEEP);
    fs::remove_file(bench.path().join("rows.csv.part.meta.json")).unwrap();
    let said = bench.run(&[&SWEEP[..], &["--resume"]].concat()).failed(2);
    assert!(said.contains("rows.csv.part.meta.json"), "{said}");
}

#[test]
fn what_a_table_comes_from_stands_beside_it() {
    let fit = [FIT, &["--vary", "lead.length"]].concat();
    for command in [
        &["fire", "--no-band"][..],
        &["sweep", "--vary", "bank.voltage=90..130 V/3"],
        &["scatter", "--shots", "9", "--seed", "4"],
        &["sensitivity", "--samples", "16", "--seed", "4"],
        &["dial", "--vary", "bank.voltage"],
        &["earths"],
        &["compare", "--fault", "loose-clamp"],
        &fit,
    ] {
        let bench = Bench::new().with("scope.csv", SCOPE);
        let set = ["--set", "title=a b", "--csv", "rows.csv"];
        let ran = bench.run(&[command, &set].concat());
        assert_eq!(ran.code, 0, "{command:?}: {}", ran.err);
        let about = meta(&bench, "rows.csv");
        let line = about["command"].as_str().unwrap();
        assert!(
            line.starts_with(&format!("arcplunge {}", command[0])),
            "{line}"
        );
        assert!(line.contains("--set 'title=a b'"), "{line}");
        assert_eq!(about["version"], env!("CARGO_PKG_VERSION"));
        assert_eq!(about["study"]["command"], command[0]);
        assert_eq!(about["study"]["case"]["title"], "a b");
        assert!(about["study"]["case"]["bank"]["voltage"].is_number());
        if command.contains(&"--seed") {
            assert_eq!(about["seed"], 4);
        }
        // The hash is the one of coreutils.
        let sum = std::process::Command::new("sha256sum")
            .arg("rows.csv")
            .current_dir(bench.path())
            .output();
        if let Ok(sum) = sum {
            let sum = String::from_utf8(sum.stdout).unwrap();
            assert_eq!(
                Some(about["csv_sha256"].as_str().unwrap()),
                sum.split(' ').next()
            );
        }
        let to_standard = [command, &["--csv", "-"]].concat();
        let other = Bench::new().with("scope.csv", SCOPE);
        other.run(&to_standard);
        assert_eq!(other.names(), ["scope.csv"]);
    }
    let bench = Bench::new().with("scope.csv", SCOPE);
    let told = bench.run(&[&fit[..], &["--json", "-"]].concat()).done();
    let told: serde_json::Value = serde_json::from_str(&told).unwrap();
    assert_eq!(told["trace"]["file"], "scope.csv");
    assert_eq!(told["trace"]["scale_A"], 10e3);
    assert_eq!(told["trace"]["time_unit"], "ms");
    assert_eq!(told["trace"]["sha256"].as_str().unwrap().len(), 64);
}

/// Lines of the rows, changed in the fourth line, and what is said of it.
fn spoilt(rows: &str) -> Vec<(&'static str, String, &'static str)> {
    let lines: Vec<&str> = rows.split_inclusive('\n').collect();
    let fourth = |line: String| {
        let mut all: Vec<String> = lines.iter().map(ToString::to_string).collect();
        all[3] = line;
        all.concat()
    };
    let cell = |at: usize, text: &str| {
        let mut cells: Vec<&str> = lines[3].split(',').collect();
        cells[at] = text;
        fourth(cells.join(","))
    };
    let mut swapped = lines.clone();
    swapped.swap(3, 4);
    let mut doubled = lines.clone();
    doubled[3] = lines[2];
    let figure = 15;
    vec![
        ("inf", cell(figure, "inf"), "line 4"),
        ("NaN", cell(figure, "NaN"), "line 4"),
        ("banana", cell(figure, "banana"), "line 4"),
        ("key", cell(0, ""), "line 4"),
        ("swapped", swapped.concat(), "line 4"),
        ("doubled", doubled.concat(), "line 4"),
        ("cells", fourth(lines[3].replacen(',', "", 1)), "line 4"),
        ("LF", fourth(lines[3].replace("\r\n", "\n")), "line 4"),
        ("BOM", format!("\u{feff}{rows}"), "line 1"),
    ]
}

#[test]
fn regress_every_row_kept_is_checked() {
    for command in [&SCATTER, &SWEEP] {
        let good = stopped(command);
        let rows = good.read("rows.csv.part");
        for (what, text, line) in spoilt(&rows) {
            let bench = Bench::new().with("rows.csv.part", &text).with_meta(
                "rows.csv.part",
                &good,
                "rows.csv.part",
            );
            let said = bench.run(&[&command[..], &["--resume"]].concat()).failed(2);
            assert!(said.contains(line), "{what}: {said}");
            assert_eq!(bench.read("rows.csv.part"), text, "{what}");
        }
    }
    // A finished file is held against its hash.
    let bench = Bench::new();
    bench.run(&SCATTER).done();
    let bench = {
        let text = bench.read("rows.csv").replacen("sound", "cold", 1);
        bench.with("rows.csv", text)
    };
    let more = ["scatter", "--shots", "20", "--csv", "rows.csv", "--resume"];
    let said = bench.run(&more).failed(2);
    assert!(said.contains("changed since it was written"), "{said}");
}

#[test]
fn regress_join_checks_every_row_and_carries_the_study() {
    let bench = Bench::new();
    for (part, file) in [("1/2", "1.csv"), ("2/2", "2.csv")] {
        bench
            .run(&["scatter", "--shots", "24", "--part", part, "--csv", file])
            .done();
    }
    let good = bench.read("2.csv");
    let join = ["join", "1.csv", "2.csv", "--csv", "whole.csv"];
    for (what, text, line) in spoilt(&good) {
        fs::write(bench.path().join("2.csv"), text).unwrap();
        let said = bench.run(&join).failed(2);
        assert!(
            said.contains(line) && said.contains("2.csv"),
            "{what}: {said}"
        );
        assert!(!bench.names().contains(&"whole.csv".to_string()));
    }
    fs::write(
        bench.path().join("2.csv"),
        good.replacen("sound", "cold", 1),
    )
    .unwrap();
    assert!(bench.run(&join).failed(2).contains("changed since"));
    fs::write(bench.path().join("2.csv"), &good).unwrap();
    bench.run(&join).done();
    let (whole, part) = (meta(&bench, "whole.csv"), meta(&bench, "1.csv"));
    assert_eq!(whole["study"], part["study"]);
    assert_eq!(
        (&whole["part"], &part["part"]),
        (&serde_json::Value::Null, &"1/2".into())
    );
    fs::remove_file(bench.path().join("2.csv.meta.json")).unwrap();
    assert!(bench.run(&join).failed(2).contains("2.csv.meta.json"));
    let many = [
        "scatter",
        "--part",
        "1/18446744073709551615",
        "--csv",
        "x.csv",
    ];
    assert!(bench.run(&many).failed(2).contains("at most 1000000 parts"));
}

#[test]
fn regress_one_process_at_a_time_writes_a_file() {
    let bench = stopped(&SCATTER);
    let held = fs::OpenOptions::new()
        .write(true)
        .open(bench.path().join("rows.csv.part"))
        .unwrap();
    fs4::FileExt::lock(&held).unwrap();
    let kept = bench.read("rows.csv.part");
    for command in [SCATTER.to_vec(), [&SCATTER[..], &["--resume"]].concat()] {
        let said = bench.run(&command).failed(1);
        assert!(said.contains("another process writes it"), "{said}");
    }
    assert_eq!(bench.read("rows.csv.part"), kept);
    drop(held);
    bench.run(&[&SCATTER[..], &["--resume"]].concat()).done();
}

#[cfg(unix)]
#[test]
fn regress_streams_go_where_other_results_go() {
    use std::os::unix::fs::{PermissionsExt, symlink};
    let run = |bench: &Bench, file: &str| bench.run(&["scatter", "--shots", "12", "--csv", file]);
    let whole = Bench::new();
    whole.run(&SCATTER).done();
    let rows = whole.read("rows.csv");
    // Links: to a file, to nowhere, in a ring.
    let bench = Bench::new().with("target.csv", "old");
    let at = |name: &str| bench.path().join(name);
    fs::set_permissions(at("target.csv"), fs::Permissions::from_mode(0o640)).unwrap();
    for (to, from) in [
        ("target.csv", "a"),
        ("new.csv", "b"),
        ("d", "c"),
        ("c", "d"),
    ] {
        symlink(to, at(from)).unwrap();
    }
    for (link, target) in [("a", "target.csv"), ("b", "new.csv")] {
        run(&bench, link).done();
        assert!(fs::symlink_metadata(at(link)).unwrap().is_symlink());
        assert_eq!(bench.read(target), rows);
        assert!(at(&format!("{target}.meta.json")).exists());
    }
    let mode = fs::metadata(at("target.csv")).unwrap().permissions().mode();
    assert_eq!(mode & 0o777, 0o640);
    assert!(run(&bench, "c").failed(1).contains("cannot write c"));
    // A device is written through; a file that may not be written stays.
    run(&bench, "/dev/null").done();
    fs::set_permissions(at("new.csv"), fs::Permissions::from_mode(0o444)).unwrap();
    run(&bench, "new.csv").failed(1);
    // Links and pipes where the unfinished rows would be.
    symlink("elsewhere", at("x.csv.part")).unwrap();
    assert!(run(&bench, "x.csv").failed(1).contains("no plain file"));
    let pipe = std::process::Command::new("mkfifo")
        .arg(at("y.csv.part"))
        .status();
    if pipe.is_ok_and(|made| made.success()) {
        assert!(run(&bench, "y.csv").failed(1).contains("no plain file"));
    }
    // The case file under another name.
    fs::write(at("weld.toml"), "").unwrap();
    fs::hard_link(at("weld.toml"), at("z.csv")).unwrap();
    let said = bench.run(&["scatter", "weld.toml", "--shots", "9", "--csv", "z.csv"]);
    assert!(said.failed(2).contains("is the case file"));
    assert_eq!(bench.read("weld.toml"), "");
}

#[cfg(unix)]
#[test]
fn regress_a_named_pipe_takes_rows() {
    let bench = Bench::new();
    let made = std::process::Command::new("mkfifo")
        .arg(bench.path().join("pipe"))
        .status();
    if !made.is_ok_and(|made| made.success()) {
        return crate::tool::skip("there is no `mkfifo`");
    }
    let reader = std::process::Command::new("cat")
        .arg(bench.path().join("pipe"))
        .stdout(std::process::Stdio::piped())
        .spawn()
        .unwrap();
    bench
        .run(&["scatter", "--shots", "12", "--csv", "pipe"])
        .done();
    let read = String::from_utf8(reader.wait_with_output().unwrap().stdout).unwrap();
    assert_eq!(read.lines().count(), 13);
    assert_eq!(bench.names(), ["pipe"]);
}
