//! `chart`: lines, files, filters, refusals.

use serde_json::Value;

use crate::tool::Bench;

/// A chart that takes a moment only.
const FEW: [&str; 5] = [
    "chart",
    "--stud",
    "M3,M8",
    "--metal",
    "mild steel on mild steel",
];

fn few<'a>(more: &[&'a str]) -> Vec<&'a str> {
    FEW.iter().chain(more).copied().collect()
}

#[test]
fn a_chart_says_what_to_set_and_what_cannot_be_welded() {
    let text = Bench::new().run(&FEW).done();
    assert!(text.contains("M3       65 V       57 to 74 V"), "{text}");
    assert!(
        text.contains("M8      not: boils before the wedge is full"),
        "{text}"
    );
    for word in ["flatter cone", "test welds", "Stored charge"] {
        assert!(text.contains(word), "{word}");
    }
}

#[test]
fn a_line_of_the_chart_is_what_fire_gives() {
    let bench = Bench::new();
    let json: Value = serde_json::from_str(&bench.run(&few(&["--json", "-"])).done()).unwrap();
    let line = &json["lines"][0];
    let fire = |volts: f64| -> Value {
        let volts = format!("bank.voltage={volts}V");
        let force = format!("tool.spring_force={}N", line["spring_force_N"]);
        let sets = ["--set", "stud.size=M3", "--set", &volts, "--set", &force];
        let all: Vec<&str> = ["fire", "--json", "-", "--no-band"]
            .iter()
            .chain(&sets)
            .copied()
            .collect();
        serde_json::from_str(&bench.run(&all).done()).unwrap()
    };
    let at = |name: &str| line["voltages_V"][name].as_f64().unwrap();
    let set = fire(line["voltage_V"].as_f64().unwrap());
    assert_eq!(set["verdict"], "sound");
    assert_eq!(set["figures"]["arc_time_s"], line["figures"]["arc_time_s"]);
    // Just outside both ends the weld is not sound, for the causes named.
    for (volts, side) in [(at("low") - 0.01, "below"), (at("high") + 0.01, "above")] {
        let beyond = fire(volts);
        assert_ne!(beyond["verdict"], "sound");
        assert_eq!(beyond["cause"], line["voltages_V"][side]);
    }
    let none = &json["lines"][1];
    assert_eq!(
        (&none["sound"], &none["stud"]),
        (&Value::Bool(false), &"M8".into())
    );
    assert!(none["best"]["fill_ratio"].as_f64().unwrap() < 1.0);
}

#[test]
fn all_forms_tell_the_same_chart() {
    let bench = Bench::new();
    let files = [
        "--csv", "a.csv", "--json", "a.json", "--plot", "a.svg", "--report", "a.html",
    ];
    bench.run(&few(&files)).done();
    let csv = bench.read("a.csv");
    let mut rows = csv::Reader::from_reader(csv.as_bytes());
    let rows: Vec<csv::StringRecord> = rows.records().map(Result::unwrap).collect();
    let json: Value = serde_json::from_str(&bench.read("a.json")).unwrap();
    assert_eq!(rows.len(), 2);
    assert_eq!(
        rows[0][5].parse::<f64>().ok(),
        json["lines"][0]["voltage_V"].as_f64()
    );
    assert_eq!(&rows[1][5], "");
    assert!(rows[1][21].contains("boils"));
    let svg = bench.read("a.svg");
    roxmltree::Document::parse(&svg).unwrap();
    let html = bench.read("a.html");
    for (page, words) in [
        (&svg, ["65 V, 91 N", "not: boils", "test welds decide"]),
        (
            &html,
            ["57\u{a0}to\u{a0}74\u{a0}V", "test weld", "Stored charge"],
        ),
    ] {
        for word in words {
            assert!(page.contains(word), "{word}");
        }
    }
}

#[test]
fn both_methods_stand_one_after_the_other() {
    let both = [
        "--method",
        "contact,gap",
        "--set",
        "tool.lift=1mm",
        "--voltage",
        "40..200V",
    ];
    let text = Bench::new().run(&few(&both)).done();
    assert!(text.contains("mild steel on mild steel, contact"), "{text}");
    assert!(
        text.contains("mild steel on mild steel, gap 1 mm"),
        "{text}"
    );
    assert!(text.contains("between 40 and 200 V"), "{text}");
}

#[test]
fn what_cannot_be_charted_is_refused() {
    for (arguments, word) in [
        (&["--stud", "M7"][..], "no stud of this size"),
        (&["--metal", "mild stel"], "did you mean mild steel?"),
        (&["--metal", "copper on gold"], "no metal of this name"),
        (&["--voltage", "40V"], "FROM..TO"),
        (&["--voltage", "40..4000V"], "out of bounds"),
        (&["--spring", "40..200V"], "--spring 40..200V"),
        (&["--plot", "a.gif"], ".svg or .png"),
        (&["--set", "stud.bolted=1 mohm"], "no weld to chart"),
        (&["--csv", "-", "--json", "-"], "standard output"),
    ] {
        let bench = Bench::new();
        let all: Vec<&str> = ["chart"].iter().chain(arguments).copied().collect();
        let said = bench.run(&all).failed(2);
        assert!(said.contains(word), "{arguments:?}: {said}");
        assert!(bench.names().is_empty());
    }
}
