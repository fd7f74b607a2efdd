//! `compare`: a base and variations, in words, JSON, CSV, drawings and reports.

use serde_json::Value;

use super::tool::{Bench, flat};

const TWO: [&str; 5] = [
    "compare",
    "--fault",
    "loose-tool-terminal",
    "--fault",
    "centre-mark-deep",
];

fn json(bench: &Bench, arguments: &[&str]) -> Value {
    let text = bench.run(&[arguments, &["--json", "-"]].concat()).done();
    serde_json::from_str(&text).expect("one JSON object")
}

#[test]
fn practice_the_page_names_the_joint_its_joules_and_the_remedy() {
    let page = Bench::new().run(&TWO).done();
    let flowing = flat(&page);
    for words in [
        "loose-tool-terminal: cold",
        "joints.tool: tight to loose",
        "The tool terminal turned 92.1 J into heat, 20 % of the bank",
        "the current forced it apart at 0.208 ms",
        "Arc energy fell 16 %",
        "tighten it. Without the fault the weld is sound, fill 1.41 instead of 0.973, arc energy 126 J instead of 105 J.",
        "reserve 41 % → none, 2.7 % short",
        "The mark swallows 425 µm of the pip's 800 µm",
        "a bank can kill",
    ] {
        assert!(flowing.contains(words), "`{words}` is missing in\n{page}");
    }
    let at = |words: &str| page.find(words).expect("it is there");
    let order = [
        "Cause",
        "   figures",
        "where the joules moved",
        "Before you weld",
    ];
    assert!(order.windows(2).all(|w| at(w[0]) < at(w[1])), "{page}");
}

#[test]
fn practice_every_fault_has_a_cause_and_a_remedy_with_numbers_of_the_run() {
    let list = Bench::new().run(&["catalogue", "faults"]).done();
    let names = list.lines().filter_map(|l| l.strip_prefix("  "));
    let names: Vec<&str> = names
        .filter(|l| !l.starts_with(' ') && !l.contains(' '))
        .collect();
    assert!(names.len() >= 21, "{names:?}");
    let bench = Bench::new();
    let all = json(&bench, &["compare", "--fault", &names.join(",")]);
    let variations = all["variations"].as_array().unwrap();
    assert_eq!(variations.len(), names.len());
    for v in variations {
        let name = &v["name"];
        let why = v["why"].as_str().unwrap();
        assert!(why.contains(|c: char| c.is_ascii_digit()), "{name}: {why}");
        // Where the arc's energy moves by more than three hundredths, the remedy says what comes back.
        let moved = v["relative_changes"]["arc_energy_J"].as_f64().unwrap();
        let remedy = v["remedy"].as_array().unwrap();
        let says = remedy
            .iter()
            .any(|r| r.as_str().unwrap().contains("arc energy 126 J instead"));
        assert_eq!(says, moved.abs() >= 0.03, "{name}: {moved} {remedy:?}");
        assert!(!v["changes"].as_array().unwrap().is_empty(), "{name}");
    }
    // Any number of them still fits the terminal.
    let page = bench.run(&["compare", "--fault", &names.join(",")]).done();
    assert!(page.lines().all(|l| l.chars().count() <= 80));
}

#[test]
fn a_remedy_that_was_not_fired_has_no_figures() {
    let bench = Bench::new();
    let page = flat(
        &bench
            .run(&["compare", "--fault", "wrong-metal-setting"])
            .done(),
    );
    assert!(page.contains(
        "Set voltage, spring and method for this metal, and confirm them with test welds. Without the fault the weld is sound, \
         fill 1.41 instead of 4.72, arc energy 126 J instead of 99.9 J."
    ));
    let both = ["compare", "--fault", "weak-spring+tired-bank"];
    let page = flat(&bench.run(&both).done());
    assert!(
        page.contains("Without the faults the weld is sound"),
        "{page}"
    );
}

#[test]
fn a_sheet_that_is_too_thin_is_told_as_fire_tells_it() {
    let bench = Bench::new();
    let fault = ["--fault", "sheet-too-thin"];
    let word = "sound, but the sheet is too thin";
    let why = "The sheet is thinner than the 500 µm that such a stud should have.";
    let fired = flat(&bench.run(&[&["fire"], &fault[..]].concat()).done());
    let page = flat(&bench.run(&[&["compare"], &fault[..]].concat()).done());
    for text in [&fired, &page] {
        assert!(text.contains(word) && text.contains(why), "{text}");
    }
    assert!(page.contains("Without the fault the weld is sound, fill 1.41 instead of 1.38."));
    let many = bench.run(&[
        "compare",
        "--fault",
        "sheet-too-thin,weak-spring,short-pip,fat-pip",
    ]);
    let many = many.done();
    assert!(many.lines().any(|l| l == format!("  {word}")), "{many}");
    let changed = flat(
        &bench
            .run(&["compare", "--variant", "sheet.thickness=0.375mm"])
            .done(),
    );
    assert!(
        changed
            .contains("Undo the change (sheet.thickness: back to 1.5 mm): the weld is sound again")
    );
    let base = flat(&bench.run(&["compare", "--fault", "short-pip"]).done());
    assert!(!base.contains("too thin"), "{base}");
    let json = json(&bench, &[&["compare"], &fault[..]].concat());
    assert_eq!(
        json["variations"][0]["remarks"].as_array().unwrap().len(),
        1
    );
    assert_eq!(json["base"]["remarks"].as_array().unwrap().len(), 0);
}

#[test]
fn causes_stand_in_the_order_of_their_joules() {
    let bench = Bench::new();
    let cause = |more: &[&str]| {
        let found = json(&bench, &[&["compare"], more].concat());
        found["variations"][0]["why"].as_str().unwrap().to_string()
    };
    // Joints that took a fifth of a per cent of a bank a dozen times as large are no cause of anything.
    let high = cause(&["--variant", "bank.voltage=400V"]);
    assert!(
        high.starts_with("The bank held 5.76 kJ instead of 452 J"),
        "{high}"
    );
    assert!(!high.contains("terminal"), "{high}");
    let both = cause(&["--variant", "joints.tool=loose,bank.voltage=108V"]);
    let at = |words: &str| {
        both.find(words)
            .unwrap_or_else(|| panic!("no {words}: {both}"))
    };
    assert!(at("The tool terminal turned") < at("The bank held"));
    // Joints alike are told together.
    let alike = cause(&["--variant", "joints.bank=arcing,joints.tool=arcing"]);
    assert!(
        alike.contains("The bank terminal and tool terminal each turned"),
        "{alike}"
    );
}

#[test]
fn a_borderline_weld_is_called_so_as_fire_calls_it() {
    let bench = Bench::new();
    let fault = ["--fault", "loose-tool-terminal"];
    let both = json(&bench, &[&["compare"][..], &fault].concat());
    assert_eq!(both["base"]["borderline"], false);
    let v = &both["variations"][0];
    let alone = json(&bench, &[&["fire"][..], &fault].concat());
    assert_eq!(v["borderline"], true);
    assert_eq!(v["band"], alone["band"]);
    assert_eq!(v["reserve"], "reserve 41 % → none, 2.7 % short");
    let counts = v["band"]["verdicts"].as_array().unwrap();
    let words: Vec<String> = counts
        .iter()
        .map(|c| format!("{} {}", c[1], c[0].as_str().unwrap()))
        .collect();
    let line = format!(
        "loose-tool-terminal: cold, borderline: {} of {}",
        words.join(", "),
        v["band"]["shots"]
    );
    let page = bench.run(&[&["compare"][..], &fault].concat()).done();
    assert!(page.contains(&line), "`{line}` is missing in\n{page}");
    assert!(page.contains("base: sound\n"), "{page}");
    let csv = bench
        .run(&[&["compare", "--csv", "-"][..], &fault].concat())
        .done();
    let last = |n: usize| csv.lines().nth(n).unwrap().rsplit(',').next();
    assert_eq!(
        [last(0), last(1), last(2)],
        [Some("borderline"), Some("false"), Some("true")]
    );
}

#[test]
fn an_arc_blown_aside_is_computed_and_said() {
    let bench = Bench::new();
    let of = |name: &str| {
        let all = json(&bench, &["compare", "--fault", name]);
        all["variations"][0]["why"].as_str().unwrap().to_string()
    };
    let set = ["earths", "--set", "earth.0.clamp=loose"];
    let blow = json(&bench, &set);
    let drift = blow["drift_m"].as_f64().unwrap() * 1e6;
    let why = of("loose-clamp");
    assert!(why.contains(blow["reason"].as_str().unwrap()), "{why}");
    assert!(
        drift > 0.5 && why.contains(&format!("{drift:.2} µm")),
        "{drift} {why}"
    );
    assert!(of("one-earth-lead-off").contains("Base: drift none"));
    // The control: what changes no earth and leaves the rim even says nothing of it.
    assert!(!of("weak-spring").contains("arc blow"));
}

#[test]
fn a_changed_key_is_undone_and_its_balance_is_a_cause() {
    let bench = Bench::new();
    let of = |with: &str| {
        let all = json(&bench, &["compare", "--variant", with]);
        let v = &all["variations"][0];
        let why = v["why"].as_str().unwrap().to_string();
        (why, v["remedy"].as_array().unwrap().clone())
    };
    let (why, remedy) = of("lead.length=25m");
    assert!(why.contains("The space under the cone needs"), "{why}");
    let first = remedy[0].as_str().unwrap();
    assert!(
        first.starts_with(
            "Undo the change (lead.length: back to 5 m): the weld is sound again, fill 1.41"
        ),
        "{first}"
    );
    assert!(
        !remedy
            .iter()
            .any(|r| r.as_str().unwrap().contains("The space"))
    );
    // What mends nothing needs no remedy.
    assert!(of("bank.voltage=113V").1.is_empty());
}

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
        "loose-tool-terminal: cold",
        "centre-mark-deep: cold",
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
fn published_a_joint_melts_at_holms_voltage_and_not_before() {
    // R. Holm, Electric Contacts: a copper contact melts at 0.43 V. 0.2 mohm get there at 2150 A.
    let bench = Bench::new();
    let shot = json(
        &bench,
        &[
            "fire",
            "--no-band",
            "--set",
            "joints.tool=0.2mohm",
            "--csv",
            "c.csv",
            "--interval",
            "1us",
        ],
    );
    let joint = shot["joints"]
        .as_array()
        .unwrap()
        .iter()
        .find(|j| j["key"] == "joints.tool");
    let from = joint.unwrap()["melts_from_s"].as_f64().expect("it melts");
    let text = bench.read("c.csv");
    let rows: Vec<Vec<f64>> = text
        .lines()
        .skip(1)
        .map(|l| l.split(',').map(|c| c.parse().unwrap_or(0.0)).collect())
        .collect();
    let first = rows.iter().find(|r| r[3] * 0.2e-3 >= 0.43).unwrap()[0];
    // Rows are a microsecond apart.
    assert!(first - from < 1e-6 && first >= from, "{first} {from}");
    let cool = shot["joints"]
        .as_array()
        .unwrap()
        .iter()
        .find(|j| j["key"] == "joints.bank");
    assert!(cool.unwrap()["melts_from_s"].is_null());
}

#[test]
fn a_fault_that_makes_a_hot_weld_sound_is_not_told_as_one_that_spoils_it() {
    let set = [
        "compare",
        "--set",
        "bank.voltage=160V",
        "--fault",
        "long-leads",
    ];
    let said = flat(&Bench::new().run(&set).done());
    assert!(
        said.contains("base: hot") && said.contains("long-leads: sound"),
        "{said}"
    );
    assert!(
        said.contains("Seen Where it goes further than here:"),
        "{said}"
    );
    assert!(
        said.contains("the fault makes up for what is wrong without it"),
        "{said}"
    );
    let spoilt = flat(
        &Bench::new()
            .run(&["compare", "--fault", "long-leads"])
            .done(),
    );
    assert!(!spoilt.contains("makes up for"), "{spoilt}");
}
