//! Marks of the tool and of the bank, as `dial`, `chart` and `sweep` take and give them.

use crate::tool::{Bench, flat};

const RIG: &str = "[bank]\nscale = [[1, \"60 V\"], [10, \"150 V\"]]\n\
                   [tool]\nscale = [[1, \"40 N\"], [5, \"120 N\"]]\nspring_mark = 3\n";

fn bench() -> Bench {
    Bench::new().with("rig.toml", RIG)
}

#[test]
fn dial_answers_in_marks() {
    let text = bench()
        .run(&["dial", "rig.toml", "--vary", "bank.voltage"])
        .done();
    assert!(text.contains("bank.voltage = 113 V, mark 6.3"), "{text}");
    assert!(text.contains("marks  5.0 to 8.6"), "{text}");
    let json = bench()
        .run(&["dial", "rig.toml", "--vary", "bank.voltage", "--json", "-"])
        .done();
    let json: serde_json::Value = serde_json::from_str(&json).unwrap();
    let (volts, mark) = (
        &json["values"]["bank.voltage"],
        &json["marks"]["bank.voltage"],
    );
    // The scale is V = 50 + 10·mark.
    let expected = (volts.as_f64().unwrap() - 50.0) / 10.0;
    assert!((mark.as_f64().unwrap() - expected).abs() < 1e-9);
}

#[test]
fn dial_says_when_its_answer_lies_off_the_scale() {
    let short = ["--set", "bank.scale=[[1, \"60 V\"], [3, \"80 V\"]]"];
    let all: Vec<&str> = ["dial", "rig.toml", "--vary", "bank.voltage"]
        .iter()
        .chain(&short)
        .copied()
        .collect();
    let text = bench().run(&all).done();
    assert!(
        text.contains("bank.voltage = 113 V, outside the scale from 60 V to 80 V"),
        "{text}"
    );
}

#[test]
fn a_mark_can_be_turned_and_swept() {
    let text = bench()
        .run(&["dial", "rig.toml", "--vary", "tool.spring_mark"])
        .done();
    assert!(text.contains("tool.spring_mark = "), "{text}");
    assert!(text.contains("end of the range searched"), "{text}");
    let args = [
        "sweep",
        "rig.toml",
        "--vary",
        "tool.spring_mark=1..5/5",
        "--csv",
        "-",
    ];
    let csv = bench().run(&args).done();
    assert!(csv.starts_with("tool.spring_mark,"), "{csv}");
    // Mark 3 is the case.
    let plain = bench()
        .run(&["fire", "rig.toml", "--json", "-", "--no-band"])
        .done();
    let plain: serde_json::Value = serde_json::from_str(&plain).unwrap();
    let mut rows = csv::Reader::from_reader(csv.as_bytes());
    let at = rows
        .headers()
        .unwrap()
        .iter()
        .position(|h| h == "arc_time_s")
        .unwrap();
    let third = rows.records().nth(2).unwrap().unwrap();
    let arc: f64 = third[at].parse().unwrap();
    assert!((arc / plain["figures"]["arc_time_s"].as_f64().unwrap() - 1.0).abs() < 1e-9);
}

#[test]
fn a_mark_without_a_scale_cannot_be_turned() {
    let said = Bench::new()
        .run(&["dial", "--vary", "tool.spring_mark"])
        .failed(2);
    assert!(said.contains("needs `tool.scale`"), "{said}");
}

#[test]
fn chart_stays_on_the_scale_and_names_marks() {
    let args = [
        "chart",
        "rig.toml",
        "--stud",
        "M3,M5",
        "--metal",
        "mild steel on mild steel",
    ];
    let text = bench().run(&args).done();
    let words = flat(&text);
    assert!(
        words.contains("between 60 and 150 V and 40 and 120 N"),
        "{text}"
    );
    assert!(text.contains("set  mark"), "{text}");
    let wide: Vec<&str> = args
        .iter()
        .chain(&["--spring", "100..200N", "--json", "-"])
        .copied()
        .collect();
    let json: serde_json::Value = serde_json::from_str(&bench().run(&wide).done()).unwrap();
    let lines = json["lines"].as_array().unwrap();
    assert_eq!(lines.len(), 2);
    for line in lines {
        let force = line["spring_force_N"].as_f64().unwrap();
        assert_eq!(line["spring_mark"].is_null(), force > 120.0, "{line}");
    }
}
