//! Joints that suffer: volts, contact spot, joules, since when they melt.

use super::document::{Blocks, Cell, Table};
use super::format::{celsius, engineering, milliseconds, percent, significant};
use arcplunge_core::case::joint_id::{JointId, MAX_EARTHS};
use arcplunge_core::physics::joint::{
    CONTACT_METAL, MELTING_POINT, MELTING_VOLTAGE, SOFTENING_VOLTAGE,
};
use arcplunge_core::simulation::joints::{JointHeat, Spot, joints};
use arcplunge_core::simulation::rig::Rig;
use arcplunge_core::simulation::shot::Shot;

/// Joints whose contact softens or melts, in the order of the loop.
fn hot(rig: &Rig, shot: &Shot) -> Vec<JointHeat> {
    let all = joints(rig, shot).into_iter();
    all.filter(|j| j.spot != Spot::Cool).collect()
}

/// State of a contact in words.
fn spot(j: &JointHeat) -> String {
    match j.spot_K {
        Some(t) if j.spot == Spot::Softens => format!("soft, {}", celsius(t)),
        Some(t) => celsius(t),
        None if j.spot == Spot::Parts => "parted, arcs".into(),
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
        "A contact of {metal} softens at {SOFTENING_VOLTAGE} V and melts at {MELTING_VOLTAGE} V (Holm); its temperature follows from the voltage by Kohlrausch's relation."
    )
}

/// A table for joints that suffer.
pub fn table() -> Table {
    let head = [
        Cell::both("overheated joints", "joint"),
        Cell::both("volts", "peak voltage"),
        "contact spot".into(),
        Cell::both("joules", "heat"),
        "melts from".into(),
    ];
    Table::new("   {:<24} {:>8}   {:<16} {:>8}  {:>10}", head, 1)
}

/// Adds a row for each joint that suffers.
pub fn put(table: &mut Table, rig: &Rig, shot: &Shot) {
    for j in hot(rig, shot) {
        let volts = significant(j.peak_V, 2);
        table.row([
            j.name.to_string().into(),
            Cell::both(&*volts, format!("{volts} V")),
            spot(&j).into(),
            engineering(j.energy_J, "J").into(),
            since(&j).into(),
        ]);
    }
}

/// The joints of a shot that suffer, if any, and what their figures mean.
pub fn suffering(blocks: &mut Blocks, rig: &Rig, shot: &Shot) {
    let mut table = table();
    put(&mut table, rig, shot);
    if table.rows.is_empty() {
        return;
    }
    blocks.table(table);
    blocks.note(meaning());
    blocks.gap();
}

/// Share of the stored energy from which a joint that only softens is worth a sentence.
const NOTED: f64 = 0.01;

/// A sentence of each joint that comes to `least` or worse, the costliest first.
pub fn told(rig: &Rig, shot: &Shot, least: Spot) -> Vec<String> {
    let stored = shot.figures.stored_energy_J;
    let mut all = hot(rig, shot);
    all.retain(|j| j.spot >= least && (j.spot > Spot::Softens || j.energy_J > NOTED * stored));
    all.sort_by(|a, b| b.energy_J.total_cmp(&a.energy_J));
    all.iter().map(|j| sentence(j, stored)).collect()
}

fn sentence(j: &JointHeat, stored: f64) -> String {
    let took = format!(
        "The {} took {}, {} of the bank.",
        j.name,
        engineering(j.energy_J, "J"),
        percent(j.energy_J / stored)
    );
    match j.spot {
        Spot::Melts => format!(
            "{took} Copper melts at {MELTING_VOLTAGE} V, and this contact did{}. \
             Clean the contact, seat it, tighten it.",
            j.melts_from_s
                .map_or(String::new(), |_| format!(" from {} on", since(j)))
        ),
        Spot::Parts => format!(
            "{took} {}, and it arcs at {} V. Clean the contact, seat it, turn it home.",
            j.parts_s
                .map_or("It is apart from the start".into(), |t| format!(
                    "The current forces it apart at {}",
                    milliseconds(t)
                )),
            significant(j.peak_V, 2)
        ),
        _ => format!(
            "{took} It reached {} V; copper softens at {SOFTENING_VOLTAGE} V. Clean it before it gets worse.",
            significant(j.peak_V, 2)
        ),
    }
}

/// What there is to say where a study varies the resistance of a joint, by the keys it varies: beyond its melting
/// voltage a contact's resistance hardly shows.
pub fn varied(keys: impl IntoIterator<Item = String>) -> Option<String> {
    let keys: Vec<String> = keys.into_iter().collect();
    let joint = JointId::all(MAX_EARTHS)
        .map(JointId::key)
        .find(|joint| keys.iter().any(|key| *key == format!("{joint}.resistance")))?;
    Some(format!(
        "The resistance of a joint hardly shows beyond {MELTING_VOLTAGE} V over its current, some 70 µΩ at 6 kA: the \
         contact melts and holds that voltage. Its force decides whether it parts: vary `{joint}.force` as well."
    ))
}
