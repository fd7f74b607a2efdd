//! Joints that suffer, in the terminal: volts, contact spot, joules, since when they melt.

use super::format::{celsius, engineering, milliseconds, significant, wrap};
use arcplunge_core::physics::joint::{
    CONTACT_METAL, MELTING_POINT, MELTING_VOLTAGE, SOFTENING_VOLTAGE,
};
use arcplunge_core::simulation::joints::{JointHeat, Spot, joints};
use arcplunge_core::simulation::rig::Rig;
use arcplunge_core::simulation::shot::Shot;

/// Joints whose contact softens or melts, in the order of the loop.
pub fn hot(rig: &Rig, shot: &Shot) -> Vec<JointHeat> {
    let all = joints(rig, shot).into_iter();
    all.filter(|j| j.spot != Spot::Cool).collect()
}

/// State of a contact in words.
pub fn spot(j: &JointHeat) -> String {
    match j.spot_K {
        Some(t) if j.spot == Spot::Softens => format!("soft, {}", celsius(t)),
        Some(t) => celsius(t),
        None => format!("melts, {}", celsius(MELTING_POINT)),
    }
}

/// Since when a contact melts, in words.
pub fn since(j: &JointHeat) -> String {
    match j.melts_from_s {
        None => String::new(),
        // A spark melts it with the first current.
        Some(t) if t < 5e-7 => "the start".into(),
        Some(t) => milliseconds(t),
    }
}

/// What volts and temperatures mean.
pub fn meaning() -> String {
    let metal = CONTACT_METAL;
    format!(
        "Across a contact of {metal}, {SOFTENING_VOLTAGE} V soften it and {MELTING_VOLTAGE} V melt it \
         (Holm); its temperature follows from the voltage by Kohlrausch's relation."
    )
}

/// The head of the table.
pub fn head() -> String {
    format!(
        "   {:<24} {:>8}   {:<16} {:>8}  {:>10}",
        "joints that suffer", "volts", "contact spot", "joules", "melts from"
    )
}

/// The rows of the table, one a joint that suffers.
pub fn rows(rig: &Rig, shot: &Shot) -> Vec<String> {
    let line = |j: &JointHeat| {
        let line = format!(
            "   {:<24} {:>8}   {:<16} {:>8}  {:>10}",
            j.name,
            significant(j.peak_V, 2),
            spot(j),
            engineering(j.energy_J, "J"),
            since(j)
        );
        line.trim_end().to_string()
    };
    hot(rig, shot).iter().map(line).collect()
}

/// What volts and temperatures mean, in lines of the page.
pub fn foot() -> Vec<String> {
    wrap(&meaning(), 77)
        .iter()
        .map(|l| format!("   {l}"))
        .collect()
}
