//! What `fire` says of a weld beside its verdict: what would help, what mends, what the mean hides.

use serde_json::Value;

use super::tool::{Bench, flat};

/// The page of a case, its breaks of line undone.
fn page(arguments: &[&str]) -> String {
    let said = Bench::new()
        .run(&[&["fire", "--no-band"], arguments].concat())
        .done();
    flat(&said)
}

/// The caution that comes with the advice to charge a bank higher than the case does.
const CHECK: &str = "check its nameplate before you charge it to more than now";

/// The page of a command, its breaks of line undone; with as many cautions as are to be there.
fn cautioned(arguments: &[&str], times: usize) {
    let said = flat(&Bench::new().run(arguments).done());
    assert_eq!(said.matches(CHECK).count(), times, "{arguments:?}: {said}");
}

#[test]
fn a_voltage_above_the_cases_own_comes_with_its_caution_in_every_command() {
    const M8: [&str; 2] = ["--set", "stud.size=M8"];
    const SCALE: [&str; 2] = ["--set", "bank.scale=[[1, \"60 V\"], [10, \"150 V\"]]"];
    const LOW: [&str; 2] = ["--set", "bank.voltage=108V"];
    const HIGH: [&str; 2] = ["--set", "bank.voltage=195V"];
    const BACK: [&str; 2] = ["--variant", "bank.voltage=112V"];
    const MARK: [&str; 2] = ["--vary", "bank.voltage_mark=1..10"];
    for (command, sets) in [
        ("fire", vec![M8]),
        ("compare", vec![M8, HIGH, BACK]),
        ("card", vec![M8]),
        ("dial", vec![SCALE, LOW, MARK]),
    ] {
        let sets = sets.as_flattened();
        cautioned(&[&[command], sets].concat(), 1);
        cautioned(
            &[&[command, "--set", "bank.voltage_max=240V"], sets].concat(),
            0,
        );
    }
    // A lower one needs none.
    let hot = page(&["--set", "bank.voltage=138V"]);
    assert!(hot.contains("sound from") && !hot.contains(CHECK), "{hot}");
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
    let said = page(&["--set", "tool.spring_force=900 N"]);
    assert!(said.contains("neither voltage ("), "{said}");
    assert!(
        said.contains("`arcplunge dial` varies two at once"),
        "{said}"
    );
    // The pip got more joules than its burst takes, most of them in its contact: flat, it is no fuse.
    let said = page(&["--set", "tool.spring_force=600 N"]);
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

/// The number before a word.
fn before(said: &str, word: &str) -> f64 {
    let said = &said[..said.find(word).unwrap_or_else(|| panic!("{word}: {said}"))];
    let number = said.rsplit(' ').next().unwrap_or_default();
    number
        .parse()
        .unwrap_or_else(|_| panic!("{number}: {said}"))
}

#[test]
fn a_stud_tilted_above_its_cone_is_told_by_the_fill_that_decides() {
    let tilted = page(&["--set", "tool.tilt=4deg"]);
    assert!(tilted.contains(" cold "), "{tilted}");
    let fill = before(&tilted, " (1 needed; under a square");
    assert!(fill < 1.0, "{tilted}");
    // What is needed is more than what is supplied, and their ratio is the fill.
    let needs = before(&tilted, " mm³; the squeeze");
    let supplied = before(&tilted, " mm³, the pip") + before(&tilted, " mm³, and");
    assert!((supplied / needs - fill).abs() < 0.03 * fill, "{tilted}");
    // Square it has about the fill it says: it comes down a little later then.
    let square = before(&page(&["--set", "tool.tilt=0deg"]), "); none");
    let would = before(&tilted, ").");
    assert!((square / would - 1.0).abs() < 0.05, "{square} {would}");
}

#[test]
fn a_sweep_names_what_decides_where_the_wedge_is_full() {
    let sweep = |more: &[&str]| {
        let vary = ["sweep", "--vary", "tool.tilt=0..4deg/3"];
        flat(&Bench::new().run(&[&vary, more].concat()).done())
    };
    let said = sweep(&[]);
    assert!(
        said.contains("Cold or one-sided at a fill of 1 or more"),
        "{said}"
    );
    assert!(said.contains("--show rim_fill_min"), "{said}");
    let told = sweep(&["--show", "fill_ratio,rim_fill_min"]);
    assert!(!told.contains("Cold or one-sided"), "{told}");
}

#[test]
fn a_sheet_too_thin_is_told_by_every_command_that_calls_the_weld_sound() {
    let chart = [
        "chart",
        "--stud",
        "M8",
        "--metal",
        "mild steel on mild steel",
    ];
    let dial = ["dial", "--set", "stud.size=M8", "--vary", "bank.voltage"];
    let sweep = ["sweep", "--vary", "bank.voltage=105..115V/3"];
    // By its back alone, which a study's own shots do not follow to its hottest.
    const METALS: [&str; 4] = [
        "--set",
        "stud.metal=aluminium",
        "--set",
        "sheet.metal=aluminium",
    ];
    const HOT: [&str; 4] = ["dial", "--vary", "bank.voltage", "--set"];
    let hot = [&HOT[..], &["sheet.thickness=0.6mm"], &METALS].concat();
    let hot = flat(&Bench::new().run(&hot).done());
    assert!(
        hot.contains("Sound, but the sheet is too thin. The back of the sheet"),
        "{hot}"
    );
    for (command, thin, word) in [
        (
            &chart[..],
            "0.6mm",
            "M8: sound, but the sheet is too thin and the switch gets too hot.",
        ),
        (
            &dial,
            "0.6mm",
            "Sound, but the sheet is too thin and the switch gets too hot.",
        ),
        (
            &sweep,
            "0.4mm",
            "the sheet is too thin in 3 of the 3 sound welds",
        ),
        (&["shift"], "0.4mm", "The sheet is thinner than the 500 µm"),
    ] {
        let said = |thickness: &str| {
            let set = format!("sheet.thickness={thickness}");
            flat(
                &Bench::new()
                    .run(&[command, &["--set", &set]].concat())
                    .done(),
            )
        };
        let told = said(thin);
        assert!(told.contains(word), "{told}");
        let whole = said("1.5mm");
        let warned = whole.contains("too thin") || whole.contains("thinner");
        assert!(!warned, "{whole}");
    }
}

#[test]
fn what_never_melted_has_no_load_and_a_figure_off_its_band_is_named() {
    let unmelted = page(&["--set", "stud.size=M8"]);
    assert!(unmelted.contains("Neither face was molten"), "{unmelted}");
    assert!(!unmelted.contains("A pull should break"), "{unmelted}");
    assert!(page(&[]).contains("A pull should break"), "a molten one");
    let through = page(&["--set", "sheet.thickness=0.1mm"]);
    assert!(!through.contains("A pull should break"), "{through}");
    let banded = |sets: &[&str]| flat(&Bench::new().run(&[&["fire"], sets].concat()).done());
    let capped = banded(&[
        "--set",
        "stud.metal=copper",
        "--set",
        "sheet.metal=copper",
        "--set",
        "bank.voltage=120V",
    ]);
    assert!(
        capped.contains("Above its band: fill of the wedge."),
        "{capped}"
    );
    assert!(!banded(&[]).contains("its band:"), "inside");
}

#[test]
fn a_load_is_told_of_sound_welds_only() {
    let cold = page(&["--set", "joints.tool=loose"]);
    assert!(
        cold.contains(" cold ") && !cold.contains("A pull"),
        "{cold}"
    );
    let hot = page(&["--set", "bank.voltage=150V"]);
    assert!(hot.contains(" hot ") && !hot.contains("A pull"), "{hot}");
}

#[test]
fn a_centre_mark_flatter_than_the_pip_swallows_none_of_it() {
    let said = |depth: &str| {
        let depth = format!("sheet.centre_mark.depth={depth}");
        page(&["--set", &depth])
    };
    let flat = said("0.3mm");
    assert!(!flat.contains("swallows"), "{flat}");
    assert!(flat.contains("The centre mark takes"), "{flat}");
    let deep = said("0.8mm");
    assert!(deep.contains("The centre mark swallows"), "{deep}");
}

#[test]
fn a_window_comes_with_how_surely_the_weld_is_sound_in_it() {
    let fire = |sets: &[&str], more: &[&str]| {
        let sets: Vec<&str> = sets.iter().flat_map(|set| ["--set", set]).collect();
        Bench::new()
            .run(&[&["fire"][..], &sets, more].concat())
            .done()
    };
    let middle = |sets: &[&str]| {
        let tree: Value = serde_json::from_str(&fire(sets, &["--json", "-"])).expect("JSON");
        let tried = tree["remedies"]["tried"].as_array().expect("keys turned");
        let voltage = tried.iter().find(|t| t["key"] == "bank.voltage");
        let middle = &voltage.expect("the voltage")["middle"];
        let number = |name: &str| middle[name].as_f64().expect("a window");
        (number("sound"), number("value"))
    };
    let cold = ["bank.voltage=95V"];
    let (sound, volts) = middle(&cold);
    assert!(sound > 64.0, "{sound}");
    let said = flat(&fire(&cold, &[]));
    let counts = format!("instead of 95 V (in {sound} of 128 shots of its band at {volts} V)");
    assert!(said.contains(&counts), "{said}");
    // Sound by luck alone, whatever is turned: no remedy.
    let aluminium = [
        "stud.size=M3",
        "stud.metal=aluminium",
        "sheet.metal=aluminium",
    ];
    assert!(middle(&aluminium).0 < 13.0);
    let said = flat(&fire(&aluminium, &[]));
    assert!(
        said.contains("Tried one at a time: hardly sound from"),
        "{said}"
    );
    assert!(!said.contains(": sound"), "{said}");
}

#[test]
fn a_burning_joint_is_mended_and_no_voltage_makes_up_for_it() {
    let said = page(&["--set", "joints.tool=loose"]);
    assert!(
        said.contains("With every joint tight the weld is sound"),
        "{said}"
    );
    assert!(
        !said.contains("sound from") && !said.contains("instead of 112 V"),
        "{said}"
    );
}

#[test]
fn a_thin_sheet_is_no_but_beside_another_fault_and_its_back_is_told_of_once() {
    let thin = |sets: &[&str]| {
        let sets: Vec<&str> = sets.iter().flat_map(|s| ["--set", s]).collect();
        flat(&Bench::new().run(&[&["fire"][..], &sets].concat()).done())
    };
    let sound = thin(&["sheet.thickness=0.3mm"]);
    assert!(
        sound.contains("sound, but the sheet is too thin"),
        "{sound}"
    );
    let cold = thin(&["sheet.thickness=0.3mm", "bank.voltage=80V"]);
    assert!(cold.contains("cold, and the sheet is too thin"), "{cold}");
    let through = thin(&["sheet.thickness=0.1mm"]);
    assert!(
        through.contains("burn-through, and the sheet is too thin"),
        "{through}"
    );
    assert!(through.contains("molten through to its back"), "{through}");
    assert!(
        !through.contains("it dents") && !through.contains("may bulge"),
        "{through}"
    );
}

#[test]
fn a_stud_that_stays_up_fills_nothing() {
    let told = flat(
        &Bench::new()
            .run(&["fire", "--set", "tool.spring_force=50N"])
            .done(),
    );
    assert!(
        told.contains("fill of the wedge none: the stud did not come down"),
        "{told}"
    );
    assert!(!told.contains("its band: fill"), "{told}");
    let earths = flat(
        &Bench::new()
            .run(&["earths", "--set", "tool.spring_force=50N"])
            .done(),
    );
    assert!(
        earths.contains("The stud did not come down: no rim is filled."),
        "{earths}"
    );
}

#[test]
fn what_an_override_may_not_mean_is_noted() {
    let noted = |set: &str| Bench::new().run(&["fire", "--no-band", "--set", set]);
    let added = noted("earth.2.clamp=loose");
    assert_eq!(added.code, 0);
    let note = "note: earth 2 is new, its clamp at 0 mm, -200 mm from the stud; the case had earths 0 and 1\n";
    assert_eq!(added.err, note);
    let idle = noted("tool.lift=0.5mm").err;
    assert!(
        idle.starts_with("note: `tool.lift` plays no part"),
        "{idle}"
    );
}
