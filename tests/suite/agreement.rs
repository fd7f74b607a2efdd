//! The whole cycle against a second solver (SciPy), and the discharge against ngspice.
//!
//! The references are stored beside the scripts that made them: tests/reference/.

use std::path::{Path, PathBuf};

use arcplunge_core::case::read;
use arcplunge_core::simulation::fire::{Settings, Workspace};
use arcplunge_core::simulation::rig::Rig;
use arcplunge_core::simulation::trace::{Row, Trace, trace};
use serde_json::Value;

/// Figures of the heat: the reference's own mesh is good to some tenths of a per cent.
const HEAT: [(&str, f64); 9] = [
    ("melt_stud_m", 0.01),
    ("melt_sheet_m", 0.01),
    ("melt_sheet_max_m", 0.01),
    ("squeeze_travel_m", 0.015),
    ("fill_ratio", 0.015),
    ("vapour_share", 0.02),
    ("freeze_s", 0.005),
    ("cooling_rate_K_per_s", 0.05),
    ("back_face_K", 0.005),
];

/// Figures of circuit, pip and plunge.
const MARCH: f64 = 2e-6;

/// Vapour shares below this are told apart by the meshes only.
const LITTLE_VAPOUR: f64 = 2e-3;

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference")
}

fn json(name: &str) -> Value {
    let text = std::fs::read_to_string(folder().join(name)).expect("a stored reference");
    serde_json::from_str(&text).expect("JSON")
}

fn fired(name: &str) -> Trace {
    let path = folder().join("cases").join(format!("{name}.toml"));
    let case = read::read_file(&path, &[])
        .unwrap_or_else(|e| panic!("{}", e.render(false)))
        .case;
    trace(
        &Rig::new(&case),
        &Settings::default(),
        20e-6,
        &mut Workspace::default(),
    )
    .expect("a shot")
}

fn figures(trace: &Trace) -> Value {
    serde_json::to_value(trace.shot.figures).expect("figures")
}

/// Our figures beside the reference's: how many were compared, and what is wrong.
#[derive(Default)]
struct Compared {
    numbers: usize,
    wrong: Vec<String>,
}

fn compare(theirs: &Value, ours: &Value) -> Compared {
    let mut out = Compared::default();
    for (name, reference) in theirs.as_object().expect("figures") {
        let own = ours.get(name).unwrap_or_else(|| panic!("no {name}"));
        let (reference, own) = (reference.as_f64(), own.as_f64());
        let allowed = HEAT
            .iter()
            .find(|(n, _)| n == name)
            .map_or(MARCH, |(_, a)| *a);
        match (reference, own) {
            (None, None) => {}
            // A peak of no current is none.
            (Some(0.0), None) => {}
            (Some(a), Some(b)) if name == "vapour_share" && a.max(b) < LITTLE_VAPOUR => {}
            (Some(a), Some(b)) if (a - b).abs() <= allowed * a.abs() => out.numbers += 1,
            _ => out
                .wrong
                .push(format!("{name}: reference {reference:?}, ours {own:?}")),
        }
    }
    out
}

#[test]
fn agrees_with_scipy_on_every_figure_of_every_case() {
    let reference = json("reference.json");
    let cases = reference["cases"].as_object().expect("cases");
    let files = std::fs::read_dir(folder().join("cases")).expect("the cases");
    assert_eq!(cases.len(), files.count(), "a case has no reference");
    let mut numbers = 0;
    for (name, theirs) in cases {
        let ours = fired(name);
        let compared = compare(&theirs["figures"], &figures(&ours));
        assert!(compared.wrong.is_empty(), "{name}: {:#?}", compared.wrong);
        numbers += compared.numbers;
        let verdict = ours.shot.verdict.map(|v| v.name());
        assert_eq!(theirs["verdict"].as_str(), verdict, "{name}");
        let order: Vec<&str> = ours.shot.events.iter().map(|e| e.name.name()).collect();
        let reference: Vec<&str> = theirs["events"]
            .as_array()
            .expect("events")
            .iter()
            .map(|e| e["name"].as_str().expect("a name"))
            .collect();
        assert_eq!(reference, order, "{name}");
    }
    // As many as the stored reference holds, less the few that only meshes tell apart.
    assert!(numbers >= 350, "only {numbers} numbers were compared");
}

#[test]
fn agrees_with_scipy_only_where_it_should() {
    // Negative control: the loose terminal's figures are not the demonstration's.
    let reference = json("reference.json");
    let wrong = compare(
        &reference["cases"]["tool-terminal-loose"]["figures"],
        &figures(&fired("demonstration")),
    )
    .wrong;
    assert!(wrong.len() > 8, "{wrong:?}");
}

/// Columns of the curves, by how much they may differ, and where our rows hold them. A front stands still
/// while the next cell of the reference warms up: within two cells.
const CURVES: [Curve; 4] = [
    ("current_A", 0.02, |r| r.current_A),
    ("bank_V", 2e-4, |r| r.bank_V),
    ("gap_m", 1e-9, |r| r.gap_m),
    ("melt_sheet_m", 4e-6, |r| r.melt_sheet_m),
];

type Curve = (&'static str, f64, fn(&Row) -> f64);

fn column(curve: &Value, name: &str) -> Vec<f64> {
    let cells = curve[name].as_array().expect("a column");
    let cells = cells.iter().map(|v| v.as_f64().expect("a number"));
    cells.collect()
}

/// Holds our rows against those of the reference; how many of them there were, and how many we do not have.
fn compare_curves(name: &str, curve: &Value, ours: &Trace) -> [usize; 2] {
    let events = || ours.shot.events.iter().map(|e| e.time_s);
    let last_event = events().fold(0.0, f64::max);
    let columns = CURVES.map(|(column_name, ..)| column(curve, column_name));
    let [mut compared, mut missing] = [0; 2];
    for (n, t) in column(curve, "time_s").into_iter().enumerate() {
        // At an event's own time both sides are right.
        if t > last_event || events().any(|e| (e - t).abs() < 1e-9) {
            continue;
        }
        let Some(row) = ours.rows.iter().find(|r| (r.time_s - t).abs() < 1e-10) else {
            missing += 1;
            continue;
        };
        for ((what, allowed, of), theirs) in CURVES.iter().zip(&columns) {
            let (own, reference) = (of(row), theirs[n]);
            assert!(
                (own - reference).abs() <= *allowed,
                "{name} {what} at {t}: {reference} {own}"
            );
        }
        compared += 1;
    }
    [compared, missing]
}

#[test]
fn agrees_with_scipy_along_the_curves() {
    let reference = json("reference.json");
    let mut compared = 0;
    for (name, theirs) in reference["cases"].as_object().expect("cases") {
        let ours = fired(name);
        let [rows, missing] = compare_curves(name, &theirs["curve"], &ours);
        // Nothing moves where no current flows.
        let current = ours.shot.figures.peak_current_A.is_some();
        assert!(!current || rows > 99, "{name}: only {rows} rows");
        // The march takes no row where a step ends.
        assert!(missing <= 4, "{name}: {missing} rows are missing");
        compared += rows;
    }
    assert!(compared >= 4171, "only {compared} rows were compared");
}

/// The demonstration case's loop as ngspice was given it.
fn spice_case(run: &Value) -> arcplunge_core::case::Case {
    let mut case = arcplunge_core::case::Case::default();
    case.stud.short_resistance = Some(1e-3);
    if run["stud"] != "bolted" {
        // A fixed drop of 20 V and no resistance instead of the stud.
        case.bank.internal_resistance -= 1e-4;
        case.stud.short_resistance = Some(1e-4);
        case.bank.switch_drop += 20.0;
    }
    if run["earth_leads"] == "unequal" {
        case.earths[1].length = 3.0;
    }
    case
}

#[test]
fn agrees_with_ngspice_on_the_discharge() {
    let reference = json("discharge_ngspice.json");
    let mut compared = 0;
    for run in reference["runs"].as_array().expect("runs") {
        // Where the diode is a true one it starts some microseconds before the bank is empty.
        if run["diode"] != "rule" {
            continue;
        }
        let rig = Rig::new(&spice_case(run));
        let spice = |name: &str| run["ngspice"][name].as_f64().expect("a number");
        assert!(
            (rig.circuit.earth_resistance(1) / run["parameters"]["R_2"].as_f64().unwrap() - 1.0)
                .abs()
                < 1e-9
        );
        let shot = trace(&rig, &Settings::default(), 20e-6, &mut Workspace::default())
            .expect("a shot")
            .shot;
        let f = shot.figures;
        let time = |name: &str| {
            shot.events
                .iter()
                .find(|e| e.name.name() == name)
                .map_or(f64::NAN, |e| e.time_s)
        };
        let near = |own: f64, theirs: f64, allowed: f64, what: &str| {
            let deviation = (own / theirs - 1.0).abs();
            assert!(
                deviation < allowed,
                "{what} of {run}: {own} against {theirs}"
            );
        };
        near(f.peak_current_A.unwrap(), spice("peak"), 1e-6, "peak");
        // The tabled peak time is one of ngspice's steps of 0.05 µs.
        near(
            f.time_of_peak_s.unwrap(),
            spice("t_peak"),
            1e-4,
            "time of peak",
        );
        near(time("bank-empty"), spice("t_empty"), 2e-6, "bank empty");
        near(f.current_end_s.unwrap(), spice("t_end"), 2e-6, "end");
        near(f.action_A2s, spice("action"), 1e-5, "action");
        compared += 1;
    }
    assert_eq!(compared, 3);
}

#[test]
fn agrees_with_ngspice_within_its_stated_reach_of_a_true_diode() {
    // The take-over rule against a diode across the bank's terminals: 1 % of the action of a bolted
    // discharge, 0.1 % of one through an arc.
    let reference = json("discharge_ngspice.json");
    let mut compared = 0;
    for run in reference["runs"].as_array().expect("runs") {
        if run["diode"] != "true" {
            continue;
        }
        let allowed = if run["stud"] == "bolted" { 0.01 } else { 0.001 };
        let rig = Rig::new(&spice_case(run));
        let shot = trace(&rig, &Settings::default(), 20e-6, &mut Workspace::default())
            .expect("a shot")
            .shot;
        let theirs = run["ngspice"]["action"].as_f64().expect("a number");
        let deviation = (shot.figures.action_A2s / theirs - 1.0).abs();
        assert!(deviation < allowed, "{deviation}");
        assert!(
            deviation > 1e-5,
            "the two are not the same model: {deviation}"
        );
        compared += 1;
    }
    assert_eq!(compared, 2);
}
