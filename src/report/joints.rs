//! Joints that suffer, in the terminal: volts, contact spot, joules, since when they melt.

use super::format::{celsius, engineering, milliseconds, significant, wrap};
use crate::cycle::joints::{JointHeat, Spot, joints};
use crate::cycle::rig::Rig;
use crate::cycle::shot::Shot;
use crate::physics::joint::{CONTACT_METAL, MELTING_POINT, MELTING_VOLTAGE, SOFTENING_VOLTAGE};

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

/// The table of the page; empty where no joint suffers.
pub fn table(rig: &Rig, shot: &Shot) -> Vec<String> {
    let hot = hot(rig, shot);
    if hot.is_empty() {
        return Vec::new();
    }
    let mut out = vec![format!(
        "   {:<24} {:>8}   {:<16} {:>8}  {:>10}",
        "joints that suffer", "volts", "contact spot", "joules", "melts from"
    )];
    out.extend(hot.iter().map(|j| {
        let line = format!(
            "   {:<24} {:>8}   {:<16} {:>8}  {:>10}",
            j.name,
            significant(j.peak_V, 2),
            spot(j),
            engineering(j.energy_J, "J"),
            since(j)
        );
        line.trim_end().to_string()
    }));
    out.extend(wrap(&meaning(), 77).iter().map(|l| format!("   {l}")));
    out
}
