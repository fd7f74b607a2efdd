//! `compare`: JSON, CSV, drawings and the report, and input that is wrong.

use serde_json::Value;

use super::{TWO, json};
use crate::tool::Bench;

#[test]
fn conserves_the_ledger_changes_of_the_json_sum_to_the_bank() {
    let bench = Bench::new();
    let all = json(
        &bench,
        &["compare", "--fault", "tired-bank,one-earth-lead-off"],
    );
    let stored = |weld: &Value| weld["figures"]["stored_energy_J"].as_f64().unwrap();
    let variations = all["variations"].as_array().unwrap();
    assert_eq!(variations.len(), 2);
    for v in variations {
        let changes = v["ledger_change_J"].as_object().unwrap();
        assert!(changes.len() > 10, "{changes:?}");
        let sum: f64 = changes.values().map(|j| j.as_f64().unwrap()).sum();
        // Each ledger closes to a millionth of 452 J.
        assert!(
            (sum - (stored(v) - stored(&all["base"]))).abs() < 1e-3,
            "{sum}"
        );
    }
}

#[test]
fn variations_are_the_cases_fire_would_fire() {
    let bench = Bench::new();
    let sets = "lead.length=12m,earth.0.at=[\"90 mm\", \"10 mm\"]";
    let all = json(
        &bench,
        &[
            "compare",
            "--fault",
            "loose-clamp+weak-spring",
            "--variant",
            sets,
        ],
    );
    let fired = |arguments: &[&str]| json(&bench, &[&["fire", "--no-band"], arguments].concat());
    let faulty = fired(&["--fault", "loose-clamp,weak-spring"]);
    assert_eq!(all["variations"][0]["figures"], faulty["figures"]);
    let long = fired(&[
        "--set",
        "lead.length=12m",
        "--set",
        "earth.0.at=[\"90 mm\", \"10 mm\"]",
    ]);
    assert_eq!(all["variations"][1]["figures"], long["figures"]);
    assert_eq!(all["base"]["figures"], fired(&[])["figures"]);
}

#[test]
fn csv_has_a_row_for_the_base_and_each_variation() {
    let arguments = [&TWO[..], &["--variant", "bank.voltage=1V", "--csv", "-"]].concat();
    let text = Bench::new().run(&arguments).done();
    let rows: Vec<Vec<&str>> = text.lines().map(|l| l.split(',').collect()).collect();
    assert_eq!(rows.len(), 5);
    assert!(rows.iter().all(|r| r.len() == rows[0].len()));
    assert_eq!(
        &rows[0][..4],
        ["name", "verdict", "cause", "stored_energy_J"]
    );
    assert_eq!(&rows[1][..4], ["base", "sound", "filled", "451.584"]);
    let peak = rows[0].iter().position(|h| *h == "peak_current_A").unwrap();
    assert_eq!(rows[4][peak], "", "no current is no zero");
}

#[test]
fn standard_input_serves_base_and_variations() {
    let bench = Bench::new();
    let arguments = [
        "compare",
        "-",
        "--variant",
        "lead.length=12m",
        "--json",
        "-",
    ];
    let text = bench
        .run_with(&arguments, "title = \"piped\"\nlead.spacing = \"0.2 m\"\n")
        .done();
    let all: Value = serde_json::from_str(&text).unwrap();
    for weld in [&all["base"], &all["variations"][0]] {
        assert_eq!(weld["case"]["lead"]["spacing"], 0.2);
    }
}

#[test]
fn what_is_wrong_is_said_and_nothing_is_written() {
    let bench = Bench::new();
    let cases: [(&[&str], &str); 12] = [
        (&[], "nothing to compare with the base"),
        (&["--fault", "loose-clmap"], "did you mean `loose-clamp`?"),
        (&["--fault", "loose-clamp+"], "unknown fault ``"),
        (&["--fault", "nonsense"], "catalogue faults"),
        (&["--fault", "loose-clamp+loose-clamp"], "changes nothing"),
        (
            &[
                "--set",
                "sheet.thickness=0.5mm",
                "--fault",
                "centre-mark-deep",
            ],
            "a centre mark of 0.8 mm goes through a sheet of 0.5 mm",
        ),
        (
            &["--set", "earth.1=none", "--fault", "one-earth-lead-off"],
            "only one",
        ),
        (
            &["--variant", "lead.lenght=12m"],
            "--variant lead.lenght=12m",
        ),
        (&["--variant", "lead.length=5m"], "changes nothing"),
        (
            &["--variant", "lead.length"],
            "`--variant` takes KEY=VALUE, as in `--variant lead.length=12m`",
        ),
        (
            &["--set", "joints.tool=lose", "--fault", "loose-clamp"],
            "--set joints.tool=lose",
        ),
        (
            &["--fault", "loose-clamp", "--plot", "a.pdf"],
            "must end in .svg or .png",
        ),
    ];
    for (arguments, words) in cases {
        let out = ["--json", "result.json", "--report", "result.html"];
        let said = bench
            .run(&[&["compare"], arguments, &out].concat())
            .failed(2);
        assert!(said.contains(words), "`{words}` is missing in\n{said}");
        assert!(bench.names().is_empty(), "no result of a wrong command");
    }
    let all = ["a.svg"; 1];
    let many = "loose-clamp,worn-chuck,long-leads,thin-leads,tired-bank,weak-spring,fat-pip";
    let said = bench
        .run(&["compare", "--fault", many, "--plot", all[0]])
        .failed(2);
    assert!(
        said.contains("7 variations") && said.contains("at most 6"),
        "{said}"
    );
    let twice = ["compare", "--fault", "fat-pip", "--csv", "-", "--json", "-"];
    let said = bench.run(&twice).failed(2);
    assert!(said.contains("cannot both go to standard output"), "{said}");
}

#[test]
fn drawings_show_base_and_variations_and_are_whole() {
    let bench = Bench::new();
    bench.run(&[&TWO[..], &["--plot", "a.svg"]].concat()).done();
    let svg = bench.read("a.svg");
    let tree = roxmltree::Document::parse(&svg).expect("well-formed");
    let words: Vec<&str> = tree.descendants().filter_map(|n| n.text()).collect();
    for name in [
        "base: sound",
        "loose-tool-terminal: cold, but sound in 92 of 128",
        "centre-mark-deep: cold, borderline",
        "where the joules went",
        "arc to stud",
    ] {
        assert!(
            words.iter().any(|w| w.trim() == name),
            "{name} is not drawn"
        );
    }
    // No meaning on colour alone: the second variation is dashed.
    assert!(svg.contains("stroke-dasharray"));
}

/// What no report may hold: anything to run or to fetch.
#[track_caller]
fn harmless(html: &str) {
    let lower = html.to_lowercase();
    for word in [
        "<script", "<link", "<iframe", "<img", "@import", "url(", " src=", " onload",
    ] {
        assert!(!lower.contains(word), "{word} in a report");
    }
    // The name of SVG's own vocabulary is no address that is fetched.
    let rest = lower.replace("http://www.w3.org/2000/svg", "");
    assert!(
        !rest.contains("http:") && !rest.contains("https:"),
        "an address in a report"
    );
}

#[test]
fn reports_hold_everything_and_escape_what_the_user_wrote() {
    let title = "title=<script>alert(1)</script> & \"more\"";
    let bench = Bench::new();
    let fire = [
        "fire",
        "--set",
        title,
        "--fault",
        "loose-clamp",
        "--report",
        "f.html",
    ];
    bench.run(&fire).done();
    let contrast = ["--set", title, "--report", "c.html"];
    bench.run(&[&TWO[..], &contrast].concat()).done();
    for name in ["f.html", "c.html"] {
        let html = bench.read(name);
        harmless(&html);
        assert!(
            html.contains("&lt;script&gt;alert(1)"),
            "{name}: the title is shown"
        );
        for words in [
            "<svg",
            "@page",
            "lead.<wbr>spacing",
            "as in the demonstration case",
            "Stored charge",
            "112 V",
        ] {
            assert!(html.contains(words), "{words} is missing in {name}");
        }
        let ids = html.match_indices(" id=\"").count();
        let mut own: Vec<&str> = html.split(" id=\"").skip(1).collect();
        own.iter_mut()
            .for_each(|t| *t = t.split('"').next().unwrap());
        own.sort_unstable();
        own.dedup();
        assert_eq!(own.len(), ids, "{name}: a mark comes twice");
    }
    assert!(bench.read("c.html").contains("joints.tool: tight to loose"));
    let fire = bench.read("f.html");
    for words in [
        "an earth clamp sits loosely",
        "Test welds decide",
        "signature",
        "set by a fault",
        "Fill 1: the melt just fills",
        "Gun lead 5 m of 35 mm²",
    ] {
        let words = words.replace("35 mm²", "35\u{a0}mm²");
        assert!(fire.contains(&words), "{words} is missing in f.html");
    }
    // What one takes to the bench comes first; the keys that were changed before the folded rest.
    let at = |words: &str| fire.find(words).expect("it is there");
    let order = [
        "<div class=\"first\">",
        "<svg",
        "Test welds decide",
        "Before you weld",
        "Where the joules went",
        "<th scope=\"row\">earth.<wbr>0.<wbr>clamp",
        "<details>",
        "<li>lead.<wbr>spacing",
    ];
    assert!(order.windows(2).all(|w| at(w[0]) < at(w[1])), "{fire}");
    let bolted = [
        "fire",
        "--set",
        "stud.short_resistance=1mohm",
        "--report",
        "-",
    ];
    assert!(!bench.run(&bolted).done().contains("Test welds decide"));
    // To standard output the page of the terminal makes way.
    let page = bench.run(&["fire", "--no-band", "--report", "-"]).done();
    assert!(page.starts_with("<!DOCTYPE html>") && page.trim_end().ends_with("</html>"));
}

#[test]
fn another_metal_is_told_by_what_of_it_acts() {
    let bench = Bench::new();
    let said = |variant: &str| {
        let all = json(&bench, &["compare", "--variant", variant]);
        all["variations"][0]["why"].as_str().unwrap().to_string()
    };
    let conducts = said("metal.\"mild steel\".conductivity_solid=30W/mK");
    let words = "The sheet's mild steel conducts heat at 30 W/(m·K) instead of 33.";
    assert!(conducts.contains(words), "{conducts}");
    // Copper melts at less, which makes no weld cold; what draws the heat off does.
    let copper = said("sheet.metal=copper");
    let words =
        "The sheet is of copper, not mild steel: it conducts heat at 360 W/(m·K) instead of 33.";
    assert!(copper.contains(words), "{copper}");
    let other = said("metal.\"mild steel\".hardness=1500MPa");
    assert!(!other.contains("melts at"), "{other}");
}

#[test]
fn a_legend_calls_a_borderline_weld_so() {
    let bench = Bench::new();
    let near = ["--variant", "bank.voltage=102V", "--plot", "a.svg"];
    bench.run(&[&["compare"], &near[..]].concat()).done();
    assert!(
        bench
            .read("a.svg")
            .contains("bank.voltage=102V: sound, borderline")
    );
    let fire = ["fire", "--set", "bank.voltage=102V", "--plot", "b.svg"];
    bench.run(&fire).done();
    assert!(bench.read("b.svg").contains("sound, borderline · Melt"));
}
