//! `chart`: lines, files, filters, refusals.

use serde_json::Value;

use crate::tool::{Bench, flat};

/// A chart that takes a moment only, of a cone that M3 fills and M5 does not.
const FEW: [&str; 7] = [
    "chart",
    "--stud",
    "M3,M5",
    "--metal",
    "mild steel on mild steel",
    "--set",
    "stud.cone=5deg",
];

/// One line that can be welded.
const M5: [&str; 5] = [
    "chart",
    "--stud",
    "M5",
    "--metal",
    "mild steel on mild steel",
];

fn few<'a>(more: &[&'a str]) -> Vec<&'a str> {
    FEW.iter().chain(more).copied().collect()
}

#[test]
fn a_chart_says_what_to_set_and_what_cannot_be_welded() {
    let text = Bench::new().run(&FEW).done();
    assert!(text.contains("69 V (171 J)"), "{text}");
    let words = flat(&text);
    assert!(
        words.contains("M5 hardly: boils before the wedge is full (fill 0.9"),
        "{text}"
    );
    assert!(words.contains("of 128 welds drawn are sound"), "{text}");
    for word in ["flatter cone", "test welds", "a bank can kill"] {
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
        let sets = [
            "--set",
            "stud.size=M3",
            "--set",
            "stud.cone=5deg",
            "--set",
            &volts,
            "--set",
            &force,
        ];
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
        (&Value::Bool(false), &"M5".into())
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
    assert!(rows[1][25].contains("boils"));
    let svg = bench.read("a.svg");
    roxmltree::Document::parse(&svg).unwrap();
    let html = bench.read("a.html");
    // What the chart varies is none of the case's.
    for varied in ["bank.voltage", "tool.spring_force", "stud.size"] {
        let key = format!(">{}<", varied.replace('.', ".<wbr>").replace('_', "_<wbr>"));
        assert!(!html.contains(&key), "{varied}");
    }
    assert!(html.contains(">bank.<wbr>capacitance <b>"));
    for (page, words) in [
        (
            &svg,
            ["69 V (171 J), 70 N", "hardly: boils", "Test welds decide"],
        ),
        (
            &html,
            ["63\u{a0}to\u{a0}77\u{a0}V", "test weld", "Stored charge"],
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
    assert!(flat(&text).contains("between 40 and 200 V"), "{text}");
}

#[test]
fn both_is_a_word_for_both_methods() {
    let line = |method: &'static str| -> Value {
        let more = ["--method", method, "--set", "tool.lift=1mm", "--json", "-"];
        let all: Vec<&str> = ["chart", "--stud", "M4", "--metal", "copper on copper"]
            .iter()
            .chain(&more)
            .copied()
            .collect();
        serde_json::from_str(&Bench::new().run(&all).done()).unwrap()
    };
    let both = line("both");
    assert_eq!(both["lines"], line("contact,gap")["lines"]);
    assert_eq!(both["lines"][1]["method"], "gap");
}

#[test]
fn ends_of_the_search_are_said_as_such() {
    let run = |more: &[&'static str]| {
        let all = [&M5[..], more].concat();
        let text = Bench::new().run(&all).done();
        flat(&text)
    };
    let text = run(&["--voltage", "60..110V"]);
    for word in [
        "to 110* V",
        "≥ ",
        "A star marks an end of the range searched",
        "--voltage and --spring FROM..TO extend the search",
    ] {
        assert!(text.contains(word), "{word}: {text}");
    }
    let text = run(&["--spring", "120..160N"]);
    for word in ["120* to 160* N", "--spring FROM..TO extend the search"] {
        assert!(text.contains(word), "{word}: {text}");
    }
    let text = run(&["--spring", "40..200N"]);
    assert!(
        !text.contains('*') && !text.contains("extend the search"),
        "{text}"
    );
    // The bank's own limit is no end of the search.
    let text = run(&["--set", "bank.voltage_max=112V"]);
    assert!(text.contains("to 112 V "), "{text}");
    assert!(text.contains("the bank cannot be charged higher"), "{text}");
}

#[test]
fn faults_are_put_on_every_line() {
    let volts = |more: &[&'static str]| {
        let all = [&M5[..], &["--json", "-"], more].concat();
        let json: Value = serde_json::from_str(&Bench::new().run(&all).done()).unwrap();
        (json["lines"][0]["voltage_V"].as_f64(), json["case"].clone())
    };
    let plain = volts(&[]);
    let tired = volts(&["--fault", "tired-bank"]);
    assert!(tired.0 > plain.0, "{tired:?} {plain:?}");
    assert!(
        tired.1["title"]
            .as_str()
            .unwrap()
            .contains("capacitors have aged")
    );
    // The pip is the size's, and the fault is put on that.
    assert_ne!(volts(&["--fault", "short-pip"]).0, plain.0);
    for fault in [
        "weak-spring",
        "fired-before-full-charge",
        "wrong-metal-setting",
    ] {
        let said = Bench::new().run(&["chart", "--fault", fault]).failed(2);
        assert!(said.contains("the chart sets"), "{said}");
    }
}

#[test]
fn an_unusual_pair_and_a_larger_bank_are_named() {
    let all = [
        "chart",
        "--stud",
        "M4",
        "--metal",
        "copper on brass 63/37",
        "--report",
        "a.html",
    ];
    let bench = Bench::new();
    let text = bench.run(&all).done();
    assert!(text.contains("Not a usual pair:"), "{text}");
    let html = bench.read("a.html");
    assert!(html.contains("Not a usual pair:"));
    // All metals of the chart, and none besides.
    let figures = html.split("<h2>The case</h2>").nth(1).unwrap();
    for (metal, there) in [
        ("copper", true),
        ("brass 63/37", true),
        ("&quot;mild steel&quot;", false),
    ] {
        // A name of several words stands in quotation marks, which HTML escapes.
        let name = metal.replace("brass 63/37", "&quot;brass 63/37&quot;");
        let density = format!("metal.<wbr>{name}.<wbr>density");
        assert_eq!(figures.contains(&density), there, "{metal}");
    }
    let all = [&M5[..], &["--set", "stud.cone=5deg"]].concat();
    let text = bench.run(&all).done();
    let words = flat(&text);
    assert!(words.contains(" mF would suffice: "), "{text}");
}

#[test]
fn what_cannot_be_charted_is_refused() {
    for (arguments, word) in [
        (&["--stud", "M7"][..], "unknown stud size"),
        (&["--metal", "mild stel"], "did you mean mild steel?"),
        (&["--metal", "copper on gold"], "unknown metal"),
        (&["--voltage", "40V"], "FROM..TO"),
        (
            &["--voltage", "40-160V"],
            "did you mean --voltage 40..160V?",
        ),
        (
            &["--spring", "20..160N", "--set", "tool.spring_min=30N"],
            "`tool.spring_min`",
        ),
        (
            &["--voltage", "40..200V", "--set", "bank.voltage_max=180V"],
            "`bank.voltage_max`",
        ),
        (&["--voltage", "40..4000V"], "out of bounds"),
        (&["--spring", "40..200V"], "--spring 40..200V"),
        (&["--plot", "a.gif"], ".svg or .png"),
        (
            &["--set", "stud.short_resistance=1 mohm"],
            "no weld to chart",
        ),
        (&["--csv", "-", "--json", "-"], "standard output"),
    ] {
        let bench = Bench::new();
        let all: Vec<&str> = ["chart"].iter().chain(arguments).copied().collect();
        let said = bench.run(&all).failed(2);
        assert!(said.contains(word), "{arguments:?}: {said}");
        assert!(bench.names().is_empty());
    }
}

#[test]
fn one_spring_serves_all_and_says_what_it_costs() {
    let bench = Bench::new();
    let all = [
        "chart",
        "--stud",
        "M3,M5",
        "--metal",
        "mild steel on mild steel",
        "--one-spring",
        "--json",
        "a.json",
    ];
    let text = bench.run(&all).done();
    assert!(flat(&text).contains("One spring for all: "), "{text}");
    assert!(text.contains("own spring"), "{text}");
    let json: Value = serde_json::from_str(&bench.read("a.json")).unwrap();
    let force = &json["one_spring_N"];
    for line in json["lines"].as_array().unwrap() {
        assert_eq!(&line["spring_force_N"], force);
        assert!(line["own_spring"]["margin"].as_f64() > Some(0.0), "{line}");
    }
}

#[test]
fn a_line_tells_its_chance_and_the_rig_its_limits() {
    let limits = [
        "--set",
        "tool.spring_min=40N",
        "--set",
        "tool.spring_max=70N",
    ];
    let all = [&M5[..], &limits, &["--json", "a.json"]].concat();
    let bench = Bench::new();
    let text = bench.run(&all).done();
    let json: Value = serde_json::from_str(&bench.read("a.json")).unwrap();
    let line = &json["lines"][0];
    let (sound, shots) = (&line["chance"]["sound"], &line["chance"]["shots"]);
    assert!(text.contains(&format!("{sound} of {shots}")), "{text}");
    let force = line["spring_force_N"].as_f64().unwrap();
    assert!((40.0..=70.0).contains(&force), "{force}");
    assert_eq!(json["searched"][1]["to"], 70.0);
}

#[test]
fn a_chart_of_a_leaning_tool_says_so() {
    let tilted = [&M5[..], &["--set", "tool.tilt=3.5deg"]].concat();
    let text = flat(&Bench::new().run(&tilted).done());
    assert!(text.contains("tool 3.5° out of square"), "{text}");
    assert!(text.contains("one side of the rim lacks melt"), "{text}");
    assert!(text.contains("Square the tool"), "{text}");
    let square = flat(&Bench::new().run(&M5).done());
    assert!(!square.contains("out of square"), "{square}");
}

#[test]
fn a_line_of_the_other_method_is_what_fire_gives_by_that_method() {
    let bench = Bench::new();
    let by_gap = [&M5[..], &["--method", "gap"]].concat();
    let text = flat(&bench.run(&by_gap).done());
    assert!(text.contains("Gap method, lift 0.5 mm"), "{text}");
    let json = [&by_gap[..], &["--json", "-"]].concat();
    let chart: Value = serde_json::from_str(&bench.run(&json).done()).unwrap();
    let line = &chart["lines"][0];
    let volts = format!("bank.voltage={}V", line["voltage_V"]);
    let force = format!("tool.spring_force={}N", line["spring_force_N"]);
    let sets = ["--set", "tool.method=gap", "--set", &volts, "--set", &force];
    let fired = [&["fire", "--json", "-"], &sets[..]].concat();
    let fired: Value = serde_json::from_str(&bench.run(&fired).done()).unwrap();
    for figure in ["ignition_s", "arc_energy_J", "fill_ratio"] {
        assert_eq!(
            fired["figures"][figure], line["figures"][figure],
            "{figure}"
        );
    }
}

#[test]
fn one_spring_that_costs_a_stud_nothing_says_so_by_an_empty_cell() {
    let metal = "mild steel on mild steel";
    let all = [
        "chart",
        "--stud",
        "M5,M8",
        "--metal",
        metal,
        "--one-spring",
        "--json",
        "a.json",
    ];
    let bench = Bench::new();
    let text = bench.run(&all).done();
    let json: Value = serde_json::from_str(&bench.read("a.json")).unwrap();
    for (line, costs) in json["lines"].as_array().unwrap().iter().zip([true, false]) {
        let margin = |of: &Value| of["margin"].as_f64().unwrap();
        assert_eq!(margin(&line["own_spring"]) > margin(line), costs, "{line}");
        let own = format!("{} N, ", line["own_spring"]["spring_force_N"]).replace(".0 N", " N");
        assert_eq!(text.contains(&own), costs, "{own}{text}");
    }
}
