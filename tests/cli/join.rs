//! `--part` and `join`: one study, in parts.

use crate::tool::{Bench, without_command};

const SCATTER: [&str; 5] = ["scatter", "--shots", "103", "--seed", "5"];
const SWEEP: [&str; 3] = ["sweep", "--vary", "bank.voltage=90..130V/23"];

/// Fires each of these parts into FILE-K.csv.
fn parts(bench: &Bench, study: &[&str], numbers: &[usize], of: usize) -> Vec<String> {
    let one = |number: &usize| {
        let (part, file) = (format!("{number}/{of}"), format!("part-{number}.csv"));
        bench
            .run(&[study, &["--part", &part, "--csv", &file]].concat())
            .done();
        file
    };
    numbers.iter().map(one).collect()
}

fn join(bench: &Bench, files: &[String]) -> crate::tool::Ran {
    let files: Vec<&str> = files.iter().map(String::as_str).collect();
    bench.run(&[&["join"], &files[..], &["--csv", "whole.csv"]].concat())
}

#[test]
fn parts_put_together_are_the_whole_bit_for_bit() {
    for study in [&SCATTER[..], &SWEEP] {
        let bench = Bench::new();
        bench.run(&[study, &["--csv", "one.csv"]].concat()).done();
        // In any order; more parts than two, of unlike length.
        let files = parts(&bench, study, &[3, 1, 4, 2], 4);
        join(&bench, &files).done();
        assert!(
            bench.read("whole.csv") == bench.read("one.csv"),
            "{study:?}"
        );
    }
    // Page and picture of the whole come from its rows.
    let bench = Bench::new();
    let files = parts(&bench, &SCATTER, &[1, 2], 2);
    join(&bench, &files).done();
    let more = ["--csv", "whole.csv", "--resume", "--json", "-"];
    let joined = bench.run(&[&SCATTER[..], &more].concat()).done();
    let one = bench.run(&[&SCATTER[..], &["--json", "-"]].concat()).done();
    assert_eq!(without_command(&joined), without_command(&one));
}

#[test]
fn a_part_without_rows_joins_as_none() {
    let study = ["scatter", "--shots", "3", "--seed", "5"];
    let bench = Bench::new();
    bench
        .run(&[&study[..], &["--csv", "one.csv"]].concat())
        .done();
    let files = parts(&bench, &study, &[1, 2, 3, 4, 5], 5);
    join(&bench, &files).done();
    assert!(bench.read("whole.csv") == bench.read("one.csv"));
    // Nothing is made of those alone, nor of one of another study.
    let said = join(&bench, &files[..1]).failed(2);
    assert!(said.contains("has no complete row"), "{said}");
    let other = [
        "scatter",
        "--shots",
        "3",
        "--part",
        "1/5",
        "--csv",
        "part-1.csv",
        "--seed",
        "6",
    ];
    bench.run(&other).done();
    let said = join(&bench, &files).failed(2);
    assert!(said.contains("belongs to another study"), "{said}");
}

#[test]
fn a_part_that_was_cut_goes_on() {
    let bench = Bench::new();
    let files = parts(&bench, &SCATTER, &[1, 2], 2);
    let whole = bench.read(&files[1]);
    let cut = whole.match_indices('\n').nth(20).unwrap().0 + 40;
    let meta = bench.read("part-2.csv.meta.json");
    let bench = bench
        .with("part-2.csv.part", &whole[..cut])
        .with("part-2.csv.part.meta.json", &meta);
    let arguments = ["--part", "2/2", "--csv", "part-2.csv", "--resume"];
    bench.run(&[&SCATTER[..], &arguments].concat()).done();
    assert!(bench.read("part-2.csv") == whole);
    // As another part, or of another study, it is not gone on with.
    for other in [
        ["--part", "1/2", "--seed", "5"],
        ["--part", "2/2", "--seed", "6"],
    ] {
        let bench = Bench::new()
            .with("x.csv.part", &whole[..cut])
            .with("x.csv.part.meta.json", &meta);
        let study = ["scatter", "--shots", "103", "--csv", "x.csv", "--resume"];
        let said = bench.run(&[&study[..], &other].concat()).failed(2);
        assert!(said.contains("another study"), "{said}");
    }
}

#[test]
fn what_is_no_whole_is_refused() {
    let bench = Bench::new();
    let files = parts(&bench, &SCATTER, &[1, 2, 3], 3);
    let refused = |files: &[String], word: &str| {
        let said = join(&bench, files).failed(2);
        assert!(said.contains(word), "{word}: {said}");
        assert!(!bench.names().contains(&"whole.csv".to_string()), "{word}");
    };
    let pick =
        |numbers: &[usize]| -> Vec<String> { numbers.iter().map(|k| files[*k].clone()).collect() };
    refused(&pick(&[0, 2]), "part 2/3 is missing");
    refused(&pick(&[1]), "2 parts are missing: 1/3, 3/3");
    refused(&pick(&[0, 1, 2, 1]), "part 2/3 is also in");
    let text = bench.read("part-2.csv");
    let write = |name: &str, text: &str| {
        let meta = bench.read("part-2.csv.meta.json");
        std::fs::write(bench.path().join(name), text).unwrap();
        std::fs::write(bench.path().join(format!("{name}.meta.json")), meta).unwrap();
    };
    let with = |name: &str| vec![files[0].clone(), name.to_string(), files[2].clone()];
    // Cut at a line's end, within one, and a line lost from the middle.
    let lines: Vec<&str> = text.split_inclusive('\n').collect();
    write("short.csv", &lines[..20].concat());
    refused(
        &with("short.csv"),
        "are missing; finish this part with --resume",
    );
    write("torn.csv", &text[..text.len() - 30]);
    refused(&with("torn.csv"), "does not end with CR LF");
    write("hole.csv", &[&lines[..20], &lines[21..]].concat().concat());
    refused(&with("hole.csv"), "line 21: row is \"54\", expected 53");
    write("empty.csv", "");
    refused(&with("empty.csv"), "not a part of a study");
    write("head.csv", lines[0]);
    refused(&with("head.csv"), "has no complete row");
    bench
        .run(&[&SCATTER[..], &["--csv", "one.csv"]].concat())
        .done();
    refused(&with("one.csv"), "not a part of a study");
    refused(&with("nowhere.csv"), "there is no such file");
    // Of another study: seed, case, number of shots.
    for (name, other) in [
        ("seed.csv", ["--shots", "103", "--set", "title=x"]),
        ("case.csv", ["--shots", "103", "--set", "lead.length=6m"]),
        ("shots.csv", ["--shots", "104", "--set", "lead.length=5m"]),
    ] {
        let part = ["scatter", "--seed", "5", "--part", "2/3", "--csv", name];
        bench.run(&[&part[..], &other].concat()).done();
        refused(&with(name), "belongs to another study");
    }
    let said = bench
        .run(&["join", "part-1.csv", "--csv", "part-1.csv"])
        .failed(2);
    assert!(said.contains("would overwrite this part"), "{said}");
    let part = bench.read("part-1.csv");
    let said = bench
        .run(&[
            "join",
            "part-1.csv",
            "--csv",
            "w.csv",
            "--parquet",
            "part-1.csv",
        ])
        .failed(2);
    assert!(said.contains("would overwrite this part"), "{said}");
    assert_eq!(bench.read("part-1.csv"), part);
}
