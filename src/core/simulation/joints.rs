//! What each joint of the loop went through: voltage, temperature, joules.

use serde::Serialize;

use super::rig::Rig;
use super::shot::Shot;
use crate::case::joint_id::JointId;
use crate::physics::ROOM;
use crate::physics::joint::{CONTACT_METAL, MELTING_VOLTAGE, SOFTENING_VOLTAGE, spot_temperature};

/// State of a copper contact by the published voltages.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Spot {
    /// Below the softening voltage.
    Cool,
    /// At the softening voltage or above.
    Softens,
    /// At the melting voltage, which it holds.
    Melts,
    /// Blown apart, or apart from the start: it arcs.
    Parts,
}

/// One joint over the shot.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[allow(non_snake_case)] // the names of the JSON file, units included
pub struct JointHeat {
    /// Which, by its name as in the ledger.
    pub name: JointId,
    /// Key of the case file that sets it.
    pub key: String,
    /// Largest voltage across it \[V\].
    pub peak_V: f64,
    /// Temperature of the contact spot by Kohlrausch's relation \[K\]; `None` once copper melts or the joint has parted.
    pub spot_K: Option<f64>,
    /// What the contact spot does.
    pub spot: Spot,
    /// Metal of the contact.
    pub metal: &'static str,
    /// Voltage at which it softens \[V\].
    pub softening_V: f64,
    /// Voltage at which it melts \[V\].
    pub melting_V: f64,
    /// Since when it melts \[s\]; `None` if it never does.
    pub melts_from_s: Option<f64>,
    /// When its widened spot set for the last time \[s\].
    pub sets_s: Option<f64>,
    /// When the current blew it apart \[s\]; `None` if it held, or was apart from the start.
    pub parts_s: Option<f64>,
    /// Energy it took \[J\].
    pub energy_J: f64,
}

/// Every joint of a rig, in the order of the loop.
pub fn joints(rig: &Rig, shot: &Shot) -> Vec<JointHeat> {
    JointId::all(rig.circuit.earths)
        .map(|id| heat(id, rig, shot))
        .collect()
}

fn heat(id: JointId, rig: &Rig, shot: &Shot) -> JointHeat {
    let peak = match id.earth() {
        Some(k) => shot.peak_earths[k],
        None => shot.figures.peak_current_A.unwrap_or(0.0),
    };
    let (contact, record) = (&rig.circuit.joints[id], &shot.joints[id]);
    let parted = contact.starts_parted() || record.parts_s.is_some();
    let peak_voltage = if peak > 0.0 {
        contact.largest_voltage(peak, parted)
    } else {
        0.0
    };
    let spot = match peak_voltage {
        0.0 => Spot::Cool,
        _ if parted => Spot::Parts,
        _ if record.melts_s.is_some() => Spot::Melts,
        u if u >= SOFTENING_VOLTAGE => Spot::Softens,
        _ => Spot::Cool,
    };
    JointHeat {
        name: id,
        key: id.key(),
        peak_V: peak_voltage,
        spot_K: (spot < Spot::Melts).then(|| spot_temperature(peak_voltage, ROOM)),
        spot,
        metal: CONTACT_METAL,
        softening_V: SOFTENING_VOLTAGE,
        melting_V: MELTING_VOLTAGE,
        melts_from_s: record.melts_s,
        sets_s: record.sets_s,
        parts_s: record.parts_s,
        energy_J: record.energy,
    }
}
