//! Cases that stand in for the rigs of published experiments.

use super::bench::{or_none, shot};
use super::trade::{figure, steel};
use arcplunge_core::case::Case;
use arcplunge_core::case::catalogue;
use arcplunge_core::case::model::{Attitude, Method};
use arcplunge_core::case::read::demonstration;
use arcplunge_core::simulation::shot::Shot;
use arcplunge_core::simulation::verdict::Verdict;

/// Rods of half an inch beside the demonstration stud, by their diameters.
const HALF_INCH: f64 = 12.7 / 6.5;

/// The shot of the demonstration case with these keys set; `None` if one is wrong or the solver failed.
fn fired(sets: &[String]) -> Option<Shot> {
    let read = demonstration(sets).ok()?;
    shot(&read.case)
}

/// A stud that falls with a weight of `mass` \[kg\] from `height` \[m\] and has no spring: the weight is
/// the force, whichever way the tool points.
pub fn drop_rig(mass: f64, height: f64, volts: f64) -> Case {
    let mut case = steel("M5", volts);
    fall(&mut case, mass, height);
    case
}

/// Lets a case's stud fall with that weight.
fn fall(case: &mut Case, mass: f64, height: f64) {
    let tool = &mut case.tool;
    (tool.method, tool.attitude) = (Method::Gap, Attitude::Level);
    (tool.lift, tool.moving_mass) = (height, mass);
    (tool.spring_force, tool.spring_rate) = (mass * arcplunge_core::physics::GRAVITY, 0.0);
    tool.friction = 0.0;
}

/// A rod of half an inch on a plate as thick as itself, fallen from 10 mm: lengths of the demonstration stud in
/// proportion to the diameter; bank, conductors and weight in proportion to the section.
pub fn half_inch(volts: f64) -> Case {
    let section = HALF_INCH * HALF_INCH;
    let mut case = steel("M5", volts);
    fall(&mut case, section, 10e-3);
    case.stud.flange *= HALF_INCH;
    case.stud.pip_diameter *= HALF_INCH;
    case.stud.pip_length *= HALF_INCH;
    case.sheet.thickness = case.stud.flange;
    case.bank.capacitance *= section;
    case.bank.esr /= section;
    case.bank.switch_slope /= section;
    case.bank.internal_resistance /= section;
    case.lead.section *= section;
    for earth in &mut case.earths {
        earth.section *= section;
    }
    case
}

/// Copper on aluminium from the small bank, with a tip of this diameter and length \[mm\] and leads of this length \[m\].
pub fn small_bank(tip: [&str; 2], lead: &str) -> Option<Shot> {
    let [diameter, length] = tip;
    let mut sets: Vec<String> = [
        "tool.method=gap",
        "stud.size=M5",
        "stud.metal=copper",
        "sheet.metal=aluminium Mg alloy",
        "sheet.thickness=3 mm",
        "bank.capacitance=18.8 mF",
        "bank.voltage=140 V",
    ]
    .map(String::from)
    .into();
    sets.push(format!("stud.pip_diameter={diameter} mm"));
    sets.push(format!("stud.pip_length={length} mm"));
    for key in ["lead", "earth.0", "earth.1"] {
        sets.push(format!("{key}.length={lead} m"));
    }
    fired(&sets)
}

/// The demonstration case with a pip of this length \[m\].
pub fn with_pip(length: f64) -> Case {
    let mut case = Case::default();
    case.stud.pip_length = length;
    case
}

/// A stud of this size and metal on 3 mm of the same, at `volts` \[V\].
pub fn alike(size: &str, metal: &str, volts: f64) -> Case {
    let mut case = steel(size, volts);
    case.stud.metal = catalogue::metal(metal);
    case.sheet.metal = case.stud.metal.clone();
    case.sheet.thickness = 3e-3;
    case
}

/// Voltage from `low` to `high` \[V\] at which this case's stud melts to the depth `melt` \[m\] at touchdown.
pub fn voltage_to_melt(case: impl Fn(f64) -> Case, melt: f64, low: f64, high: f64) -> f64 {
    let mut bounds = (low, high);
    for _ in 0..30 {
        let middle = 0.5 * (bounds.0 + bounds.1);
        let reached = figure(&case(middle), |f| f.melt_stud_m);
        if reached >= melt {
            bounds.1 = middle;
        } else {
            bounds.0 = middle;
        }
    }
    bounds.1
}

/// Lowest and highest voltage \[V\] called sound, of those from 60 V on, `step` apart and up to `most`.
pub fn window(case: impl Fn(f64) -> Case, step: u32, most: u32) -> Option<(f64, f64)> {
    let sound = |volts: &u32| {
        shot(&case(f64::from(*volts))).is_some_and(|shot| shot.verdict == Some(Verdict::Sound))
    };
    let volts: Vec<u32> = (60..=most).step_by(step as usize).filter(sound).collect();
    Some((f64::from(*volts.first()?), f64::from(*volts.last()?)))
}

/// By how much the fill moves where the voltage moves by 1 %, over the fill.
pub fn sensitivity(case: impl Fn(f64) -> Case, volts: f64) -> f64 {
    let fill =
        |share: f64| or_none(shot(&case(volts * share)).and_then(|shot| shot.figures.fill_ratio));
    (fill(1.005) - fill(0.995)) / fill(1.0)
}
