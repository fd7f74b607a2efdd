//! What `fire` says of a weld beside its verdict: what would help, what mends, what the mean hides.

use super::tool::{Bench, flat};

/// The page of a case, its breaks of line undone.
fn page(arguments: &[&str]) -> String {
    let said = Bench::new()
        .run(&[&["fire", "--no-band"], arguments].concat())
        .done();
    flat(&said)
}

/// The numbers before " V" in the sentence of what was tried.
fn voltages(said: &str) -> Vec<String> {
    let from = said.find("sound from ").expect("a voltage that helps") + "sound from ".len();
    let words = said[from..].split(" V").next().unwrap_or_default();
    words.split(" to ").map(str::to_string).collect()
}

#[test]
fn what_it_tried_holds_when_it_is_done() {
    for (setting, now) in [("bank.voltage=95 V", "cold"), ("bank.voltage=138 V", "hot")] {
        let said = page(&["--set", setting]);
        assert!(said.contains(&format!(" {now} ")), "{said}");
        let found = voltages(&said);
        assert_eq!(found.len(), 2, "{said}");
        for volts in found {
            let set = format!("bank.voltage={volts} V");
            let mended = page(&["--set", &set]);
            assert!(mended.contains(" sound "), "{volts} V: {mended}");
            assert!(!mended.contains("Tried"), "{mended}");
        }
    }
}

#[test]
fn where_no_single_setting_helps_it_says_so() {
    let said = page(&["--set", "tool.spring_force=500 N"]);
    assert!(said.contains("neither voltage ("), "{said}");
    assert!(
        said.contains("`arcplunge dial` varies two at once"),
        "{said}"
    );
    // The pip got more joules than its burst takes, most of them in its contact: flat, it is no fuse.
    assert!(said.contains("The spring pressed the pip from"), "{said}");
    assert!(!said.contains("needs about"), "{said}");
}

#[test]
fn a_fault_comes_with_what_mends_it() {
    let said = page(&["--fault", "fat-pip"]);
    assert!(said.contains("Repair the fault first. "), "{said}");
    assert!(!page(&[]).contains("Repair"), "nothing to repair");
}

#[test]
fn a_weld_that_is_bare_on_one_side_is_not_called_sound_alone() {
    let sets = [
        "--set",
        "earth.1=none",
        "--set",
        "earth.0.at=-60mm,0mm",
        "--set",
        "bank.voltage=108V",
    ];
    let said = page(&sets);
    assert!(said.contains(" one-sided "), "{said}");
    assert!(said.contains("from 6:30 to 11:30"), "{said}");
    let json = Bench::new()
        .run(&[&["fire", "--no-band", "--json", "-"][..], &sets].concat())
        .done();
    assert!(json.contains("\"witness\": \"one-sided\""), "{json}");
    assert!(
        !page(&[]).contains("one-sided"),
        "the demonstration case is whole"
    );
}

#[test]
fn a_thin_sheet_shows_on_its_back() {
    let thin = |thickness: &str| page(&["--set", &format!("sheet.thickness={thickness}")]);
    assert!(!thin("2 mm").contains("back face reaches"));
    assert!(thin("1 mm").contains("paint, plating or film on the back will suffer"));
    assert!(thin("0.3 mm").contains("soft through its whole thickness"));
}
