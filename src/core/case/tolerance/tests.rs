use super::*;
use crate::case::read::{Resolved, demonstration, read_text};
use crate::case::show::show;

fn read(text: &str) -> Result<Resolved, String> {
    read_text("case.toml", text, &[]).map_err(|told| told.to_string())
}

fn keys(resolved: &Resolved) -> Vec<String> {
    let all = resolved.tolerances.of(&resolved.case);
    all.iter().map(|t| t.address.to_string()).collect()
}

#[test]
fn a_case_that_says_nothing_has_the_catalogues() {
    let resolved = demonstration(&[]).unwrap();
    let found = keys(&resolved);
    assert!(found.contains(&"stud.cone".to_string()));
    assert!(
        !found.contains(&"tool.lift".to_string()),
        "the contact method lifts nothing"
    );
    let gap = demonstration(&["tool.method=gap".into()]).unwrap();
    assert!(keys(&gap).contains(&"tool.lift".to_string()));
    let bolted = demonstration(&["stud.short_resistance=1mohm".into()]).unwrap();
    assert_eq!(keys(&bolted), ["bank.voltage", "lead.temperature"]);
}

#[test]
fn spreads_are_read_with_and_without_quotes_and_as_tables() {
    let resolved = read(
        "[tolerance]\nothers = \"none\"\n\"bank.voltage\" = \"1 V\"\ntool.spring_force = \"2 %\"\n\
         arc.to_stud = 0.02\nearth.0.length = { spread = \"0.1 m\", shape = \"uniform\" }\n\
         \"metal.mild steel.density\" = { spread = \"1 %\", shape = \"truncated\", limit = \"2 %\" }\n\
         lead.temperature = \"3 K\"\n",
    )
    .unwrap();
    let all = resolved.tolerances.of(&resolved.case);
    let words: Vec<String> = all
        .iter()
        .map(|t| {
            format!(
                "{}: {}",
                t.address,
                t.spread.words(t.address.about().unwrap())
            )
        })
        .collect();
    assert_eq!(
        words,
        [
            "bank.voltage: 1 V, normal",
            "tool.spring_force: 2 %, normal",
            "arc.to_stud: 0.02, normal",
            "earth.0.length: 0.1 m, uniform",
            "metal.\"mild steel\".density: 1 %, truncated at 2 %",
            "lead.temperature: 3 K, normal",
        ]
    );
    assert_eq!(all[1].spread.amount.of(80.0), 1.6);
}

#[test]
fn an_override_changes_adds_and_takes_away() {
    let sets = [
        "tolerance.bank.voltage={ spread = \"1 V\", shape = \"uniform\" }",
        "tolerance.stud.cone=none",
        "tolerance.lead.length=0.2m",
    ];
    let resolved = demonstration(&sets.map(String::from)).unwrap();
    let all = resolved.tolerances.of(&resolved.case);
    let find = |key: &str| all.iter().find(|t| t.address.to_string() == key);
    assert_eq!(find("bank.voltage").unwrap().spread.shape, Shape::Uniform);
    assert!(find("stud.cone").is_none());
    assert!(!find("lead.length").unwrap().usual && find("stud.flange").unwrap().usual);
}

#[test]
fn what_is_shown_reads_back_as_the_same_spreads() {
    let sets = [
        "tolerance.stud.cone=none",
        "tolerance.arc.to_stud=0.03",
        "tolerance.bank.esr=5%",
    ];
    let resolved = demonstration(&sets.map(String::from)).unwrap();
    let again = read(&show(&resolved)).unwrap();
    let of = |r: &Resolved| -> Vec<(String, Spread)> {
        let all = r.tolerances.of(&r.case);
        all.iter()
            .map(|t| (t.address.to_string(), t.spread))
            .collect()
    };
    assert_eq!(of(&again), of(&resolved));
    assert_eq!(again.case, resolved.case);
}

#[test]
fn mistakes_are_told_with_line_and_nearest_name() {
    for (line, words) in [
        (
            "\"bank.volts\" = \"1 V\"",
            &["unknown key", "voltage", "case.toml:2"][..],
        ),
        ("bank.voltage = 1", &["no unit"]),
        ("bank.voltage = \"1 A\"", &["unit"]),
        ("bank.voltage = \"0 V\"", &["above zero"]),
        ("bank.voltage = \"-1 %\"", &["above zero"]),
        ("stud.size = \"1 mm\"", &["not a number"]),
        (
            "joints.tool = \"1 mohm\"",
            &["not a number", "`joints.tool.resistance`"],
        ),
        (
            "bank.voltage = \"1 MV\"",
            &["wider than the bounds", "1000 V"],
        ),
        ("earth.4.length = \"1 m\"", &["no earth lead 4"]),
        ("lead.temperature = \"5 degC\"", &["in K"]),
        ("lead.temperature = \"1 %\"", &["in K"]),
        ("lead.turns = \"5 %\"", &["value is 0"]),
        (
            "bank.voltage = { spread = \"1 V\", shape = \"norml\" }",
            &["did you mean `normal`?"],
        ),
        (
            "bank.voltage = { spred = \"1 V\" }",
            &["did you mean `spread`?"],
        ),
        ("bank.voltage = { shape = \"normal\" }", &["needs `spread`"]),
        (
            "bank.voltage = { spread = \"1 V\", shape = \"truncated\" }",
            &["needs a `limit`"],
        ),
        (
            "bank.voltage = { spread = \"1 V\", limit = \"2 V\" }",
            &["truncated"],
        ),
        ("others = \"some\"", &["none"]),
        ("sheet.centre_mark.depth = \"0.1 mm\"", &["not set"]),
        ("bank.voltage = true", &["true or false"]),
    ] {
        let told = read(&format!("[tolerance]\n{line}\n")).unwrap_err();
        for word in words {
            assert!(told.contains(word), "{line}: {told}");
        }
    }
    let told = demonstration(&["tolerance.bank.volts=1V".into()]).unwrap_err();
    assert!(told.to_string().contains("did you mean"), "{told}");
    assert!(read("tolerance = 3").unwrap_err().contains("section"));
}

#[test]
fn every_spread_of_the_catalogue_is_of_a_key_and_has_a_source() {
    let case = Case::default();
    for entry in usual().iter().chain(uncertainties()) {
        assert!(!entry.source.is_empty(), "{}", entry.key);
        let limited = entry.spread.limit.is_some();
        assert_eq!(
            limited,
            entry.spread.shape == Shape::Truncated,
            "{}",
            entry.key
        );
    }
    let model = Tolerances::default().of_model(&case);
    assert_eq!(model.len(), uncertainties().len(), "each plays a part");
}

#[test]
fn a_model_figure_that_the_case_gives_a_spread_keeps_it() {
    let resolved = demonstration(&["tolerance.arc.fall=0.5V".into()]).unwrap();
    let of_model = resolved.tolerances.of_model(&resolved.case);
    assert!(of_model.iter().all(|t| t.address.to_string() != "arc.fall"));
}
