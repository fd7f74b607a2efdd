//! `case new`, `case check`, `case show`, `catalogue`.

use serde_json::Value;

use super::tool::Bench;

/// The resolved case of a run of `fire --json -`.
fn resolved(bench: &Bench, arguments: &[&str]) -> Value {
    let mut all = vec!["fire", "--no-band", "--json", "-"];
    all.extend(arguments);
    let text = bench.run(&all).done();
    let document: Value = serde_json::from_str(&text).expect("JSON");
    document["case"].clone()
}

#[test]
fn a_new_case_reads_back_as_the_demonstration() {
    let bench = Bench::new();
    let said = bench.run(&["case", "new", "weld.toml"]).done();
    assert!(said.contains("weld.toml"), "{said}");
    assert_eq!(bench.names(), ["weld.toml"]);
    assert_eq!(resolved(&bench, &["weld.toml"]), resolved(&bench, &[]));
    assert_ne!(
        resolved(&bench, &["weld.toml", "--set", "lead.length=12m"]),
        resolved(&bench, &[]),
        "the comparison can fail"
    );
}

#[test]
fn a_new_case_goes_to_standard_output_too() {
    let bench = Bench::new();
    let text = bench.run(&["case", "new", "-"]).done();
    bench.run(&["case", "new", "weld.toml"]).done();
    assert_eq!(bench.read("weld.toml"), text);
    assert_eq!(bench.names(), ["weld.toml"]);
}

#[test]
fn a_new_case_does_not_replace_a_file_unless_forced() {
    let bench = Bench::new().with("weld.toml", "mine");
    let said = bench.run(&["case", "new", "weld.toml"]).failed(1);
    assert!(said.contains("--force"), "{said}");
    assert_eq!(bench.read("weld.toml"), "mine");
    bench.run(&["case", "new", "--force", "weld.toml"]).done();
    assert!(bench.read("weld.toml").contains("[bank]"));
    assert_eq!(bench.names(), ["weld.toml"]);
}

#[test]
fn a_new_case_needs_a_folder() {
    let bench = Bench::new();
    bench.run(&["case", "new", "nowhere/weld.toml"]).failed(1);
    bench.run(&["case", "new", "."]).failed(1);
    bench.run(&["case", "new"]).failed(2);
    assert!(bench.names().is_empty());
}

#[test]
fn a_case_shown_is_a_valid_case_and_the_same_one() {
    let bench = Bench::new();
    let sets = [
        "--set",
        "title=M6 \"on\" brass, 20 °C \\ µ",
        "--set",
        "stud.size=M6",
        "--set",
        "sheet.metal=brass 63/37",
        "--set",
        "sheet.centre_mark={ depth = \"0.5 mm\", angle = \"100 deg\" }",
        "--set",
        "earth.2.length=3 m",
        "--set",
        "earth.2.clamp={ resistance = \"1 mohm\", drop = \"3 V\" }",
        "--set",
        "metal.copper.density=8900 kg/m3",
        "--set",
        "joints.tool=3.3333333333333335 mohm",
        "--set",
        "tool.method=gap",
        "--set",
        "bank.voltage=101.1 V",
    ];
    let mut show = vec!["case", "show"];
    show.extend(sets);
    let text = bench.run(&show).done();
    let bench = bench.with("shown.toml", &text);
    bench.run(&["case", "check", "shown.toml"]).done();
    assert_eq!(resolved(&bench, &["shown.toml"]), resolved(&bench, &sets));
    for origin in ["# default", "# --set"] {
        assert!(text.contains(origin), "{text}");
    }
    let again = bench.run(&["case", "show", "shown.toml"]).done();
    assert!(again.contains("# line "), "{again}");
}

#[test]
fn check_says_that_nothing_is_wrong() {
    let bench = Bench::new().with("weld.toml", "bank.voltage = \"100 V\"\n");
    let said = bench.run(&["case", "check", "weld.toml"]).done();
    assert!(said.contains("weld.toml"), "{said}");
    bench.run(&["case", "check"]).done();
    bench.run_with(&["case", "check", "-"], "").done();
}

#[test]
fn the_catalogue_lists_its_parts() {
    let bench = Bench::new();
    let whole = bench.run(&["catalogue"]).done();
    for (part, name) in [
        ("studs", "M5"),
        ("metals", "mild steel"),
        ("joints", "arcing"),
        ("leads", "35"),
    ] {
        let text = bench.run(&["catalogue", part]).done();
        assert!(text.contains(name), "{text}");
        assert!(whole.contains(text.trim_end()), "{part}");
    }
    let said = bench.run(&["catalogue", "stud"]).failed(2);
    assert!(said.contains("studs"), "{said}");
}

#[test]
fn an_empty_file_is_the_demonstration_case() {
    let bench = Bench::new()
        .with("empty.toml", "")
        .with("bom.toml", "\u{feff}# nothing\r\n");
    let demonstration = resolved(&bench, &[]);
    assert_eq!(resolved(&bench, &["empty.toml"]), demonstration);
    assert_eq!(resolved(&bench, &["bom.toml"]), demonstration);
}

#[test]
fn standard_input_is_a_case_file() {
    let bench = Bench::new().with("weld.toml", "[bank]\nvoltage = \"100 V\"\n");
    let text = bench.read("weld.toml");
    let page = bench.run_with(&["fire", "--no-band", "-"], text).done();
    assert_eq!(page, bench.run(&["fire", "--no-band", "weld.toml"]).done());
    assert_ne!(page, bench.run(&["fire", "--no-band"]).done());
}

#[test]
fn practice_everyday_names_of_metals_and_sizes_are_understood() {
    let bench = Bench::new();
    for (set, section, key, name) in [
        ("sheet.metal=stainless", "sheet", "metal", "stainless 18/8"),
        ("stud.metal=A2", "stud", "metal", "stainless 18/8"),
        (
            "stud.metal=aluminium",
            "stud",
            "metal",
            "aluminium Mg alloy",
        ),
        ("sheet.metal=Brass", "sheet", "metal", "brass 63/37"),
        ("stud.metal=steel", "stud", "metal", "mild steel"),
        ("stud.size=m6", "stud", "size", "M6"),
    ] {
        let case = resolved(&bench, &["--set", set]);
        let said = &case[section][key];
        let said = said.get("name").unwrap_or(said);
        assert_eq!(said, name, "{set}");
    }
    let chart = ["chart", "--stud", "m4", "--metal", "stainless on steel"];
    let page = bench.run(&chart).done();
    assert!(page.contains("stainless 18/8 on mild steel"), "{page}");
}

#[test]
fn a_word_that_fits_two_metals_is_refused_with_both() {
    let own = "[metal.\"free-cutting steel\"]\nlike = \"steel\"\n[sheet]\nmetal = \"steel\"\n";
    let bench = Bench::new().with("own.toml", own);
    let said = bench.run(&["fire", "own.toml"]).failed(2);
    assert!(
        said.contains("\"free-cutting steel\"") && said.contains("\"mild steel\""),
        "{said}"
    );
    // A file's own figures for the metal meant are taken.
    let own = "[metal.\"mild steel\"]\nlike = \"steel\"\nmelting_point = \"1800 K\"\n[sheet]\nmetal = \"steel\"\n";
    let bench = Bench::new().with("own.toml", own);
    let case = resolved(&bench, &["own.toml"]);
    assert_eq!(case["sheet"]["metal"]["melting_point"], 1800.0);
}

#[test]
fn regress_marks_that_turn_the_writing_are_shown_as_such() {
    let bench = Bench::new();
    let page = bench
        .run(&[
            "fire",
            "--no-band",
            "--set",
            "title=a\u{202e}b\u{2066}c",
            "--report",
            "a.html",
        ])
        .done();
    assert!(page.starts_with("a⟨U+202E⟩b⟨U+2066⟩c"), "{page}");
    let html = bench.read("a.html");
    assert!(
        html.contains("a⟨U+202E⟩b") && !html.contains('\u{202e}') && !html.contains('\u{2066}')
    );
}

#[test]
fn regress_a_file_full_of_unknown_keys_is_answered() {
    let keys: String = (0..30_000).map(|k| format!("k{k:x}=1\n")).collect();
    let bench = Bench::new().with("many.toml", format!("[bank]\n{keys}"));
    let said = bench.run(&["fire", "many.toml"]).failed(2);
    assert!(said.contains("and 29980 more of this kind"), "{said}");
    let keys: String = (0..6_000).map(|k| format!("\"k{k:x}\"=1\n")).collect();
    let bench = Bench::new().with("many.toml", format!("[tolerance]\n{keys}"));
    assert!(
        bench
            .run(&["fire", "many.toml"])
            .failed(2)
            .contains("more of this kind")
    );
}
