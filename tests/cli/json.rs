//! The JSON of a shot: every settled name, null for what did not come.

use serde_json::Value;

use super::tool::{Bench, FIT_ONE, SCOPE};

/// The figures of `--json`, settled.
const FIGURES: [&str; 28] = [
    "stored_energy_J",
    "peak_current_A",
    "time_of_peak_s",
    "pip_touch_s",
    "pip_yield_s",
    "ignition_s",
    "touchdown_s",
    "arc_time_s",
    "touchdown_speed_m_per_s",
    "touchdown_current_A",
    "gap_at_ignition_m",
    "action_A2s",
    "current_end_s",
    "melt_stud_m",
    "melt_sheet_m",
    "melt_sheet_max_m",
    "squeeze_travel_m",
    "fill_ratio",
    "rim_fill_min",
    "rim_fill_min_at",
    "welded_share",
    "vapour_share",
    "arc_energy_J",
    "freeze_s",
    "cooling_rate_K_per_s",
    "back_face_K",
    "loop_resistance_ohm",
    "loop_inductance_H",
];

/// What is a number whatever happens.
const ALWAYS: [&str; 4] = [
    "stored_energy_J",
    "action_A2s",
    "loop_resistance_ohm",
    "loop_inductance_H",
];

/// What needs an arc, and what needs the stud to come down on it.
const ARC: [&str; 6] = [
    "ignition_s",
    "gap_at_ignition_m",
    "melt_sheet_max_m",
    "squeeze_travel_m",
    "vapour_share",
    "arc_energy_J",
];
const DOWN: [&str; 5] = [
    "touchdown_s",
    "touchdown_speed_m_per_s",
    "touchdown_current_A",
    "melt_stud_m",
    "melt_sheet_m",
];

const EVENTS: [&str; 14] = [
    "trigger",
    "pip-touch",
    "pip-yield",
    "ignition",
    "diode-conducts",
    "diode-blocks",
    "touchdown",
    "arc-out",
    "stub",
    "current-end",
    "frozen",
    "joint-melts",
    "joint-sets",
    "joint-parts",
];

fn fire(sets: &[&str]) -> Value {
    let mut arguments = vec!["fire", "--no-band", "--json", "-"];
    for set in sets {
        arguments.extend(["--set", set]);
    }
    serde_json::from_str(&Bench::new().run(&arguments).done()).expect("JSON")
}

/// Names of the events, in order.
fn events(document: &Value) -> Vec<&str> {
    let list = document["events"].as_array().expect("events");
    list.iter()
        .map(|e| e["name"].as_str().expect("a name"))
        .collect()
}

#[track_caller]
fn null(document: &Value, names: &[&str], there: bool) {
    for name in names {
        assert_eq!(
            document["figures"][name].is_number(),
            there,
            "{name}: {}",
            document["figures"][name]
        );
    }
}

#[test]
fn every_settled_name_is_there_and_no_other() {
    for sets in [
        &[][..],
        &["stud.short_resistance=1 mohm"],
        &["bank.voltage=1 V"],
        &["tool.method=gap"],
    ] {
        let document = fire(sets);
        let figures = document["figures"].as_object().expect("figures");
        let names: Vec<&String> = figures.keys().collect();
        assert_eq!(names, FIGURES, "{sets:?}");
        assert!(figures.values().all(|v| v.is_number() || v.is_null()));
        null(&document, &ALWAYS, true);
        assert!(events(&document).iter().all(|e| EVENTS.contains(e)));
        for name in [
            "events", "ledger_J", "verdict", "reasons", "case", "version",
        ] {
            assert!(document.get(name).is_some(), "{name}");
        }
        let ledger = document["ledger_J"].as_object().expect("ledger");
        assert!(ledger.len() > 10 && ledger.values().all(Value::is_number));
        let reasons = document["reasons"].as_array().expect("reasons");
        assert!(reasons.iter().all(Value::is_string));
        assert!(!reasons.is_empty(), "{sets:?}");
        assert_eq!(document["version"], env!("CARGO_PKG_VERSION"));
    }
}

#[test]
fn conserves_energy_in_the_ledger() {
    for sets in [
        &[][..],
        &["stud.short_resistance=1 mohm"],
        &["bank.voltage=1 V"],
        &["model.end_time=1 ms"],
    ] {
        let document = fire(sets);
        let stored = document["figures"]["stored_energy_J"]
            .as_f64()
            .expect("a number");
        let ledger = document["ledger_J"].as_object().expect("ledger");
        let sum: f64 = ledger.values().filter_map(Value::as_f64).sum();
        assert!(
            (sum / stored - 1.0).abs() < 1e-6,
            "{sets:?}: {sum} of {stored} J"
        );
    }
}

#[test]
fn a_weld_has_every_figure_but_those_of_the_other_method() {
    let document = fire(&[]);
    assert_eq!(document["verdict"], "sound");
    for name in FIGURES {
        // A rim that is filled evenly has no least hour.
        let none = ["pip_touch_s", "rim_fill_min_at"];
        null(&document, &[name], !none.contains(&name));
    }
    let expected = [
        "trigger",
        "pip-yield",
        "ignition",
        "diode-conducts",
        "touchdown",
        "frozen",
        "current-end",
    ];
    assert_eq!(events(&document), expected);
    let gap = fire(&["tool.method=gap"]);
    null(&gap, &["pip_touch_s"], true);
    null(&gap, &["pip_yield_s"], false);
}

#[test]
fn a_discharge_test_has_no_verdict_and_no_arc() {
    let document = fire(&["stud.short_resistance=1 mohm"]);
    assert_eq!(document["verdict"], Value::Null);
    assert_eq!(
        events(&document),
        ["trigger", "diode-conducts", "current-end"]
    );
    null(
        &document,
        &["peak_current_A", "time_of_peak_s", "current_end_s"],
        true,
    );
    null(&document, &[&ARC[..], &DOWN].concat(), false);
    null(
        &document,
        &[
            "fill_ratio",
            "freeze_s",
            "cooling_rate_K_per_s",
            "back_face_K",
            "pip_yield_s",
            "arc_time_s",
        ],
        false,
    );
}

#[test]
fn what_did_not_come_is_null() {
    let arc_out = fire(&["tool.spring_force=50 N"]);
    assert_eq!(
        events(&arc_out),
        [
            "trigger",
            "pip-yield",
            "ignition",
            "diode-conducts",
            "diode-blocks",
            "arc-out",
            "current-end",
        ]
    );
    null(&arc_out, &ARC, true);
    null(&arc_out, &["arc_time_s"], true);
    null(&arc_out, &DOWN, false);
    null(&arc_out, &["fill_ratio", "rim_fill_min"], false);
    null(&arc_out, &["freeze_s", "cooling_rate_K_per_s"], false);
    assert_eq!(arc_out["figures"]["squeeze_travel_m"], 0.0);
    assert_eq!(arc_out["verdict"], "cold");

    let no_current = fire(&["bank.voltage=1 V"]);
    assert_eq!(events(&no_current), ["trigger"]);
    for name in FIGURES {
        null(&no_current, &[name], ALWAYS.contains(&name));
    }
    assert_eq!(no_current["verdict"], "cold");

    let no_ignition = fire(&["bank.voltage=30 V"]);
    null(&no_ignition, &["peak_current_A", "current_end_s"], true);
    null(
        &no_ignition,
        &[&ARC[..], &DOWN, &["fill_ratio", "arc_time_s"]].concat(),
        false,
    );
    assert_eq!(no_ignition["verdict"], "cold");

    let short_record = fire(&["model.end_time=1 ms"]);
    null(&short_record, &ARC, true);
    null(
        &short_record,
        &["current_end_s", "arc_time_s", "touchdown_s"],
        false,
    );
    assert!(!events(&short_record).contains(&"current-end"));
}

#[test]
fn a_stud_that_never_touches_draws_no_current() {
    let document = fire(&[
        "tool.method=gap",
        "tool.lift=5 mm",
        "tool.spring_rate=40 N/mm",
    ]);
    assert_eq!(events(&document), ["trigger"]);
    null(
        &document,
        &["peak_current_A", "pip_touch_s", "ignition_s"],
        false,
    );
    assert_eq!(document["verdict"], "cold");
    assert_eq!(document["figures"]["action_A2s"], 0.0);
}

#[test]
fn the_band_is_there_unless_left_out() {
    let text = Bench::new().run(&["fire", "--json", "-"]).done();
    let document: Value = serde_json::from_str(&text).expect("JSON");
    assert!(document["band"].is_object() && document["borderline"].is_boolean());
    let band = document["band"]["fill_ratio"].as_array().expect("two ends");
    let fill = document["figures"]["fill_ratio"].as_f64().expect("a fill");
    assert!(band[0].as_f64() < Some(fill) && Some(fill) < band[1].as_f64());
    assert!(fire(&[])["band"].is_null());
}

/// Every command that writes JSON of a weld, with what it needs to be quick. `validate` is left out: its rows
/// are checks of the program and tell of no weld.
const WRITERS: [&[&str]; 12] = [
    &["fire", "--no-band"],
    &["compare", "--fault", "loose-tool-terminal"],
    &["scatter", "--shots", "16"],
    &["sensitivity", "--samples", "16"],
    &["sweep", "--vary", "bank.voltage=100..120V/3"],
    &["dial", "--vary", "bank.voltage"],
    &["chart", "--stud", "M3", "--metal", "copper on copper"],
    &["earths"],
    &["shift", "--welds", "20", "--no-band", "--no-scatter"],
    &["card", "--as-set"],
    &["calibrate", "--welds", "welds.csv", "--particles", "64"],
    &FIT_ONE,
];

#[test]
fn every_json_carries_cautions_version_and_case() {
    for writer in WRITERS {
        let welds = "bank.voltage [V],witness\n104,full\n";
        let bench = Bench::new()
            .with("scope.csv", SCOPE)
            .with("welds.csv", welds);
        let all = [writer, &["--json", "-"]].concat();
        let json: Value = serde_json::from_str(&bench.run(&all).done()).expect("JSON");
        let cautions = json["cautions"].as_array().expect("cautions");
        assert!(cautions.len() > 5, "{writer:?}");
        assert!(json["version"].is_string(), "{writer:?}");
        let case = if writer[0] == "compare" {
            &json["base"]
        } else {
            &json
        };
        assert!(case["case"]["bank"].is_object(), "{writer:?}");
    }
}

#[test]
fn the_list_of_json_writers_is_whole() {
    let bench = Bench::new();
    let help = bench.run(&["--help"]).done();
    let commands = help
        .lines()
        .skip_while(|l| *l != "Commands:")
        .skip(1)
        .take_while(|l| !l.is_empty())
        .filter(|l| l.starts_with("  ") && !l.starts_with("   "))
        .filter_map(|l| l.split_whitespace().next());
    let writes = |command: &&str| bench.run(&[command, "--help"]).out.contains("--json");
    let found: Vec<&str> = commands
        .filter(|c| !["help", "validate"].contains(c))
        .filter(writes)
        .collect();
    let mut known: Vec<&str> = WRITERS.iter().map(|w| w[0]).collect();
    let mut sorted = found.clone();
    known.sort_unstable();
    sorted.sort_unstable();
    assert_eq!(sorted, known);
}
