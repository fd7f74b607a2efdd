//! `compare`: a base and variations, in words, JSON, CSV, drawings and reports.

mod output;

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
    let words = |v: &Value| {
        let counts = v["band"]["verdicts"].as_array().unwrap();
        let words = counts
            .iter()
            .map(|c| format!("{} {}", c[1], c[0].as_str().unwrap()));
        words.collect::<Vec<String>>()
    };
    // Most shots of the band are sound: that is said in the heading, by both.
    let sound = words(v).pop().unwrap();
    let count = sound.strip_suffix(" sound").unwrap();
    let line = format!("cold, but sound in {count} of {}", v["band"]["shots"]);
    let page = bench.run(&[&["compare"][..], &fault].concat()).done();
    assert!(
        page.contains(&format!("loose-tool-terminal: {line}\n")),
        "`{line}`:\n{page}"
    );
    let alone = bench.run(&[&["fire"][..], &fault].concat()).done();
    assert!(alone.contains(&format!("\n{line}\n")), "`{line}`:\n{alone}");
    let deep = ["--fault", "centre-mark-deep"];
    let marked = json(&bench, &[&["compare"][..], &deep].concat());
    let v = &marked["variations"][0];
    let line = format!(
        "centre-mark-deep: cold, borderline: {} of {}",
        words(v).join(", "),
        v["band"]["shots"]
    );
    let marked = bench.run(&[&["compare"][..], &deep].concat()).done();
    assert!(marked.contains(&line), "`{line}` is missing in\n{marked}");
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
