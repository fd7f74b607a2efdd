//! What a user is told.

use super::super::*;
use super::{bad, good, titles};

#[test]
fn regress_an_error_shows_file_line_and_caret() {
    assert_eq!(
        bad("[bank]\ncapacitanse = \"72 mF\"\n", &[]),
        "\
error: unknown key `capacitanse` in `[bank]`
 --> case.toml:2:1
  |
2 | capacitanse = \"72 mF\"
  | ^^^^^^^^^^^ did you mean `capacitance`?"
    );
    assert_eq!(
        bad("\u{feff}[bank]\r\nvoltage = 112\r\n", &[]),
        "\
error: `bank.voltage`: `112` has no unit; expected a voltage such as \"112 V\"
 --> case.toml:2:11
  |
2 | voltage = 112
  |           ^^^ write `voltage = \"112 V\"`"
    );
    assert_eq!(
        bad("[bank]\nspring_rate = \"3 N/mm\"\n", &[]),
        "\
error: unknown key `spring_rate` in `[bank]`
 --> case.toml:2:1
  |
2 | spring_rate = \"3 N/mm\"
  | ^^^^^^^^^^^ belongs elsewhere
  |
  = help: there is `tool.spring_rate`"
    );
    assert_eq!(
        bad("", &["lead.length=12 mm2"]),
        "\
error: `lead.length`: `mm2` is a unit of area; expected a length such as \"5 m\"
 --> command line:1:19
  |
1 | --set lead.length=12 mm2
  |                   ^^^^^^"
    );
}

#[test]
fn regress_a_broken_rule_points_at_the_key_given() {
    let text = "[lead]\nturns = 10\n[arc]\nto_stud = 0.9\n";
    let told = bad(text, &[]);
    assert!(told.contains("case.toml:2:9"), "{told}");
    assert!(told.contains("case.toml:4:11"), "{told}");
    // An override is the likelier culprit.
    let told = bad("[lead]\nturns = 3\n", &["lead.coil_diameter=1 m"]);
    assert!(told.contains("--set lead.coil_diameter=1 m"), "{told}");
    assert!(!told.contains("case.toml"), "{told}");
}

/// Each text with the first line of what is told of it.
fn told_first(table: &[(&str, &str)]) {
    for (text, first) in table {
        assert_eq!(titles(text, &[])[0], *first, "{text}");
    }
}

#[test]
fn regress_every_wrong_section_is_told_in_its_own_words() {
    told_first(&[
        ("[bank\n", "this is not TOML: unclosed table, expected `]`"),
        (
            "[bank]\nesr = 2 mohm",
            "a text stands in quotes, and so does a quantity with its unit",
        ),
        ("[bank]\n[bank]", "this is not TOML: duplicate key"),
        (
            "bank.esr = \"1 mohm\"\nbank.esr = \"1 mohm\"",
            "this is not TOML: duplicate key",
        ),
        ("bank = 5", "`bank` is a section, not a number"),
        ("[[bank]]", "`bank` is a section, not a list"),
        (
            "[earth]\nlength = \"5 m\"",
            "`earth` is a list of leads, not a table",
        ),
        ("earth = []", "0 earth leads; a case has 1 to 4"),
        (
            "earth = [{}, {}, {}, {}, {}]",
            "5 earth leads; a case has 1 to 4",
        ),
        (
            "earth = [\"5 m\"]",
            "`earth` is a list of leads, not a text",
        ),
        ("metal = 3", "`metal` is a section, not a number"),
        (
            "[metal]\ncopper = 3",
            "`metal.copper` holds the figures of a metal, not a number",
        ),
        ("[banks]", "unknown section `[banks]`"),
    ]);
}

#[test]
fn regress_every_wrong_number_is_told_in_its_own_words() {
    told_first(&[
        (
            "[bank.esr]\nx = 1",
            "`bank.esr` cannot be a table; expected a resistance such as \"2 mohm\"",
        ),
        ("bank.ers = \"1 mohm\"", "unknown key `ers` in `[bank]`"),
        (
            "[bank]\nesr = true",
            "`bank.esr` cannot be true or false; expected a resistance such as \"2 mohm\"",
        ),
        (
            "[bank]\nesr = 2024-01-01",
            "`bank.esr` cannot be a date or time; expected a resistance such as \"2 mohm\"",
        ),
        (
            "[bank]\nesr = nan",
            "`bank.esr` cannot be infinite or undefined; expected a resistance such as \"2 mohm\"",
        ),
        (
            "[arc]\nto_stud = inf",
            "`arc.to_stud` cannot be infinite or undefined; expected a bare number such as 0.38",
        ),
        (
            "[arc]\nto_stud = 1e400",
            "`arc.to_stud`: `1e400` is too large a number",
        ),
        (
            "[arc]\nto_stud = \"0.4\"",
            "`arc.to_stud` is a bare number, without quotes",
        ),
        (
            "[lead]\nturns = -1",
            "`lead.turns`: -1 is out of bounds; allowed is from 0 to 100",
        ),
        (
            "[lead]\nlength = \"1e400 m\"",
            "`lead.length`: `1e400 m` is too large a number",
        ),
    ]);
}

#[test]
fn regress_every_wrong_value_of_parts_is_told_in_its_own_words() {
    told_first(&[
        (
            "[[earth]]\nat = [\"5 mm\"]",
            "`earth.0.at`: expected two lengths, such as [\"-200 mm\", \"0 mm\"]; found 1",
        ),
        (
            "[[earth]]\nat = [\"5 mm\", 3]",
            "`earth.0.at`: `3` has no unit; expected a length such as \"5 m\"",
        ),
        ("[[earth]]\nat = { x = \"5 mm\" }", "`earth.0.at` needs `y`"),
        ("[joints]\ntool = {}", "`joints.tool` needs `resistance`"),
        (
            "[joints]\ntool = { resistance = 1 }",
            "`joints.tool.resistance`: `1` has no unit; expected a resistance such as \"2 mohm\"",
        ),
        (
            "[sheet]\ncentre_mark = { angle = \"90 deg\" }",
            "`sheet.centre_mark` needs `depth`",
        ),
        (
            "[sheet]\ncentre_mark = { depht = \"1 mm\" }",
            "unknown key `depht` in `[sheet.centre_mark]`",
        ),
        (
            "[stud]\nsize = \"own\"\nflange = \"8 mm\"",
            "a custom stud needs `pip_diameter` and `pip_length`",
        ),
        (
            "title = 5",
            "`title` cannot be a number; expected a text in quotes",
        ),
        ("title = \"a\\nb\"", "`title`: a title is one line of text"),
        (
            "[metal.\"\"]",
            "`metal.\"\"`: a metal's name has 1 to 60 characters, without quotes, backslashes or line breaks",
        ),
        (
            "[metal.copper]\nlike = 3",
            "`metal.\"copper\".like` cannot be a number; expected the name of a metal of the catalogue",
        ),
    ]);
}

#[test]
fn regress_every_wrong_override_is_told_in_its_own_words() {
    for (argument, first) in [
        (
            "foo",
            "`--set` takes KEY=VALUE, as in `--set lead.length=12m`",
        ),
        (
            "=5",
            "`--set` takes KEY=VALUE, as in `--set lead.length=12m`",
        ),
        ("", "`--set` takes KEY=VALUE, as in `--set lead.length=12m`"),
        (
            "lead.length=",
            "`lead.length`: `` is not a number with a unit; expected a length such as \"5 m\"",
        ),
        (
            "lead.length=5",
            "`lead.length`: `5` has no unit; expected a length such as \"5 m\"",
        ),
        ("lead=5", "unknown key `lead`"),
        (
            "earth.5.length=5m",
            "there is no earth lead 5; there are 2, numbers 0 to 1",
        ),
        (
            "earth.first.length=5m",
            "`first` is not the number of an earth lead; they count from 0, as in `earth.0.length`",
        ),
        (
            "joints.tool={r",
            "this is not TOML: unclosed inline table, expected `}`",
        ),
        (
            "arc.to_stud=much",
            "`arc.to_stud`: `much` is not a number; expected a bare number such as 0.38",
        ),
    ] {
        assert_eq!(titles("", &[argument]), [first], "{argument}");
    }
}

#[test]
fn regress_all_that_is_wrong_is_told_at_once() {
    let text = "[bank]\nesr = 2\nvoltage = \"2 kV\"\nx = 1\n[leed]\n";
    assert_eq!(titles(text, &["lead.lenth=3 m"]).len(), 5);
    let many: String = (0..50).map(|k| format!("k{k} = 1\n")).collect();
    assert!(bad(&many, &[]).ends_with("and 30 more of this kind"));
}

#[test]
fn forgotten_quotes_are_told_with_the_line_as_meant_and_hide_no_other_error() {
    let text =
        "[stud]\nmetal = mild steel\n[sheet]\nmetal = \"mild stel\n[bank]\nvoltag = \"112 V\"\n";
    let told = bad(text, &[]);
    for (place, word) in [
        ("case.toml:2:9", "write `metal = \"mild steel\"`"),
        ("case.toml:4:9", "write `metal = \"mild stel\"`"),
        ("case.toml:4:9", "did you mean `mild steel`?"),
        ("case.toml:6:1", "did you mean `voltage`?"),
    ] {
        assert!(
            told.contains(place) && told.contains(word),
            "{word}: {told}"
        );
    }
    assert_eq!(titles(text, &[]).len(), 4, "{told}");
    // A bare number is no text.
    let told = bad("[lead]\nturns = 3 x\n", &[]);
    assert!(!told.contains("stands in quotes"), "{told}");
}

#[test]
fn regress_what_is_no_case_file_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("case.toml");
    let told = |bytes: &[u8]| {
        std::fs::write(&file, bytes).unwrap();
        let told = read_file(&file, &[]).map(|_| ()).unwrap_err().to_string();
        told.rsplit("case.toml: ").next().unwrap().to_string()
    };
    assert_eq!(
        told(b"title = \"\xff\"\n"),
        "line 1 is not UTF-8 text; save the file as UTF-8"
    );
    assert_eq!(
        told(b"\xff\xfe[\0b\0"),
        "line 1 is not UTF-8 text; save the file as UTF-8"
    );
    assert_eq!(
        told(b"#\n\x7fELF\0\0"),
        "line 2 has a zero byte; this is not a text file"
    );
    assert_eq!(
        told(&vec![b'a'; 10_000_000]),
        "the file is too large for a case: 10000000 bytes, the limit is 1048576 bytes (1 MiB)"
    );
    let deep = format!("a = {}", "[".repeat(500_000));
    assert!(told(deep.as_bytes()).starts_with("error: this is not TOML: cannot recurse further"));
    let name = |path: &std::path::Path| read_file(path, &[]).unwrap_err().to_string();
    assert!(name(folder.path()).ends_with("this is a directory, not a case file"));
    assert!(
        name(&folder.path().join("none.toml"))
            .ends_with("cannot read the case file: there is no such file")
    );
    let endless = read_from("standard input", std::io::repeat(b'a'), &[]).unwrap_err();
    assert!(endless.to_string().contains("the file is endless"));
}

#[test]
fn regress_metals_are_whole_or_like_another() {
    let lone = titles("[metal.new]\ndensity = \"7000 kg/m3\"\n", &[]);
    assert!(
        lone[0].starts_with("metal \"new\" lacks `density_liquid`,"),
        "{lone:?}"
    );
    let case = good("[metal.\"mild steel\"]\nlike = \"copper\"\n", &[]).case;
    assert_eq!(
        (case.stud.metal.name.as_str(), case.stud.metal.density),
        ("mild steel", 8930.0)
    );
    assert_eq!(case.sheet.metal, case.stud.metal);
    assert_eq!(
        titles("", &["metal.new.density=7000 kg/m3"]),
        [
            "`metal.new.density`: unknown metal `new`; expected \"mild steel\", \"stainless 18/8\", \"aluminium Mg alloy\", \"brass 63/37\" or \"copper\""
        ]
    );
}
