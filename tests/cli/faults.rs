//! Wrong input: exit 2, nothing on standard output, and words that help.

use super::tool::Bench;
use arcplunge_core::case::{keys, read};

/// Holds every command that takes a case against one that is wrong; the complaint of `fire`.
#[track_caller]
fn refused(bench: &Bench, arguments: &[&str]) -> String {
    for command in [&["case", "check"][..], &["case", "show"]] {
        bench.run(&[command, arguments].concat()).failed(2);
    }
    let fire = ["fire", "--json", "result.json", "--csv", "result.csv"];
    let before = bench.names();
    let said = bench.run(&[&fire, arguments].concat()).failed(2);
    assert_eq!(bench.names(), before, "no result of a wrong case");
    said
}

/// Refuses a case file of this text.
#[track_caller]
fn refused_text(text: impl AsRef<[u8]>) -> String {
    refused(&Bench::new().with("weld.toml", text), &["weld.toml"])
}

/// Says all of this.
#[track_caller]
fn says(said: &str, words: &[&str]) {
    for word in words {
        assert!(said.contains(word), "`{word}` is missing in\n{said}");
    }
}

#[test]
fn a_missing_file_is_refused() {
    says(
        &refused(&Bench::new(), &["nowhere.toml"]),
        &["nowhere.toml", "no such file"],
    );
}

#[test]
fn a_folder_is_refused() {
    says(&refused(&Bench::new(), &["."]), &["directory"]);
}

#[test]
fn what_is_no_text_is_refused() {
    says(
        &refused_text([0x7f, b'E', b'L', b'F', 0, 1, 2]),
        &["weld.toml", "line 1"],
    );
    says(
        &refused_text(b"title = \"ok\"\nx = \"\xff\xfe\"\n"),
        &["UTF-8", "line 2"],
    );
    says(&refused_text(b"\xff\xfet\0i\0t\0l\0e\0"), &["UTF-8"]);
}

#[test]
fn ten_megabytes_are_refused() {
    says(
        &refused_text("# a comment\n".repeat(10 << 20 >> 3)),
        &["weld.toml"],
    );
    let bench = Bench::new();
    bench
        .run_with(&["fire", "-"], "x = 1\n".repeat(2 << 20))
        .failed(2);
}

#[cfg(target_os = "linux")]
#[test]
fn a_device_without_end_is_refused() {
    refused(&Bench::new(), &["/dev/zero"]);
}

#[test]
fn an_unknown_key_brings_line_caret_and_the_nearest_name() {
    let said = refused_text("[bank]\ncapacitance = \"72 mF\"\nvoltgae = \"112 V\"\n");
    says(
        &said,
        &[
            "weld.toml:3:1",
            "voltgae = \"112 V\"",
            "^^^^^^^",
            "did you mean `voltage`",
        ],
    );
    says(
        &refused_text("[bnk]\nvoltage = \"112 V\"\n"),
        &["bnk", "bank"],
    );
    says(&refused_text("voltage = \"112 V\"\n"), &["voltage", "bank"]);
}

#[test]
fn everyday_words_that_are_no_keys_say_what_to_write() {
    for (text, words) in [
        (
            "[tool]\nspring = \"80 N\"\n",
            &["tool.spring_force", "tool.spring_rate"][..],
        ),
        (
            "[bank]\nenergy = \"450 J\"\n",
            &["`bank.voltage`", "E = ½CU²"],
        ),
        (
            "[tool]\npolarity = \"negative\"\n",
            &["polarity is not modelled"],
        ),
        (
            "[sheet]\nmetal = \"galvanised\"\n",
            &["coatings are not modelled", "mild steel"],
        ),
    ] {
        says(&refused_text(text), words);
    }
    let bench = Bench::new();
    says(
        &refused(&bench, &["--set", "tool.spring=80 N"]),
        &["tool.spring_force"],
    );
    // A metal that is only unknown has no coating.
    let said = refused_text("[sheet]\nmetal = \"tungsten\"\n");
    assert!(!said.contains("coatings"), "{said}");
}

#[test]
fn what_the_shell_has_torn_is_put_together() {
    let bench = Bench::new();
    let whole = ["--set 'stud.metal=mild steel'"];
    says(
        &refused(&bench, &["--set", "stud.metal=mild", "steel"]),
        &whole,
    );
    let bench = Bench::new().with("a.toml", "");
    says(
        &refused(&bench, &["a.toml", "--set", "stud.metal=mild", "steel"]),
        &whole,
    );
}

#[test]
fn a_slip_in_the_unit_is_noted_and_the_case_fired_all_the_same() {
    let run = Bench::new().run(&["fire", "--no-band", "--set", "bank.capacitance=72uF"]);
    assert!(run.err.contains("did you mean `72 mF`?"), "{}", run.err);
    assert!(run.out.contains("cold"), "{}", run.out);
}

#[test]
fn an_unknown_option_brings_no_tip_that_leads_astray() {
    let said = Bench::new().run(&["fire", "--volts", "3"]).failed(2);
    says(&said, &["--volts", "Usage"]);
    assert!(!said.contains("as a value"), "{said}");
    // Tips that lead somewhere stay.
    let said = Bench::new().run(&["fire", "--repot", "a.html"]).failed(2);
    says(&said, &["--report"]);
}

#[test]
fn numbers_need_their_unit_and_the_right_one() {
    says(
        &refused_text("[lead]\nlength = 5\n"),
        &["weld.toml:2:10", "length = \"5 m\""],
    );
    says(
        &refused_text("[lead]\nlength = \"5\"\n"),
        &["no unit", "length"],
    );
    says(
        &refused_text("[lead]\nlength = \"5 V\"\n"),
        &["voltage", "length"],
    );
    says(
        &refused_text("[lead]\nlength = \"5 metros\"\n"),
        &["metros"],
    );
    says(&refused_text("[lead]\nlength = \"5,5 m\"\n"), &["comma"]);
    says(&refused_text("[lead]\nturns = \"5 m\"\n"), &["turns"]);
    says(&refused_text("[lead]\nlength = \"\"\n"), &["length"]);
}

#[test]
fn numbers_that_are_none_are_refused() {
    for number in [
        "nan",
        "inf",
        "-inf",
        "+nan",
        "1e400",
        "\"nan V\"",
        "\"inf V\"",
        "\"1e400 V\"",
        "\"-5 V\"",
        "\"0 V\"",
        "\"1e-320 V\"",
        "\"0x10 V\"",
        "\"1__0 V\"",
        "true",
        "[]",
        "{}",
        "1979-05-27",
    ] {
        let said = refused_text(format!("[bank]\nvoltage = {number}\n"));
        if number == "\"1e-320 V\"" {
            continue;
        }
        says(&said, &["weld.toml:2", "voltage"]);
    }
    says(
        &refused_text("[tool]\nfriction = \"-1 N\"\n"),
        &["friction", "0 N"],
    );
}

#[test]
fn several_errors_come_at_once() {
    let said = refused_text(
        "[bank]\nvoltage = 112\nesr = \"2 V\"\n[lead]\nlenth = \"5 m\"\n[arc]\nto_stud = 0.7\n",
    );
    says(
        &said,
        &["weld.toml:2", "weld.toml:3", "weld.toml:5", "lenth"],
    );
    assert_eq!(said.matches("error: ").count(), 3, "{said}");
    let many: String = (0..100).map(|n| format!("x{n} = 1\n")).collect();
    says(&refused_text(many), &["more"]);
}

#[test]
fn rules_between_keys_are_kept() {
    says(
        &refused_text("[arc]\nto_stud = 0.7\n"),
        &["more than all of it"],
    );
    says(&refused_text("[lead]\nturns = 50\n"), &["coil"]);
    says(&refused_text("earth = []\n"), &["earth"]);
    says(&refused_text("[[earth]]\n".repeat(5)), &["1 to 4"]);
}

#[test]
fn broken_toml_is_refused() {
    for text in [
        "[bank",
        "a = ",
        "a = \"",
        "= 1",
        "[bank]\nvoltage = \"1 V\"\nvoltage = \"2 V\"\n",
        "[[bank]]\n",
        "bank = 5\n",
        "\u{0}",
    ] {
        refused_text(text);
    }
    let deep = format!("title = {}1{}", "[".repeat(20_000), "]".repeat(20_000));
    refused_text(deep);
}

#[test]
fn overrides_are_held_to_the_same_rules() {
    let bench = Bench::new();
    for (set, words) in [
        ("lead.length", &["KEY=VALUE"][..]),
        ("=5 m", &["KEY=VALUE"]),
        ("lead.lenght=5m", &["lenght", "length"]),
        ("lead.length=", &["length"]),
        ("lead.length=5", &["unit"]),
        ("lead.length=5V", &["voltage"]),
        ("lead.length=nan m", &["nan"]),
        ("lead.length=-5m", &["bounds"]),
        ("lead.length=1e400m", &["too large"]),
        ("earth.7.length=5m", &["earth"]),
        ("earth.x.length=5m", &["earth"]),
        ("stud.size=M7", &["M7", "M6"]),
        ("stud.metal=unobtainium", &["mild steel"]),
        ("tool.method=magic", &["contact", "gap"]),
        ("joints.tool=tihgt", &["tight"]),
        ("sheet.centre_mark={ depth = }", &["command line"]),
        ("\u{1F600}=\u{1F600}", &["command line"]),
    ] {
        says(&refused(&bench, &["--set", set]), words);
    }
    let said = refused(
        &bench,
        &["--set", "lead.length=5", "--set", "lead.section=5"],
    );
    assert_eq!(said.matches("error: ").count(), 2, "{said}");
    let bench = bench.with("weld.toml", "[bank]\nvoltage = 5\n");
    let said = refused(&bench, &["weld.toml", "--set", "lead.length=5"]);
    says(&said, &["weld.toml:2", "command line"]);
}

#[test]
fn the_last_override_wins() {
    let bench = Bench::new().with("weld.toml", "[bank]\nvoltage = \"90 V\"\n");
    let sets = [
        "--set",
        "bank.voltage=100V",
        "--set",
        "bank.voltage = 0.11 kV",
    ];
    let text = bench
        .run(&[&["case", "show", "weld.toml"], &sets[..]].concat())
        .done();
    assert!(
        text.contains("voltage = \"110 V\"") || text.contains("voltage = \"0.11 kV\""),
        "{text}"
    );
}

#[test]
fn a_wrong_command_line_is_refused() {
    let bench = Bench::new();
    for arguments in [
        &[][..],
        &["bogus"],
        &["fire", "a.toml", "b.toml"],
        &["fire", "--bogus"],
        &["fire", "--set"],
        &["fire", "--json"],
        &["case"],
        &["case", "bogus"],
        &["catalogue", "bogus"],
        &["fire", "--interval", "0 us"],
        &["fire", "--interval", "-1 us"],
        &["fire", "--interval", "nan us"],
        &["fire", "--interval", "1"],
        &["fire", "--interval", "2 V"],
        &["fire", "--interval", "2 s"],
        &["fire", "--interval", ""],
        &["fire", "--json", ""],
        &["fire", "--interval", "0.5 ns"],
        &["fire", "--csv", "a.csv", "--interval", "1 ns"],
        &["fire", "--csv", "-", "--json", "-"],
        &["fire", "--csv", "same", "--json", "same"],
        &["fire", "--csv", "same", "--json", "./same"],
    ] {
        bench.run(arguments).failed(2);
    }
    assert!(bench.names().is_empty());
}

const RUBBISH: [&str; 7] = ["", "rubbish \u{2603}", "nan", "inf", "-1e400 m", "{", "[["];

#[test]
fn every_key_refuses_what_is_no_value_of_it() {
    let bench = Bench::new();
    assert!(keys::all().count() > 50);
    for (n, key) in keys::all().filter(|key| key.path != "title").enumerate() {
        let path = key.path.replace('N', "0");
        for value in RUBBISH {
            let set = format!("{path}={value}");
            let refused = read::demonstration(std::slice::from_ref(&set));
            assert!(
                refused.is_err_and(|why| !why.render(false).is_empty()),
                "{set}"
            );
        }
        // The program is asked for one of them each.
        let set = format!("{path}={}", RUBBISH[n % RUBBISH.len()]);
        let line = ["fire", "--json", "result.json", "--set", set.as_str()];
        says(&bench.run(&line).failed(2), &["error"]);
        assert!(bench.names().is_empty(), "{set}");
    }
}
