mod faults;
mod random;
mod scale;

use super::*;
use crate::case::catalogue;
use crate::case::model::{Attitude, CentreMark, Method};
use crate::case::tolerance::Amount;

fn sets(list: &[&str]) -> Vec<String> {
    list.iter().map(|text| text.to_string()).collect()
}

fn good(text: &str, list: &[&str]) -> Resolved {
    read_text("case.toml", text, &sets(list)).unwrap_or_else(|told| panic!("{told}"))
}

fn bad(text: &str, list: &[&str]) -> String {
    match read_text("case.toml", text, &sets(list)) {
        Ok(_) => panic!("accepted: {text} {list:?}"),
        Err(told) => told.to_string(),
    }
}

/// The first line of each problem.
fn titles(text: &str, list: &[&str]) -> Vec<String> {
    let told = bad(text, list);
    let lines = told.lines().filter_map(|line| line.strip_prefix("error: "));
    lines.map(str::to_string).collect()
}

/// The case file of the manual, with every key at its default.
const WHOLE: &str = r#"
title = "M5 earth studs on a control-cabinet side"
[bank]
capacitance = "72 mF"
voltage = "112 V"
esr = "2 mohm"
switch_drop = "1.1 V"
switch_slope = "0.2 mohm"
internal_resistance = "0.3 mohm"
internal_inductance = "0.8 uH"
diode_drop = "0.9 V"
[lead]
length = "5 m"
section = "35 mm2"
spacing = "0.1 m"
turns = 0
coil_diameter = "0.4 m"
temperature = "20 degC"
[[earth]]
length = "5 m"
section = "25 mm2"
terminal = "tight"
clamp = "tight"
at = ["-200 mm", "0 mm"]
[[earth]]
at = ["200 mm", "0 mm"]
[joints]
bank = "tight"
tool = "tight"
chuck = "tight"
[tool]
method = "contact"
lift = "0.3 mm"
moving_mass = "120 g"
spring_force = "80 N"
spring_rate = "3 N/mm"
friction = "5 N"
attitude = "down"
tilt = "0 deg"
[stud]
size = "M5"
metal = "mild steel"
cone = "3 deg"
[sheet]
metal = "mild steel"
thickness = "1.5 mm"
[arc]
fall = "none"
field = "3 V/mm"
resistance = "0 mohm"
to_stud = 0.38
to_sheet = 0.38
[model]
burst_share = 0.3
pip_share = 1
forge_resistance = "50 uohm"
stud_depth = "4 mm"
end_time = "100 ms"
hot_share = 0.1
burn_share = 0.5
"#;

#[test]
fn regress_a_file_of_all_defaults_is_the_demonstration_case() {
    let mut case = good(WHOLE, &[]).case;
    assert_eq!(case.title, "M5 earth studs on a control-cabinet side");
    case.title.clear();
    assert_eq!(case, Case::default());
    assert_eq!(good("", &[]).case, Case::default());
    assert_eq!(good("\u{feff}# nothing\r\n", &[]).case, Case::default());
    let crlf = WHOLE.replace('\n', "\r\n");
    assert_eq!(good(&crlf, &["title="]).case, Case::default());
    assert_eq!(demonstration(&[]).unwrap().case, Case::default());
}

/// A file that says something of every form a value has.
const OWN_FILE: &str = r#"
[joints]
bank = "0.1 mohm"
tool = { resistance = "0.5 mohm", drop = "12 V" }
chuck = "arcing"
[[earth]]
clamp = { resistance = "1 mohm" }
at = { x = "-150 mm", y = "1 in" }
[tool]
method = "gap"
attitude = "level"
[stud]
size = "M6"
flange = "8 mm"
metal = "my alloy"
bolted = "1 mΩ"
[sheet]
metal = "my alloy"
centre_mark = { depth = "0.7 mm" }
[metal."my alloy"]
like = "copper"
density = "8900 kg/m3"
"#;

#[test]
fn regress_what_a_file_says_arrives() {
    let case = good(OWN_FILE, &[]).case;
    assert_eq!(
        (case.joints.bank.name.as_str(), case.joints.bank.resistance),
        ("own", 1e-4)
    );
    assert_eq!(
        (case.joints.tool.resistance, case.joints.tool.drop),
        (0.5e-3, Some(12.0))
    );
    assert_eq!(case.joints.chuck, catalogue::joint("arcing"));
    assert_eq!(case.earths.len(), 1);
    assert_eq!(
        (case.earths[0].clamp.resistance, case.earths[0].at),
        (1e-3, [-0.15, 0.0254])
    );
    assert_eq!(
        (case.tool.method, case.tool.attitude),
        (Method::Gap, Attitude::Level)
    );
    assert_eq!(
        (
            case.stud.size.as_str(),
            case.stud.flange,
            case.stud.pip_length
        ),
        ("M6", 8e-3, 0.8e-3)
    );
    assert_eq!(case.stud.short_resistance, Some(1e-3));
    let angle = std::f64::consts::FRAC_PI_2;
    assert_eq!(
        case.sheet.centre_mark,
        Some(CentreMark {
            depth: 0.7e-3,
            angle
        })
    );
    assert_eq!(
        (case.stud.metal.density, case.stud.metal.melting_point),
        (8900.0, 1358.0)
    );
    assert_eq!(case.stud.metal, case.sheet.metal);
}

#[test]
fn regress_where_each_value_came_from_is_known() {
    let origins = good(OWN_FILE, &[]).origins;
    assert_eq!(*origins.of("bank.voltage"), Origin::Default);
    assert_eq!(*origins.of("joints.tool.drop"), Origin::Line(4));
    assert_eq!(
        *origins.of("joints.chuck.drop"),
        Origin::Catalogue("arcing".into())
    );
    assert_eq!(*origins.of("earth.0.at"), Origin::Line(8));
    assert_eq!(*origins.of("stud.flange"), Origin::Line(14));
    assert_eq!(
        *origins.of("stud.pip_length"),
        Origin::Catalogue("M6".into())
    );
    assert_eq!(*origins.of("metal.\"my alloy\".density"), Origin::Line(22));
    assert_eq!(
        *origins.of("metal.\"my alloy\".hardness"),
        Origin::Catalogue("copper".into())
    );
}

#[test]
fn regress_overrides_go_on_top_of_the_file() {
    let Resolved { case, origins, .. } = good(
        WHOLE,
        &[
            "lead.length=12m",
            "earth.0.clamp=loose",
            "stud.size = M6",
            "sheet.centre_mark.depth=0.7mm",
            "title=a = b",
            "arc.to_stud=0.4",
            "earth.1.at=150mm, 20 mm",
            "joints.tool={ resistance = \"1 mohm\", drop = \"5 V\" }",
            "joints.tool.drop=\"6 V\"",
            "metal.mild steel.density=7800 kg/m3",
            "earth.2.length=7 m",
        ],
    );
    assert_eq!(case.lead.length, 12.0);
    assert_eq!(case.earths[0].clamp.name, "loose");
    assert_eq!(case.stud.flange, 7.5e-3);
    assert_eq!(case.sheet.centre_mark.map(|mark| mark.depth), Some(0.7e-3));
    assert_eq!(case.title, "a = b");
    assert_eq!(case.arc.to_cathode, 0.4);
    assert_eq!(case.earths[1].at, [0.15, 0.02]);
    assert_eq!(
        (case.joints.tool.resistance, case.joints.tool.drop),
        (1e-3, Some(6.0))
    );
    assert_eq!(
        (case.sheet.metal.density, case.stud.metal.density),
        (7800.0, 7800.0)
    );
    assert_eq!(
        (case.earths.len(), case.earths[2].length, case.earths[2].at),
        (3, 7.0, [0.0, -0.2])
    );
    assert_eq!(*origins.of("lead.length"), Origin::Set);
    assert_eq!(*origins.of("bank.esr"), Origin::Line(6));
}

#[test]
fn regress_a_later_whole_replaces_earlier_parts() {
    let own = "[stud]\nflange = \"8 mm\"\npip_diameter = \"0.7 mm\"\npip_length = \"0.7 mm\"\n";
    assert_eq!(good(own, &[]).case.stud.size, "own");
    let stud = good(own, &["stud.size=M6"]).case.stud;
    assert_eq!((stud.size.as_str(), stud.flange), ("M6", 7.5e-3));
    let stud = good(own, &["stud.size=M6", "stud.flange=8mm"]).case.stud;
    assert_eq!(
        (stud.size.as_str(), stud.flange, stud.pip_length),
        ("M6", 8e-3, 0.8e-3)
    );
    let joint = "[joints]\ntool = { resistance = \"1 mohm\", drop = \"5 V\" }\n";
    assert_eq!(
        good(joint, &["joints.tool=tight"]).case.joints.tool,
        catalogue::joint("tight")
    );
    let mark = "[sheet]\ncentre_mark = { depth = \"0.7 mm\", angle = \"80 deg\" }\n";
    assert_eq!(
        good(mark, &["sheet.centre_mark=none"])
            .case
            .sheet
            .centre_mark,
        None
    );
    assert_eq!(
        good(
            "[bank]\nvoltage_max = \"200 V\"",
            &["bank.voltage_max=none"]
        )
        .case
        .bank
        .voltage_max,
        None
    );
    assert_eq!(
        good(
            "[stud]\nbolted = \"1 mohm\"",
            &["stud.short_resistance=none"]
        )
        .case
        .stud
        .short_resistance,
        None
    );
}

#[test]
fn regress_an_earth_lead_can_be_taken_away() {
    let case = good("", &["earth.0=none"]).case;
    assert_eq!((case.earths.len(), case.earths[0].at), (1, [0.2, 0.0]));
    let case = good("", &["earth.1.length=7 m", "earth.0=none"]).case;
    assert_eq!((case.earths.len(), case.earths[0].length), (1, 7.0));
    // Its spreads go with it, and those of the leads behind move up.
    let text = "[tolerance]\n\"earth.0.length\" = \"1 m\"\n\"earth.1.length\" = \"2 m\"\n\
        [uncertainty]\n\"earth.1.section\" = \"2 mm2\"\n";
    let read = good(text, &["earth.0=none"]);
    let own = &read.tolerances.own;
    assert_eq!(
        (own.len(), own[0].address.to_string().as_str()),
        (1, "earth.0.length")
    );
    let spread = own[0].spread.unwrap().amount;
    assert_eq!(spread, Amount::Absolute(2.0));
    let keys: Vec<&String> = read.case.uncertainty.keys().collect();
    assert_eq!(keys, ["earth.0.section"]);
    assert_eq!(
        titles("", &["earth.0=none", "earth.1=none"]),
        ["0 earth leads; a case has 1 to 4"]
    );
    assert_eq!(
        titles("", &["earth.2=none"]),
        ["there is no earth lead 2; there are 2, numbers 0 to 1"]
    );
}
