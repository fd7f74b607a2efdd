use super::*;
use crate::case::Case;

#[test]
fn regress_every_default_is_within_its_bounds_and_no_name_comes_twice() {
    let case = Case::default();
    for (address, value) in numbers(&case) {
        let number = match &address {
            Address::Metal(_, key) => key.number,
            Address::Case(key) | Address::Earth(key, _) => *key.number().unwrap(),
        };
        assert!(number.range.holds(value), "{address} = {value}");
        let bounds = number.text(value);
        assert_eq!(number.read(&bounds), Ok(value), "{address} = {bounds}");
    }
    let mut paths: Vec<_> = all().map(|key| key.path).collect();
    paths.sort_unstable();
    paths.dedup();
    assert_eq!(paths.len(), all().count());
}

#[test]
fn regress_every_number_is_where_its_key_says() {
    // Each key moves one number and no other.
    let mut before = Case::default();
    set_text(&mut before, "sheet.centre_mark.depth", "0.5 mm").unwrap();
    set_text(&mut before, "stud.short_resistance", "1 mohm").unwrap();
    set_text(&mut before, "sheet.metal", "copper").unwrap();
    // Where it is not given it follows the metals.
    set_text(&mut before, "arc.fall", "16 V").unwrap();
    let old = numbers(&before);
    assert!(old.len() > 80, "{}", old.len());
    for (address, value) in &old {
        let mut after = before.clone();
        let moved = value * 0.99 + 1e-7;
        address.set_number(&mut after, moved).unwrap();
        for ((other, was), (_, is)) in old.iter().zip(numbers(&after)) {
            let expected = if other.to_string() == address.to_string() {
                moved
            } else {
                *was
            };
            assert_eq!(is, expected, "{address} moved {other}");
        }
    }
}

#[test]
fn regress_texts_reach_the_case() {
    let mut case = Case::default();
    set_text(&mut case, "earth.1.clamp", "loose").unwrap();
    assert_eq!(case.earths[1].clamp.resistance, 2e-3);
    set_text(&mut case, "stud.size", "M6").unwrap();
    assert_eq!((case.stud.size.as_str(), case.stud.flange), ("M6", 7.5e-3));
    set_text(&mut case, "tool.method", "gap").unwrap();
    assert_eq!(case.tool.method, crate::case::model::Method::Gap);
    set_text(&mut case, "tool.attitude", "up").unwrap();
    assert_eq!(case.tool.attitude, crate::case::model::Attitude::Up);
    set_text(&mut case, "earth.0.at", "-100 mm, 20 mm").unwrap();
    assert_eq!(case.earths[0].at, [-0.1, 0.02]);
    set_text(&mut case, "stud.metal", "brass 63/37").unwrap();
    assert_eq!(case.stud.metal.density, 8440.0);
    set_text(&mut case, "metal.brass 63/37.density", "8500 kg/m3").unwrap();
    assert_eq!(case.stud.metal.density, 8500.0);
    set_number(&mut case, "joints.tool.drop", 12.0).unwrap();
    assert_eq!(
        (case.joints.tool.name.as_str(), case.joints.tool.drop),
        ("own", Some(12.0))
    );
    set_text(&mut case, "sheet.centre_mark", "none").unwrap();
    let fall = get_number(&case, "arc.fall").unwrap();
    assert!((fall - 16.6).abs() < 1e-12, "brass on steel: {fall}");
    set_text(&mut case, "arc.fall", "16 V").unwrap();
    assert_eq!(get_number(&case, "arc.fall"), Ok(16.0));
    set_text(&mut case, "arc.fall", "none").unwrap();
    assert_eq!(case.arc.fall, None);
    set_text(&mut case, "stud.polarity", "positive").unwrap();
    set_number(&mut case, "arc.to_stud", 0.3).unwrap();
    assert_eq!((case.arc.to_cathode, case.arc.to_anode), (0.38, 0.3));
    set_number(&mut case, "arc.split", -0.1).unwrap();
    assert!((case.arc.to_cathode - 0.29).abs() < 1e-12 && (case.arc.to_anode - 0.39).abs() < 1e-12);
}

#[test]
fn regress_wrong_addresses_and_values_are_told() {
    let mut case = Case::default();
    let mut say = |path: &str, text: &str| set_text(&mut case, path, text).unwrap_err().to_string();
    assert_eq!(say("bank.volts", "1 V"), "unknown key `bank.volts`");
    assert_eq!(
        say("earth.2.length", "5 m"),
        "there is no earth lead 2; there are 2, numbers 0 to 1"
    );
    assert_eq!(
        say("earth.x.length", "5 m"),
        "`x` is not the number of an earth lead; they count from 0, as in `earth.0.length`"
    );
    assert_eq!(
        say("bank.voltage", "2 kV"),
        "`bank.voltage`: 2000 V is out of bounds; allowed is from 0.01 V to 1000 V"
    );
    assert_eq!(
        say("tool.tilt", "45 deg"),
        "`tool.tilt`: 45 deg is out of bounds; allowed is from 0 deg to below 45 deg"
    );
    assert_eq!(
        say("earth.0.clamp", "lose"),
        "`earth.0.clamp`: unknown joint `lose`; expected \"tight\", \"worn\", \"loose\" or \"arcing\", or a resistance such as \"2 mohm\""
    );
    assert_eq!(
        say("sheet.centre_mark.angle", "90 deg"),
        "`sheet.centre_mark.angle` is not set: there is no centre mark, give its depth first"
    );
    assert_eq!(
        say("metal.copper.density", "9000 kg/m3"),
        "neither stud nor sheet is of `copper`"
    );
    for bad in [f64::NAN, f64::INFINITY, -1.0] {
        assert!(set_number(&mut case, "bank.voltage", bad).is_err());
    }
    assert_eq!(case, Case::default());
}

#[test]
fn regress_hints_find_slips_and_strays() {
    let near = |section: &str, name: &str| hint(section, name).nearest.unwrap_or_default();
    assert_eq!(near("bank", "capacitanse"), "capacitance");
    assert_eq!(near("bank", "voltge"), "voltage");
    assert_eq!(near("", "erth"), "earth");
    assert_eq!(near("metal", "densty"), "density");
    assert_eq!(near("tool", "springforce"), "spring_force");
    assert_eq!(near("bank", "qqq"), "");
    assert_eq!(hint("bank", "spring_rate").belongs, ["tool.spring_rate"]);
    assert_eq!(hint("tool", "metal").belongs, ["stud.metal", "sheet.metal"]);
    assert_eq!(
        hint("stud", "viscosity").belongs,
        ["metal.\"...\".viscosity"]
    );
}

#[test]
fn a_slip_is_answered_by_what_can_be_given() {
    let near = |path: &str| find(path).err().and_then(|error| error.nearest());
    assert_eq!(near("lead.lenght").as_deref(), Some("lead.length"));
    assert_eq!(near("earth.1.lenght").as_deref(), Some("earth.1.length"));
    assert_eq!(near("tool.voltag").as_deref(), Some("bank.voltage"));
    // What the trade calls a metal is known as well.
    let metal = |name: &str| {
        let set = [format!("stud.metal={name}")];
        crate::case::read::demonstration(&set)
            .unwrap_err()
            .to_string()
    };
    assert!(metal("steal").contains("did you mean `steel`?"));
    assert!(metal("brasss").contains("did you mean `brass 63/37`?"));
}
