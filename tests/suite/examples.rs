//! The case files and the program in examples/ do what their comments say.

use std::path::{Path, PathBuf};

use arcplunge::{Case, Rig, Settings};
use assert_cmd::Command;
use serde_json::Value;

fn example(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("examples")
        .join(name)
}

/// Fires a case file with overrides and returns its JSON.
fn fired(name: &str, sets: &[&str]) -> Value {
    let mut command = Command::cargo_bin("arcplunge").unwrap();
    command.arg("fire").arg(example(name)).args(["--json", "-"]);
    for set in sets {
        command.args(["--set", set]);
    }
    let output = command.assert().success().get_output().clone();
    assert!(output.stderr.is_empty(), "{name} complains");
    serde_json::from_slice(&output.stdout).unwrap()
}

fn verdict(shot: &Value) -> (&str, bool) {
    let verdict = shot["verdict"].as_str().unwrap();
    (verdict, shot["borderline"].as_bool().unwrap())
}

fn has_event(shot: &Value, name: &str) -> bool {
    let mut events = shot["events"].as_array().unwrap().iter();
    events.any(|e| e["name"] == name)
}

#[test]
fn regress_the_sound_weld_is_sound_all_over_its_band() {
    let shot = fired("sound-weld.toml", &[]);
    assert_eq!(verdict(&shot), ("sound", false));
}

#[test]
fn regress_the_loose_clamp_makes_a_sound_weld_cold() {
    let faulty = fired("loose-clamp.toml", &[]);
    assert_eq!(verdict(&faulty).0, "cold");
    let joints = faulty["joints"].as_array().unwrap();
    let clamp = joints.iter().find(|j| j["key"] == "earth.0.clamp").unwrap();
    assert_eq!(clamp["spot"], "parts");
    assert!(has_event(&faulty, "joint-parts"));
    let mended = fired("loose-clamp.toml", &["earth.0.clamp=tight"]);
    assert_eq!(verdict(&mended).0, "sound");
}

#[test]
fn regress_the_gap_weld_in_aluminium_is_sound_with_a_short_arc() {
    let shot = fired("gap-aluminium.toml", &[]);
    assert_eq!(verdict(&shot), ("sound", false));
    assert!(has_event(&shot, "pip-touch"));
    let arc = shot["figures"]["arc_time_s"].as_f64().unwrap();
    assert!((0.3e-3..0.8e-3).contains(&arc), "{arc} s");
}

#[test]
fn regress_the_gap_weld_stubs_where_the_current_rises_slowly() {
    let shot = fired("gap-aluminium.toml", &["lead.spacing=0.1m"]);
    assert!(has_event(&shot, "stub"));
    assert!(!has_event(&shot, "ignition"));
}

/// Runs the shift of the example, with more arguments, and returns its JSON.
fn shift(more: &[&str]) -> Value {
    let mut command = Command::cargo_bin("arcplunge").unwrap();
    command.arg("shift").arg(example("shift.toml"));
    command.args(["--welds", "900", "--no-band", "--no-scatter", "--json", "-"]);
    let output = command.args(more).assert().success().get_output().clone();
    serde_json::from_slice(&output.stdout).unwrap()
}

#[test]
fn regress_a_long_thin_lead_gets_warm_and_the_welds_cold() {
    let breaks = ["--pace", "15/min", "--breaks", "20min@30min"];
    let warm = shift(&breaks);
    let first = &warm["first_not_sound"];
    assert_eq!(first["reason"], "leads");
    assert_eq!(first["verdict"], "cold");
    let weld = first["weld"].as_u64().unwrap();
    assert!((100..450).contains(&weld), "{weld}");
    let most = warm["fastest"]["pace_per_s"].as_f64().unwrap();
    assert!(most < 0.9 * 15.0 / 60.0, "{most}");
    let slow = shift(&["--pace", &format!("{}/s", 0.95 * most)]);
    assert!(slow["first_not_sound"].is_null());
    let thick = shift(&["--pace", "15/min", "--set", "lead.section=50mm2"]);
    assert!(thick["first_not_sound"].is_null());
}

#[test]
fn every_case_file_is_without_fault_and_tested_here() {
    let mut names: Vec<String> = std::fs::read_dir(example(""))
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .filter(|name| name.ends_with(".toml"))
        .collect();
    names.sort();
    assert_eq!(
        names,
        [
            "gap-aluminium.toml",
            "loose-clamp.toml",
            "shift.toml",
            "sound-weld.toml"
        ]
    );
    for name in names {
        let mut check = Command::cargo_bin("arcplunge").unwrap();
        check.args(["case", "check"]).arg(example(&name));
        check.assert().success();
    }
}

#[test]
fn regress_the_voltage_sweep_goes_from_cold_to_hot() {
    let mut case = Case::default();
    for (volts, verdict) in [(90.0, "cold"), (110.0, "sound"), (140.0, "hot")] {
        case.bank.voltage = volts;
        let shot = arcplunge::fire(&Rig::try_new(&case).unwrap(), &Settings::default()).unwrap();
        assert_eq!(shot.verdict.map(|v| v.name()), Some(verdict), "{volts} V");
    }
}
