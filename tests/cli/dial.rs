//! `dial`: values in their units, margins, ends of windows, faults, metals.

use serde_json::Value;

use crate::tool::{Bench, flat};

fn dial(arguments: &[&str]) -> String {
    let all: Vec<&str> = ["dial"].iter().chain(arguments).copied().collect();
    let text = Bench::new().run(&all).done();
    assert!(text.lines().all(|l| l.chars().count() <= 80), "{text}");
    text
}

/// Of a dial that finds nothing.
fn found_nothing(arguments: &[&str]) -> String {
    let all = [&["dial"], arguments].concat();
    flat(&Bench::new().run(&all).out)
}

/// Of a dial that finds nothing as well.
fn json(arguments: &[&str]) -> Value {
    let all: Vec<&str> = ["dial", "--json", "-"]
        .iter()
        .chain(arguments)
        .copied()
        .collect();
    serde_json::from_str(&Bench::new().run(&all).out).expect("JSON")
}

#[test]
fn values_are_rounded_in_their_own_unit() {
    let text = dial(&[
        "--vary",
        "lead.temperature=-20..60degC",
        "--set",
        "lead.temperature=19.95degC",
    ]);
    assert!(text.contains("now    19.95 degC"), "{text}");
    let text = dial(&["--vary", "stud.cone=1..6deg"]);
    assert!(text.contains("now    3 deg"), "{text}");
    assert!(
        text.contains("stud.cone: sound from 1.397 deg to 4.278 deg"),
        "{text}"
    );
}

#[test]
fn a_margin_is_a_ratio_only_where_that_means_something() {
    let text = dial(&["--vary", "lead.temperature=-20..60degC"]);
    assert!(
        text.contains("(at least ± ") && text.contains(" K)"),
        "{text}"
    );
    let text = dial(&["--vary", "tool.friction=0..40N"]);
    assert!(
        text.contains("sound up to 28.98 N\n") && !text.contains("± 100 %"),
        "{text}"
    );
    let pair = [
        "--vary",
        "tool.friction=0..40N",
        "--vary",
        "lead.temperature=-20..60degC",
    ];
    let found = json(&pair);
    let windows = found["windows"].as_array().unwrap();
    assert_eq!(windows.len(), 2);
    for window in windows {
        assert!(
            window["margin"].is_null() && window["half_width"].is_number(),
            "{window}"
        );
    }
    let text = dial(&pair);
    let words = flat(&text);
    assert!(
        words.contains("at once may be off tool.friction by ")
            && words.contains(" N and lead.temperature by "),
        "{text}"
    );
}

#[test]
fn a_window_cut_by_the_range_is_said_to_go_on() {
    let text = dial(&["--vary", "bank.voltage=60..115V"]);
    for word in [
        "where it is sound most often in the range searched",
        "(at least ± ",
        "above  end of the range searched",
        "it continues: --vary bank.voltage=FROM..TO extends the search",
    ] {
        assert!(text.contains(word), "{word}: {text}");
    }
    let whole = dial(&["--vary", "bank.voltage"]);
    assert!(
        !whole.contains("at least") && !whole.contains("goes on"),
        "{whole}"
    );
}

#[test]
fn the_bank_is_charged_no_higher_than_it_may_be() {
    let most = ["--set", "bank.voltage_max=115V"];
    let text = dial(&[&["--vary", "bank.voltage"], &most[..]].concat());
    assert!(text.contains("to 115 V (± "), "{text}");
    assert!(
        text.contains("above  the bank cannot be charged higher (bank.voltage_max)"),
        "{text}"
    );
    let wide = [&["dial", "--vary", "bank.voltage=60..116V"], &most[..]].concat();
    let said = Bench::new().run(&wide).failed(2);
    assert!(said.contains("`bank.voltage_max`"), "{said}");
    let said = Bench::new()
        .run(&["fire", "--set", "bank.voltage_max=100V"])
        .failed(2);
    assert!(
        said.contains("`bank.voltage` of 112 V exceeds `bank.voltage_max`"),
        "{said}"
    );
    // Without it a usual bank ends at 200 V, and one that has more at four times what it has.
    let ends = |sets: &[&str]| {
        json(&[&["--vary", "bank.voltage"], sets].concat())["searched"][0]["to"].clone()
    };
    assert_eq!(ends(&[]), 200.0);
    assert_eq!(
        ends(&["--set", "bank.voltage=210V", "--set", "stud.size=M8"]),
        840.0
    );
    assert_eq!(ends(&most), 115.0);
    // A scale of which the bank may have nothing.
    let scale = [
        "--set",
        "bank.scale=[[1, \"150 V\"], [10, \"200 V\"]]",
        "--set",
        "bank.voltage_max=120V",
    ];
    let marks = [&["dial", "--vary", "bank.voltage_mark"], &scale[..]].concat();
    let said = Bench::new().run(&marks).failed(2);
    assert!(said.contains("the whole scale lies above"), "{said}");
}

#[test]
fn the_energy_stands_beside_the_voltage() {
    let text = dial(&["--vary", "bank.voltage"]);
    assert!(text.contains("bank.voltage = 113 V (460 J)"), "{text}");
    let found = json(&["--vary", "bank.voltage"]);
    let (volts, joules) = (
        found["values"]["bank.voltage"].as_f64().unwrap(),
        found["figures"]["stored_energy_J"].as_f64().unwrap(),
    );
    assert!((joules / (0.5 * 72e-3 * volts * volts) - 1.0).abs() < 1e-9);
}

#[test]
fn the_json_stands_alone() {
    for arguments in [
        &["--vary", "bank.voltage"][..],
        &["--vary", "bank.voltage", "--target", "fill_ratio=1.2"],
    ] {
        let found = json(arguments);
        assert!(found["version"].is_string() && found["cautions"].is_array());
        assert_eq!(found["case"]["bank"]["voltage"], 112.0);
        assert!(found["case"]["bank"]["voltage_max"].is_null());
    }
}

#[test]
fn faults_are_put_on_as_on_a_single_shot() {
    let loose = ["--fault", "loose-tool-terminal"];
    let text = dial(&[&["--vary", "bank.voltage"], &loose[..]].concat());
    assert!(
        text.starts_with("fault: the lug of the gun lead at the tool is loose"),
        "{text}"
    );
    let plain = json(&["--vary", "bank.voltage"]);
    let found = json(&[&["--vary", "bank.voltage"], &loose[..]].concat());
    let volts = |found: &Value| found["values"]["bank.voltage"].as_f64().unwrap();
    assert!(volts(&found) > volts(&plain) + 2.0);
    for command in [
        &["dial", "--vary", "bank.voltage"][..],
        &["chart", "--stud", "M5"],
        &["earths"],
        &["fire"],
    ] {
        let all = [command, &["--fault", "loose-tol-terminal"]].concat();
        let said = Bench::new().run(&all).failed(2);
        assert_eq!(
            said.trim_end(),
            "error: unknown fault `loose-tol-terminal`; did you mean `loose-tool-terminal`?"
        );
    }
    let earths = Bench::new()
        .run(&["earths", "--fault", "clamps-too-close"])
        .done();
    assert!(
        earths.starts_with("fault: the earth clamps sit too close"),
        "{earths}"
    );
}

#[test]
fn what_is_not_judged_of_the_metals_stands_near_the_verdict_once() {
    let copper = ["--set", "stud.metal=copper"];
    let aluminium = [
        "--set",
        "stud.metal=aluminium Mg alloy",
        "--set",
        "sheet.metal=aluminium Mg alloy",
    ];
    let commands: [&[&str]; 4] = [
        &["fire", "--no-band"],
        &["dial", "--vary", "bank.voltage"],
        &["compare", "--fault", "loose-tool-terminal"],
        &["fire", "--no-band", "--json", "-"],
    ];
    for command in commands {
        for (sets, words) in [
            (&copper[..], "Not a usual pair:"),
            (&aluminium[..], "oxide and pores are not judged"),
        ] {
            let ran = Bench::new().run(&[command, sets].concat());
            assert_eq!(
                ran.out.matches(words).count(),
                1,
                "{command:?}: {}",
                ran.out
            );
        }
        let plain = Bench::new().run(command).out;
        assert!(
            !plain.contains("usual pair") && !plain.contains("oxide"),
            "{plain}"
        );
    }
    let bolted = [
        "fire",
        "--set",
        "stud.metal=copper",
        "--set",
        "stud.short_resistance=1 mohm",
    ];
    assert!(!Bench::new().run(&bolted).done().contains("usual pair"));
}

#[test]
fn a_case_beyond_the_range_searched_is_not_called_beyond_the_window() {
    let cut = dial(&["--vary", "bank.voltage=100..110V"]);
    assert!(
        cut.contains("now    112 V, above the range searched"),
        "{cut}"
    );
    let whole = [
        "--vary",
        "bank.voltage=40..200V",
        "--set",
        "bank.voltage=160V",
    ];
    let whole = dial(&whole);
    assert!(whole.contains("now    160 V, above the window"), "{whole}");
}

#[test]
fn nobody_is_sent_beyond_what_the_bank_may_have() {
    let m8 = |more: &[&str]| {
        let m8 = ["--set", "stud.size=M8"];
        found_nothing(&[&m8, more].concat())
    };
    let limited = m8(&["--vary", "bank.voltage", "--set", "bank.voltage_max=120V"]);
    assert!(limited.contains("cannot be extended"), "{limited}");
    assert!(!limited.contains("Search further"), "{limited}");
    let free = m8(&["--vary", "bank.voltage=28..120V"]);
    assert!(free.contains("V to 200 V or more."), "{free}");
    let small = [
        "--vary",
        "bank.capacitance=50..70mF",
        "--set",
        "bank.voltage_max=120V",
    ];
    let small = m8(&small);
    assert!(small.contains("Search further"), "{small}");
}

#[test]
fn tilt_and_blow_are_named_where_they_alone_are_in_the_way() {
    let set = |set: &'static str| ["--vary", "bank.voltage", "--set", set];
    let said = found_nothing(&set("tool.tilt=4deg"));
    assert!(said.contains("Square the tool"), "{said}");
    assert!(said.contains("where the rim has least (mean"), "{said}");
    assert!(!said.contains("boils off."), "{said}");
    let found = json(&set("tool.tilt=4deg"));
    let best = &found["best"];
    assert!(best["fill_ratio"].as_f64() >= Some(1.0), "{best}");
    assert!(best["rim_fill_min"].as_f64() < Some(1.0), "{best}");
    let one_clamp = ["--set", "earth.1=none", "--set", "earth.0.at=-25mm, 0mm"];
    let blown = found_nothing(&[&set("tool.tilt=0deg")[..], &one_clamp].concat());
    assert!(blown.contains("move the earth clamps"), "{blown}");
    assert!(!blown.contains("Square"), "{blown}");
}

#[test]
fn a_voltage_that_does_is_told_where_no_value_searched_does() {
    for (arguments, words) in [
        (
            &["--vary", "bank.voltage=20..60V"][..],
            "Use more voltage: sound from 100.3 V to 136.4 V.",
        ),
        (
            &["--vary", "bank.voltage=200..400V"],
            "Use less voltage: sound from 100.3 V to 136.4 V.",
        ),
        (
            &["--vary", "tool.spring_force", "--set", "bank.voltage=60V"],
            "Use more voltage: sound from 100.3 V to 136.4 V with tool.spring_force = 80 N.",
        ),
    ] {
        let told = found_nothing(arguments);
        assert!(told.contains(words), "{told}");
        assert!(!told.contains("more capacitance"), "{told}");
    }
    let told = json(&["--vary", "tool.spring_force", "--set", "bank.voltage=60V"]);
    let volts = &told["sound_voltages_V"];
    assert!(
        (volts["low"].as_f64().unwrap() - 100.3).abs() < 0.1,
        "{told}"
    );
    assert_eq!(volts["values"]["tool.spring_force"], 80.0);
    // The rig may be charged no higher: nothing of a voltage.
    let capped = [
        "--vary",
        "bank.voltage",
        "--set",
        "bank.voltage=60V",
        "--set",
        "bank.voltage_max=90V",
    ];
    let told = found_nothing(&capped);
    assert!(!told.contains("Use more voltage"), "{told}");
}

#[test]
fn nothing_is_the_best_of_a_fault() {
    let text = dial(&["--vary", "tool.tilt=0..5deg"]);
    assert!(text.contains("tool.tilt = 0 deg   the best:"), "{text}");
    assert!(text.contains("tool.tilt: sound up to 1.2"), "{text}");
    assert_eq!(
        json(&["--vary", "tool.tilt=0..5deg"])["values"]["tool.tilt"],
        0.0
    );
}

#[test]
fn a_picture_marks_what_was_found_with_its_margin() {
    let drawn = |arguments: &[&str]| {
        let bench = Bench::new();
        bench.run(&[&["dial", "--plot", "found.svg"], arguments].concat());
        bench.read("found.svg")
    };
    let one = drawn(&["--vary", "bank.voltage"]);
    assert!(
        one.contains("found, ± 11 %") && one.contains("113 V"),
        "{one}"
    );
    let two = drawn(&[
        "--vary",
        "bank.voltage=60..160V",
        "--vary",
        "tool.spring_force=40..120N",
    ]);
    assert!(
        ["found", "± ", "this case"]
            .iter()
            .all(|word| two.contains(word)),
        "{two}"
    );
    let none = drawn(&["--vary", "bank.voltage=20..60V"]);
    assert!(!none.contains("found"), "{none}");
}
