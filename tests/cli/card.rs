//! The set-up card: what terminal, JSON, CSV and report say of it, and what is refused.

use serde_json::Value;

use super::tool::{Bench, flat};

fn json(more: &[&str]) -> Value {
    let text = Bench::new()
        .run(&[&["card", "--json", "-"], more].concat())
        .done();
    serde_json::from_str(&text).expect("JSON")
}

#[test]
fn the_json_holds_what_the_card_tells() {
    let card = json(&["--mark-depth", "0.5mm"]);
    assert_eq!(card["verdict"], "sound");
    assert_eq!(card["joints"].as_array().unwrap().len(), 7);
    assert_eq!(card["mark"]["depth_m"], 0.5e-3);
    let number = |v: &Value| v.as_f64().unwrap_or_else(|| panic!("{v}"));
    let reserve = number(&card["reserve"]);
    for joint in card["joints"].as_array().unwrap() {
        assert!(number(&joint["takes_J"]) > 0.0, "{joint}");
        assert!(number(&joint["reserve"]) < reserve, "{joint}");
    }
    // The torque is that of the force by the screw's equation, evaluated apart.
    let s = &card["test"]["screw"];
    let [p, d2, d, mu] = [
        "pitch_m",
        "pitch_diameter_m",
        "friction_diameter_m",
        "friction",
    ]
    .map(|k| number(&s[k]));
    let torque = number(&s["force_N"]) * (0.159 * p + 0.577 * d2 * mu + 0.5 * d * mu);
    assert!((number(&s["torque_Nm"]) / torque - 1.0).abs() < 1e-12);
    let least = number(&s["breaks_at_N"]);
    assert!(number(&s["force_N"]) <= number(&s["share"]) * least + 1e-9);
}

#[test]
fn the_case_keeps_its_setting_where_that_is_asked_for() {
    let card = json(&["--as-set"]);
    assert_eq!(card["setting"], Value::Null);
    assert_eq!(card["case"]["bank"]["voltage"], 112.0);
}

#[test]
fn the_csv_has_a_row_for_each_shot() {
    let text = Bench::new().run(&["card", "--as-set", "--csv", "-"]).done();
    let count = |kind: &str| text.lines().filter(|l| l.starts_with(kind)).count();
    assert_eq!(count("loose,"), 7);
    assert_eq!(count("tilt,"), 3);
    assert_eq!(count("mark,"), 2);
    assert!(count("fault,") > 15 && count("look,") >= 3);
}

#[test]
fn bad_input_is_refused_with_what_was_expected() {
    for (arguments, words) in [
        (&["--mark-depth", "0.3"][..], "--mark-depth:"),
        (&["--mark-depth", "5mm"], "--mark-depth:"),
        (&["--mark-angle", "5deg"], "from 20 deg to 170 deg"),
        (&["--friction", "0"], "from 0.02 to 1"),
        (&["--share", "1.2"], "from 0.05 to 1"),
        (&["--template", "10"], "--template:"),
        (&["--clearance", "20mm"], "from 0 mm to 10 mm"),
        (&["--guide", "25 V"], "--guide:"),
        (
            &["--set", "stud.short_resistance=1mohm"],
            "has no weld to set up",
        ),
        (&["--fault", "loose-clmp"], "loose-clamp"),
    ] {
        let bench = Bench::new();
        let more = ["--json", "card.json"];
        let text = flat(&bench.run(&[&["card"], arguments, &more].concat()).failed(2));
        assert!(text.contains(words), "{arguments:?}: {text}");
        assert!(!bench.path().join("card.json").exists());
    }
}

#[test]
fn the_report_holds_plan_welds_record_and_all_cautions() {
    let bench = Bench::new();
    bench
        .run(&["card", "--report", "card.html", "--plot", "welds.svg"])
        .done();
    let page = bench.read("card.html");
    assert_eq!(page.matches("<figure>").count(), 2);
    for words in [
        "class=\"card\"",
        "stud lot",
        "Let it discharge and measure",
        "check against the standard you work to",
        "to scale",
        "one-sided",
    ] {
        assert!(page.contains(words), "{words}");
    }
    assert!(bench.read("welds.svg").contains("least fill"));
}

#[test]
fn a_rig_that_cannot_weld_says_so() {
    let text = flat(
        &Bench::new()
            .run(&["card", "--set", "bank.capacitance=5mF"])
            .done(),
    );
    assert!(text.contains("No sound setting found"), "{text}");
    assert!(
        text.contains("Torque:") || text.contains("Tighten"),
        "{text}"
    );
}

#[test]
fn what_firing_early_does_goes_by_the_interlock() {
    let told = |interlock: &str| {
        let set = format!("charger.interlock={interlock}");
        flat(
            &Bench::new()
                .run(&["card", "--as-set", "--set", &set])
                .done(),
        )
    };
    let [locked, free] = ["yes", "no"].map(told);
    assert!(
        locked.contains("the trigger is locked until then") && !locked.contains("faster firing")
    );
    assert!(free.contains("faster firing welds below 111 V"), "{free}");
}

#[test]
fn regress_the_card_carries_the_cautions_of_its_metals() {
    let aluminium = ["--as-set", "--set", "stud.metal=aluminium"];
    let bench = Bench::new();
    let report = ["card", "--report", "card.html"];
    let points = json(&aluminium)["points"].to_string();
    let text = flat(&bench.run(&[&report[..], &aluminium].concat()).done());
    for words in [
        "Not a usual pair",
        "oxide and pores are not judged",
        "Aluminium is usually welded with a gap",
    ] {
        assert!(text.contains(words), "{words}: {text}");
        assert!(bench.read("card.html").contains(words), "{words}");
        assert!(points.contains(words), "{points}");
    }
    assert!(text.contains("Polarity: as the case has it, tool (stud) negative"));
    assert!(text.contains("follow the maker, or try both"), "{text}");
    let gap = ["--set", "tool.method=gap"];
    let gap = flat(
        &bench
            .run(&[&["card"], &aluminium[..], &gap].concat())
            .done(),
    );
    assert!(!gap.contains("usually welded with a gap"));
    let steel = flat(&bench.run(&["card", "--as-set"]).done());
    assert!(steel.contains("Polarity: tool (stud) negative") && !steel.contains("try both"));
}

#[test]
fn regress_what_burns_is_to_be_mended_before_the_rig_is_set() {
    let fault = ["--fault", "loose-tool-terminal"];
    let bench = Bench::new();
    let text = flat(&bench.run(&[&["card"], &fault[..]].concat()).done());
    let at = |words: &str| {
        text.find(words)
            .unwrap_or_else(|| panic!("{words}: {text}"))
    };
    assert!(at("Mend the tool terminal first") < at("At the setting below"));
    assert!(text.contains("is for the faulty rig only"), "{text}");
    assert_eq!(json(&["--as-set"])["mend_first"], Value::Null);
}

#[test]
fn regress_the_card_counts_the_band_and_tells_the_nearest_limit() {
    let bench = Bench::new();
    let hot = ["--as-set", "--set", "bank.voltage=135V"];
    let text = flat(&bench.run(&[&["card"], &hot[..]].concat()).done());
    assert!(text.contains("sound, but hot in 106 of 128"));
    assert!(text.contains(" %, but 7.7 % to hot"), "{text}");
    let card = json(&hot);
    assert_eq!(card["nearest"]["cause"], "boiled-off");
}

#[test]
fn regress_no_weld_is_looked_for_above_the_voltages_searched() {
    let text = flat(&Bench::new().run(&["card", "--set", "stud.size=M8"]).done());
    assert!(text.contains("none is hot up to 200 V"), "{text}");
    assert!(text.contains("but the switch gets too hot"), "{text}");
}
