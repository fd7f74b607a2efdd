//! The whole cycle against a second solver (SciPy).
//!
//! The references are stored beside the scripts that made them: tests/reference/.

use std::path::{Path, PathBuf};

use arcplunge_core::case::joint_id::JointId;
use arcplunge_core::case::read;
use arcplunge_core::simulation::fire::{Settings, Workspace};
use arcplunge_core::simulation::rig::Rig;
use arcplunge_core::simulation::trace::{Row, Trace, trace};
use serde_json::Value;

/// Figures of the heat: the reference's own mesh is good to some tenths of a per cent.
const HEAT: [(&str, f64); 12] = [
    ("melt_stud_m", 0.01),
    ("melt_sheet_m", 0.01),
    ("melt_sheet_max_m", 0.01),
    ("squeeze_travel_m", 0.015),
    ("fill_ratio", 0.015),
    ("vapour_share", 0.02),
    ("freeze_s", 0.005),
    ("cooling_rate_K_per_s", 0.05),
    ("back_face_K", 0.005),
    ("rim_fill_min", 0.015),
    // On a grid of the clock.
    ("rim_fill_min_at", 1e-5),
    ("welded_share", 0.015),
];

/// Figures of circuit, pip and plunge.
const MARCH: f64 = 2e-6;

/// Instants and joules of the joints.
const JOINT: f64 = 2e-6;

/// Vapour shares below this are told apart by the meshes only.
const LITTLE_VAPOUR: f64 = 2e-3;

pub(crate) fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference")
}

pub(crate) fn json(name: &str) -> Value {
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
        // The joints' stand beside the joints there.
        let own = ours.shot.events.iter().filter(|e| e.joint.is_none());
        let order: Vec<&str> = own.map(|e| e.name.name()).collect();
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

/// Our joint as the reference calls it; it counts its earth leads from one.
fn reference_name(id: JointId) -> String {
    match id {
        JointId::Bank => "bank joint".into(),
        JointId::Tool => "tool joint".into(),
        JointId::Chuck => "chuck joint".into(),
        JointId::Terminal(k) => format!("earth {} terminal", k + 1),
        JointId::Clamp(k) => format!("earth {} clamp", k + 1),
    }
}

#[test]
fn agrees_with_scipy_on_every_joint() {
    let reference = json("reference.json");
    let (mut compared, mut instants) = (0, 0);
    for (name, theirs) in reference["cases"].as_object().expect("cases") {
        let ours = fired(name);
        let earths = theirs["joints"].as_object().map_or(0, |all| all.len() - 3) / 2;
        for id in JointId::all(earths) {
            let joint = ours.shot.joints[id];
            let theirs = &theirs["joints"][reference_name(id)];
            let pairs = [
                ("melts_s", joint.melts_s),
                ("sets_s", joint.sets_s),
                ("parts_s", joint.parts_s),
                ("energy_J", Some(joint.energy)),
            ];
            for (what, own) in pairs {
                let theirs = theirs[what].as_f64();
                let near = match (own, theirs) {
                    (Some(a), Some(b)) => (a - b).abs() <= JOINT * b.abs() + 1e-9,
                    (a, b) => a.is_none() && b.is_none(),
                };
                assert!(near, "{name}, {id} {what}: {theirs:?} ours {own:?}");
                compared += 1;
                instants += usize::from(what != "energy_J" && own.is_some());
            }
        }
    }
    assert!(compared >= 1000 && instants >= 15, "{compared} {instants}");
}
