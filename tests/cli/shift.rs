//! A shift: what terminal, JSON, CSV, picture and report say of it, and what is refused.

use serde_json::Value;

use super::tool::{Bench, flat};

const QUICK: [&str; 6] = [
    "shift",
    "--welds",
    "40",
    "--no-scatter",
    "--no-band",
    "--pace",
];

fn json(more: &[&str]) -> Value {
    let text = Bench::new()
        .run(&[&["shift", "--json", "-"], more].concat())
        .done();
    serde_json::from_str(&text).expect("JSON")
}

#[track_caller]
fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value}"))
}

#[test]
fn conserves_the_energy_of_the_json() {
    let shift = json(&[
        "--welds",
        "60",
        "--pace",
        "20/min",
        "--breaks",
        "5min@1min",
        "--no-band",
    ]);
    let e = &shift["energy_J"];
    let parts = [
        "charger",
        "welds",
        "light",
        "to_room",
        "held",
        "left_in_bank",
    ];
    let sum: f64 = parts.iter().map(|p| number(&e[*p])).sum();
    let mains = number(&e["mains"]);
    assert!((sum / mains - 1.0).abs() < 1e-6, "{sum} {mains}");
    // Each part holds what it took and did not give.
    for part in shift["temperatures"].as_array().unwrap() {
        assert!(number(&part["end_K"]) >= 293.15 - 1e-9, "{part}");
        assert!(number(&part["highest_K"]) >= number(&part["end_K"]) - 1e-9);
    }
    assert_eq!(shift["welds"], 60);
    assert!((number(&shift["pace_per_s"]) - 1.0 / 3.0).abs() < 1e-12);
    let shares = shift["verdicts_with_scatter"].as_array().unwrap();
    let all: f64 = shares.iter().map(|s| number(&s["share"])).sum();
    assert!((all - 1.0).abs() < 1e-12);
}

#[test]
fn the_csv_has_a_row_for_each_weld_and_the_break() {
    let more = ["--breaks", "10min@1min", "--csv", "-"];
    let text = Bench::new()
        .run(&[&QUICK[..], &["20/min"], &more].concat())
        .done();
    let rows: Vec<&str> = text.lines().collect();
    assert_eq!(rows.len(), 41);
    let head: Vec<&str> = rows[0].split(',').collect();
    let of = |row: &str, name: &str| {
        let n = head.iter().position(|h| *h == name).unwrap();
        row.split(',').nth(n).unwrap().to_string()
    };
    let times: Vec<f64> = rows[1..]
        .iter()
        .map(|r| of(r, "time_s").parse().unwrap())
        .collect();
    assert!(times.windows(2).all(|t| t[1] > t[0]));
    assert!(times.windows(2).any(|t| t[1] - t[0] > 599.0), "a break");
    assert_eq!(of(rows[1], "voltage_V"), "112");
    assert_eq!(of(rows[1], "fired"), "true");
    assert_eq!(of(rows[40], "weld"), "40");
}

#[test]
fn bad_input_is_refused_with_what_was_expected() {
    for (arguments, words) in [
        (
            &["--pace", "12"][..],
            "--pace: expected welds per time, such as 12/min",
        ),
        (
            &["--pace", "1e9/s"],
            "--pace: 1e9/s is out of bounds; allowed is from 1/h to 10/s",
        ),
        (
            &["--breaks", "30min"],
            "--breaks: expected length and time of a break, such as 30min@2h",
        ),
        (
            &["--breaks", "30min@2h,30min@2h"],
            "none of which begins before the one before has ended",
        ),
        (&["--welds", "0"], "a number from 1 to 100000"),
        (&["--set", "charger.power=0 W"], "from 1 W to 100000 W"),
        (&["--set", "charger.powr=300 W"], "power"),
        (&["--set", "charger.interlock=maybe"], "charger.interlock"),
        (
            &["--set", "thermal.can_heat=2 K"],
            "heat capacity such as \"80 J/K\"",
        ),
        (&["--set", "wear.erosion=2 mg"], "such as \"50 ug/C\""),
    ] {
        let text = flat(
            &Bench::new()
                .run(&[&["shift"], arguments].concat())
                .failed(2),
        );
        assert!(text.contains(words), "{arguments:?}: {text}");
    }
}

#[test]
fn the_pages_say_what_limits_the_pace() {
    let bench = Bench::new();
    let text = flat(&bench.run(&[&QUICK[..], &["12/min"]].concat()).done());
    assert!(text.contains("the charger limits it"), "{text}");
    assert!(text.contains("All 40 welds are sound"), "{text}");
    let cold = ["12/min", "--set", "bank.voltage=90V"];
    let text = flat(&bench.run(&[&QUICK[..], &cold].concat()).done());
    assert!(text.contains("The first weld is cold"), "{text}");
    let late = ["60/min", "--set", "charger.interlock=no"];
    let text = flat(&bench.run(&[&QUICK[..], &late].concat()).done());
    assert!(
        text.contains("welds were fired before the set was ready"),
        "{text}"
    );
    let bolted = ["12/min", "--set", "stud.short_resistance=1mohm"];
    let text = flat(&bench.run(&[&QUICK[..], &bolted].concat()).done());
    assert!(
        text.contains("40 discharges through a bolted short"),
        "{text}"
    );
}

#[test]
fn picture_and_report_are_whole() {
    let bench = Bench::new();
    let files = ["12/min", "--plot", "a.svg", "--report", "a.html"];
    bench.run(&[&QUICK[..], &files].concat()).done();
    for (file, end) in [("a.svg", "</svg>\n"), ("a.html", "</html>\n")] {
        let text = bench.read(file);
        assert!(text.ends_with(end), "{file}");
        assert!(text.contains("verdicts along the shift"), "{file}");
    }
}

#[test]
fn regress_a_weld_between_the_fired_ones_has_its_own_verdict() {
    let rows = |more: &[&str]| {
        let all = [
            "shift",
            "--no-band",
            "--no-scatter",
            "--csv",
            "-",
            "--welds",
        ];
        let text = Bench::new().run(&[&all, more].concat()).done();
        let mut csv = csv::Reader::from_reader(text.as_bytes());
        let head = csv.headers().unwrap().clone();
        let at = |name: &str| head.iter().position(|h| h == name).unwrap();
        let places = ["fill_ratio", "vapour_share", "verdict"].map(at);
        let rows = csv.records().map(Result::unwrap);
        rows.map(|row| places.map(|at| row[at].to_string()))
            .collect::<Vec<_>>()
    };
    // The first weld is just sound; those after it, of leads that are warm, are not.
    let cold = rows(&["8", "--pace", "36.78/min", "--set", "bank.voltage=100.9V"]);
    let below = |row: &&[String; 3]| row[0].parse::<f64>().unwrap() < 1.0;
    assert!(cold.iter().filter(below).count() >= 2);
    assert!(
        cold.iter().filter(below).all(|row| row[2] == "cold"),
        "{cold:?}"
    );
    let hot = rows(&[
        "100",
        "--pace",
        "36/min",
        "--set",
        "bank.voltage=118V",
        "--set",
        "charger.interlock=no",
        "--set",
        "charger.power=600W",
        "--set",
        "charger.current=10A",
    ]);
    assert!(hot.iter().all(|row| row[1].parse::<f64>().unwrap() >= 0.0));
}

#[test]
fn shares_of_one_rig_have_no_intervals_and_all_but_one_weld_is_not_100_per_cent() {
    let hurried = [
        "shift",
        "--welds",
        "400",
        "--no-band",
        "--pace",
        "60/min",
        "--set",
        "charger.interlock=no",
    ];
    let bench = Bench::new();
    let text = bench
        .run(&[&hurried[..], &["--json", "shift.json"]].concat())
        .done();
    let shift: Value = serde_json::from_str(&bench.read("shift.json")).unwrap();
    let own = shift["verdicts"].as_array().unwrap();
    assert!(
        own.len() > 1 && own.iter().all(|v| v.get("low").is_none()),
        "{own:?}"
    );
    let drawn = shift["verdicts_with_scatter"].as_array().unwrap();
    assert!(drawn.iter().all(|v| v.get("low").is_some()), "{drawn:?}");
    assert!(
        !text.contains(" 100 %  ") && text.contains(" 99.8 % "),
        "{text}"
    );
}

#[test]
fn an_aged_bank_is_not_set_above_what_it_bears() {
    let text = Bench::new()
        .run(
            &[
                &QUICK[..],
                &[
                    "12/min",
                    "--set",
                    "bank.voltage_max=112V",
                    "--set",
                    "wear.life=100h",
                ],
            ]
            .concat(),
        )
        .done();
    let told = flat(&text);
    assert!(told.contains("mΩ – 1.0 million"), "{told}");
    assert!(
        told.contains("–: no voltage up to 112 V fills it so, the highest of the bank"),
        "{told}"
    );
}

#[test]
fn the_word_of_a_shift_counts_the_scattered_welds() {
    let say = |more: &[&str]| {
        let shift = ["shift", "--welds", "40", "--no-band"];
        flat(&Bench::new().run(&[&shift[..], more].concat()).done())
    };
    let scattered = say(&[]);
    assert!(
        scattered
            .contains("not always sound Without scatter all 40 welds are sound (fill 1.41 to ")
    );
    assert!(
        scattered.contains("with the scatter of studs and rig "),
        "{scattered}"
    );
    let plain = say(&["--no-scatter"]);
    assert!(
        plain.contains("All 40 welds are sound; fill 1.41 to "),
        "{plain}"
    );
    // Studs and rig that hardly scatter leave every weld sound.
    let even = say(&[
        "--set",
        "bank.voltage=118V",
        "--set",
        "tolerance.stud.cone=0.01 deg",
        "--set",
        "tolerance.tool.tilt=0.01 deg",
    ]);
    assert!(even.contains("sound All 40 welds are sound") && even.contains("sound 100 % 100 %"));
    let fastest = "Fastest pace at which the nominal weld stays sound over 40 welds: ";
    assert!(scattered.contains(fastest), "{scattered}");
}

#[test]
fn a_chuck_that_wears_out_at_any_pace_is_told_with_its_weld() {
    let page = Bench::new().run(&[
        "shift",
        "--welds",
        "100",
        "--no-band",
        "--no-scatter",
        "--set",
        "wear.allowance=0.01mg",
    ]);
    let page = flat(&page.done());
    assert!(page.contains("Fastest pace at which the nominal weld stays sound over 100 welds: none. Even at 14.7 welds an hour weld 21 is not sound: chuck"));
}

#[test]
fn regress_a_shift_tells_what_fire_tells_of_its_first_weld() {
    let say = |more: &[&str]| {
        let shift = ["shift", "--welds", "40", "--no-scatter"];
        flat(&Bench::new().run(&[&shift[..], more].concat()).done())
    };
    let loose = ["--set", "joints.tool=loose", "--set", "bank.voltage=118V"];
    let told = say(&[&loose[..], &["--no-band"]].concat());
    let fire = flat(&Bench::new().run(&[&["fire"], &loose[..]].concat()).done());
    let start = fire.find("The tool terminal took").expect("fire names it");
    let line = &fire[start..start + fire[start..].find("arcs at").expect("how it burns")];
    assert!(told.contains(line), "{line}: {told}");
    let hot = say(&["--set", "bank.voltage=135V"]);
    assert!(
        hot.contains("sound, borderline All 40 welds are sound"),
        "{hot}"
    );
    assert!(hot.contains("the result of the first weld is 22 sound, 106 hot."));
    let band = &json(&["--welds", "2", "--no-scatter"])["band"][0]["verdicts"];
    let counts = band.as_array().unwrap().iter().map(|v| number(&v["count"]));
    assert_eq!(counts.sum::<f64>(), 128.0);
}

#[test]
fn regress_a_break_after_the_last_weld_is_none_of_the_shift() {
    let say = |breaks: &str| {
        let more = ["12/min", "--breaks", breaks];
        flat(&Bench::new().run(&[&QUICK[..], &more].concat()).done())
    };
    assert!(!say("30min@9h").contains("1 break"));
    assert!(say("30min@1min").contains("min 15 s, 1 break"));
}

#[test]
fn regress_a_switch_that_a_shift_finds_too_hot_is_told_of_the_single_shot() {
    let set = [
        "--set",
        "stud.size=M6",
        "--set",
        "bank.voltage=149V",
        "--set",
        "tool.spring_force=77N",
    ];
    let bench = Bench::new();
    let shift = json(&[&set[..], &["--welds", "1", "--no-scatter", "--no-band"]].concat());
    bench
        .run(&[&["fire", "--json", "f.json"], &set[..]].concat())
        .done();
    let fire: Value = serde_json::from_str(&bench.read("f.json")).unwrap();
    let hot = &fire["remarks"][0]["hot-switch"];
    // A first weld of the shift is as cold as the shot.
    let [one, other] = [&shift["junction_highest_K"], &hot["junction_K"]].map(number);
    assert!((one - other).abs() < 1e-9, "{one} {other}");
    assert!(other > number(&hot["limit_K"]));
    let words = "the junction of the switch 132 °C hot, above its limit of 125 °C";
    for command in ["fire", "compare"] {
        let more = ["--fault", "weak-spring"];
        let more = if command == "fire" {
            &[][..]
        } else {
            &more[..]
        };
        let told = flat(&bench.run(&[&[command], &set[..], more].concat()).done());
        assert!(told.contains(words), "{told}");
        assert!(told.contains("but the switch gets too hot"), "{told}");
    }
    let dial = [
        "dial",
        "--vary",
        "bank.voltage=150..170V",
        "--set",
        "stud.size=M6",
        "--set",
        "tool.spring_force=77N",
    ];
    let told = flat(&bench.run(&dial).done());
    assert!(
        told.contains("Sound, but the switch gets too hot."),
        "{told}"
    );
    let chart = flat(
        &bench
            .run(&["chart", "--metal", "mild steel", "--stud", "M8"])
            .done(),
    );
    assert!(
        chart.contains("M8: sound, but the switch gets too hot."),
        "{chart}"
    );
}
