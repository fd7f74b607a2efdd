//! What each joint of the loop went through: voltage, temperature, joules.

use serde::Serialize;

use super::ledger::{JOINT_NAMES, Ledger};
use super::rig::Rig;
use super::shot::Shot;
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
    /// At the melting voltage or above.
    Melts,
}

/// One joint over the shot.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[allow(non_snake_case)] // the names of the JSON file, units included
pub struct JointHeat {
    /// Name as in the ledger.
    pub name: String,
    /// Key of the case file that sets it.
    pub key: String,
    /// Largest voltage across it \[V\].
    pub peak_V: f64,
    /// Temperature of the contact spot by Kohlrausch's relation \[K\]; `None` once copper melts.
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
    /// Energy it took \[J\].
    pub energy_J: f64,
}

/// Every joint of a rig, in the order of the loop.
pub fn joints(rig: &Rig, shot: &Shot) -> Vec<JointHeat> {
    let Ledger { joints, earths, .. } = &shot.ledger;
    let peak = shot.figures.peak_current_A.unwrap_or(0.0);
    let keys = ["joints.bank", "joints.tool", "joints.chuck"];
    let mut out: Vec<JointHeat> = (0..3)
        .map(|j| {
            let name = JOINT_NAMES[j].to_string();
            heat(
                name,
                keys[j].to_string(),
                rig.joints[j],
                peak,
                joints[j],
                shot.melts_from[j],
            )
        })
        .collect();
    for (k, energies) in earths.iter().enumerate().take(rig.earths) {
        for (part, place) in ["terminal", "clamp"].into_iter().enumerate() {
            out.push(heat(
                format!("earth {k} {place}"),
                format!("earth.{k}.{place}"),
                [rig.earth_resistances[k][1 + part], rig.earth_drops[k][part]],
                shot.peak_earths[k],
                energies[1 + part],
                shot.melts_from[3 + 2 * k + part],
            ));
        }
    }
    out
}

fn heat(
    name: String,
    key: String,
    joint: [f64; 2],
    peak: f64,
    energy: f64,
    melts_from: Option<f64>,
) -> JointHeat {
    let [resistance, drop] = joint;
    let peak_voltage = if peak > 0.0 {
        resistance * peak + drop
    } else {
        0.0
    };
    let spot = if peak_voltage >= MELTING_VOLTAGE {
        Spot::Melts
    } else if peak_voltage >= SOFTENING_VOLTAGE {
        Spot::Softens
    } else {
        Spot::Cool
    };
    JointHeat {
        name,
        key,
        peak_V: peak_voltage,
        spot_K: (spot != Spot::Melts).then(|| spot_temperature(peak_voltage, ROOM)),
        spot,
        metal: CONTACT_METAL,
        softening_V: SOFTENING_VOLTAGE,
        melting_V: MELTING_VOLTAGE,
        melts_from_s: melts_from,
        energy_J: energy,
    }
}
