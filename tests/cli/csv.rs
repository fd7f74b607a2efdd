//! The curves as CSV.

use serde_json::Value;

use super::tool::Bench;

const HEAD: &str = "time_s,phase,event,current_A,bank_V,weld_V,weld_W,gap_m,speed_m_per_s,melt_stud_m,melt_sheet_m";

/// The text, its records, and the JSON of the same shot.
fn fire(arguments: &[&str]) -> (String, Vec<Row>, Value) {
    let bench = Bench::new();
    let base = ["fire", "--no-band", "--csv", "-", "--json", "shot.json"];
    let text = bench.run(&[&base, arguments].concat()).done();
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let rows = reader
        .records()
        .map(|r| Row::from(&r.expect("a record as long as the head")))
        .collect();
    let json = serde_json::from_str(&bench.read("shot.json")).expect("JSON");
    (text, rows, json)
}

struct Row {
    phase: String,
    event: String,
    /// Every other column.
    values: Vec<f64>,
}

const TIME: usize = 0;
const CURRENT: usize = 1;
const BANK_V: usize = 2;
const WELD_V: usize = 3;
const WELD_W: usize = 4;
const GAP: usize = 5;
const SPEED: usize = 6;
const EARTH: usize = 9;

impl Row {
    fn from(record: &csv::StringRecord) -> Self {
        let number = |s: &str| s.parse::<f64>().expect("a number");
        Row {
            phase: record[1].to_string(),
            event: record[2].to_string(),
            values: [0]
                .into_iter()
                .chain(3..record.len())
                .map(|n| number(&record[n]))
                .collect(),
        }
    }
}

fn figure(json: &Value, name: &str) -> f64 {
    json["figures"][name].as_f64().expect("a number")
}

#[test]
fn the_head_is_as_settled_and_the_lines_end_as_rfc_4180_wants() {
    for (sets, earths) in [
        (&["--set", "earth.1=none"][..], 1),
        (&[], 2),
        (&["--set", "earth.2.length=3 m"], 3),
        (
            &["--set", "earth.2.length=3 m", "--set", "earth.3.length=4 m"],
            4,
        ),
    ] {
        let (text, rows, _) = fire(sets);
        let head: String =
            (0..earths).fold(HEAD.to_string(), |head, n| format!("{head},earth_{n}_A"));
        assert_eq!(text.split("\r\n").next(), Some(head.as_str()));
        assert!(text.ends_with("\r\n"));
        assert_eq!(text.matches('\n').count(), text.matches("\r\n").count());
        assert_eq!(text.lines().count(), rows.len() + 1);
        assert!(rows.iter().all(|r| r.values.len() == EARTH + earths));
        assert!(rows.iter().all(|r| r.values.iter().all(|v| v.is_finite())));
    }
}

/// Cases whose events come in different orders.
const COURSES: [&[&str]; 8] = [
    &[],
    &["--set", "tool.method=gap"],
    &[
        "--set",
        "tool.method=gap",
        "--set",
        "tool.spring_rate=0 N/mm",
    ],
    &["--set", "tool.spring_force=50 N"],
    &["--set", "stud.short_resistance=1 mohm"],
    &["--set", "lead.length=12 m"],
    &["--set", "bank.voltage=30 V"],
    &["--fault", "loose-tool-terminal"],
];

#[test]
fn rows_come_once_a_time_and_tell_the_events() {
    for sets in COURSES {
        let (_, rows, json) = fire(sets);
        assert!(
            rows.windows(2)
                .all(|w| w[0].values[TIME] < w[1].values[TIME]),
            "{sets:?}"
        );
        let events = json["events"].as_array().expect("events");
        assert!(events.len() >= 3, "{sets:?}: {events:?}");
        let mut told = Vec::new();
        for row in rows.iter().filter(|row| !row.event.is_empty()) {
            told.extend(row.event.split("; ").map(|event| (row.values[TIME], event)));
        }
        assert_eq!(told.len(), events.len(), "{sets:?}: {told:?}");
        for ((time, words), event) in told.iter().zip(events) {
            let joint = event["joint"]
                .as_str()
                .map_or(String::new(), |key| format!(" {key}"));
            assert_eq!(
                *words,
                format!("{}{joint}", event["name"].as_str().unwrap())
            );
            let due = event["time_s"].as_f64().expect("a time");
            assert!(
                (time - due).abs() <= 1e-9 * due,
                "{sets:?}: {words} at {time} s, not at {due} s"
            );
        }
    }
}

#[test]
fn rows_come_in_order_of_time_two_at_each_event_on_request() {
    for sets in COURSES {
        let (_, rows, json) = fire(&[sets, &["--both-sides"]].concat());
        assert!(
            rows.windows(2)
                .all(|w| w[0].values[TIME] <= w[1].values[TIME]),
            "{sets:?}"
        );
        let events = json["events"].as_array().expect("events");
        assert!(events.len() >= 3, "{sets:?}: {events:?}");
        for event in events {
            let time = event["time_s"].as_f64().expect("a time");
            let near = |r: &&Row| (r.values[TIME] - time).abs() <= 1e-9 * time;
            let count = rows.iter().filter(near).count();
            assert!(count >= 2, "{sets:?}: {count} rows at {event}");
        }
    }
}

#[test]
fn a_row_comes_at_every_multiple_of_the_step() {
    for (every, step) in [
        ("2 us", 2e-6),
        ("1us", 1e-6),
        ("50 us", 5e-5),
        ("0.5 ms", 5e-4),
        // Steps of the integrator end on some of these.
        ("20 us", 2e-5),
        ("250 us", 2.5e-4),
    ] {
        let (_, rows, json) = fire(&["--interval", every]);
        let end = figure(&json, "current_end_s");
        assert!(end > 3e-3, "{end} s");
        for n in 0..(end / step) as usize {
            let time = n as f64 * step;
            assert!(
                rows.iter()
                    .any(|r| (r.values[TIME] - time).abs() <= 1e-9 * time),
                "--interval {every}: no row at {time} s"
            );
        }
    }
}

#[test]
fn phases_follow_each_other() {
    let (_, rows, _) = fire(&["--set", "tool.method=gap"]);
    let mut phases: Vec<&str> = rows.iter().map(|r| r.phase.as_str()).collect();
    phases.dedup();
    assert_eq!(phases, ["approach", "fuse", "arc", "forge", "rest"]);
    let (_, rows, _) = fire(&["--set", "stud.short_resistance=1 mohm"]);
    let mut phases: Vec<&str> = rows.iter().map(|r| r.phase.as_str()).collect();
    phases.dedup();
    assert_eq!(phases, ["short", "rest"]);
}

#[test]
fn conserves_charge_and_power_in_the_rows() {
    let (_, rows, json) = fire(&["--both-sides"]);
    let charge: f64 = rows
        .windows(2)
        .map(|w| {
            0.5 * (w[0].values[CURRENT] + w[1].values[CURRENT])
                * (w[1].values[TIME] - w[0].values[TIME])
        })
        .sum();
    let conducts = event(&json, "diode-conducts");
    let before: f64 = rows
        .windows(2)
        .filter(|w| w[1].values[TIME] <= conducts * (1.0 + 1e-9))
        .map(|w| {
            0.5 * (w[0].values[CURRENT] + w[1].values[CURRENT])
                * (w[1].values[TIME] - w[0].values[TIME])
        })
        .sum();
    // Until then the bank alone gave the charge.
    let row = rows
        .iter()
        .find(|r| (r.values[TIME] - conducts).abs() < 1e-12);
    let given = 72e-3 * (112.0 - row.expect("a row").values[BANK_V]);
    assert!(
        (before / given - 1.0).abs() < 1e-5,
        "{before} C of {given} C"
    );
    assert!(charge > before);
    for r in &rows {
        let power = r.values[WELD_V] * r.values[CURRENT];
        assert!(
            (r.values[WELD_W] - power).abs() <= 2e-9 * power.abs() + 1e-12,
            "{power} W"
        );
        let earths: f64 = r.values[EARTH..].iter().sum();
        assert!((earths - r.values[CURRENT]).abs() <= 1e-5, "{earths} A");
    }
    let action: f64 = rows
        .windows(2)
        .map(|w| {
            0.5 * (w[0].values[CURRENT].powi(2) + w[1].values[CURRENT].powi(2))
                * (w[1].values[TIME] - w[0].values[TIME])
        })
        .sum();
    assert!(
        (action / figure(&json, "action_A2s") - 1.0).abs() < 1e-4,
        "{action} A²s"
    );
}

#[test]
fn the_rows_agree_with_the_figures() {
    let (_, rows, json) = fire(&["--interval", "1 us", "--both-sides"]);
    let peak = rows.iter().map(|r| r.values[CURRENT]).fold(0.0, f64::max);
    assert!(
        (peak / figure(&json, "peak_current_A") - 1.0).abs() < 1e-6,
        "{peak} A"
    );
    let touchdown = event(&json, "touchdown");
    let row = rows
        .iter()
        .find(|r| (r.values[TIME] - touchdown).abs() < 1e-9 * touchdown)
        .expect("a row");
    assert!((row.values[SPEED] / figure(&json, "touchdown_speed_m_per_s") - 1.0).abs() < 1e-6);
    assert!((row.values[CURRENT] / figure(&json, "touchdown_current_A") - 1.0).abs() < 1e-6);
    assert!(row.values[GAP].abs() < 1e-9);
    assert_eq!(row.phase, "arc");
    let first = &rows[0];
    assert_eq!(
        (
            first.values[TIME],
            first.values[CURRENT],
            first.values[BANK_V]
        ),
        (0.0, 0.0, 112.0)
    );
    assert_eq!(first.phase, "fuse");
    // The wedge stands open by the whole pip.
    assert!((first.values[GAP] - 0.8e-3).abs() < 1e-12);
    // The gap never widens.
    assert!(
        rows.windows(2)
            .all(|w| w[1].values[GAP] <= w[0].values[GAP] + 1e-12)
    );
}

#[test]
fn numbers_keep_nine_digits() {
    let (text, rows, json) = fire(&[]);
    let ignition = event(&json, "ignition");
    let row = rows
        .iter()
        .find(|r| (r.values[TIME] - ignition).abs() < 1e-9 * ignition)
        .expect("a row");
    assert!((row.values[TIME] / ignition - 1.0).abs() < 1e-9);
    let longest = text
        .split(['\r', '\n', ','])
        .filter(|s| s.parse::<f64>().is_ok())
        .map(|s| {
            s.split('e')
                .next()
                .unwrap_or(s)
                .chars()
                .filter(char::is_ascii_digit)
                .collect::<String>()
        })
        .map(|digits| digits.trim_start_matches('0').len())
        .max();
    assert!(longest >= Some(9), "{longest:?}");
}

fn event(json: &Value, name: &str) -> f64 {
    let events = json["events"].as_array().expect("events");
    let found = events
        .iter()
        .find(|e| e["name"] == name)
        .expect("the event");
    found["time_s"].as_f64().expect("a time")
}
