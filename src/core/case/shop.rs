//! What a shift adds to a case: charger, workshop, heat of the rig's parts, wear and limits.
//!
//! The usual values are those of a small set of our own: "own choice" unless a source stands beside them.

use serde::{Deserialize, Serialize};

use crate::physics::ROOM;
use crate::physics::junction::STAGES;

/// The charger of the bank.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[non_exhaustive]
pub struct Charger {
    /// Largest power into the bank \[W\].
    pub power: f64,
    /// Largest current into the bank \[A\].
    pub current: f64,
    /// Voltage of the mains, root mean square \[V\].
    pub mains_voltage: f64,
    /// Power over apparent power at the mains.
    pub power_factor: f64,
    /// Power into the bank over power from the mains.
    pub efficiency: f64,
    /// Share of the set voltage from which on the set is ready.
    pub ready: f64,
    /// Whether the trigger is locked until it is.
    pub interlock: bool,
    /// Resistance that discharges the bank once the set is switched off \[Ω\].
    pub bleeder: f64,
}

impl Default for Charger {
    fn default() -> Self {
        Charger {
            power: 300.0,
            current: 5.0,
            mains_voltage: 230.0,
            power_factor: 0.65,
            efficiency: 0.85,
            ready: 0.99,
            interlock: true,
            bleeder: 100.0,
        }
    }
}

/// The workshop.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[non_exhaustive]
pub struct Room {
    /// Temperature of the air, and of the rig as the shift begins \[K\].
    pub temperature: f64,
}

impl Default for Room {
    fn default() -> Self {
        Room { temperature: ROOM }
    }
}

/// How the parts of the rig take up heat and lose it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[non_exhaustive]
pub struct Thermal {
    /// Thickness of the leads' jacket \[m\].
    pub jacket: f64,
    /// Its conductivity \[W/(m·K)\].
    pub jacket_conductivity: f64,
    /// Its density \[kg/m³\].
    pub jacket_density: f64,
    /// Its specific heat \[J/(kg·K)\].
    pub jacket_heat: f64,
    /// Emissivity of its surface.
    pub emissivity: f64,
    /// Heat of a terminal with its lug \[J/K\].
    pub lug_heat: f64,
    /// From a terminal to the air \[K/W\].
    pub lug_resistance: f64,
    /// Heat of an earth clamp \[J/K\].
    pub clamp_heat: f64,
    /// From an earth clamp to air and sheet \[K/W\].
    pub clamp_resistance: f64,
    /// Heat of the chuck \[J/K\].
    pub chuck_heat: f64,
    /// From the chuck to tool and air \[K/W\].
    pub chuck_resistance: f64,
    /// Heat of the capacitors' windings \[J/K\].
    pub core_heat: f64,
    /// From the windings to their cans \[K/W\].
    pub core_resistance: f64,
    /// Heat of the cans \[J/K\].
    pub can_heat: f64,
    /// From the cans to the air \[K/W\].
    pub can_resistance: f64,
    /// Foster table of the switch, junction to heat sink: resistances \[K/W\].
    pub junction_r: [f64; STAGES],
    /// The same: time constants \[s\].
    pub junction_tau: [f64; STAGES],
    /// Heat of the heat sink of switch and diode \[J/K\].
    pub sink_heat: f64,
    /// From the heat sink to the air \[K/W\].
    pub sink_resistance: f64,
    /// Distance from stud to stud, along a row and from row to row \[m\].
    pub pitch: f64,
    /// Studs in a row.
    pub row: f64,
    /// Studs on a sheet, after which a fresh one is laid in.
    pub studs: f64,
}

impl Default for Thermal {
    fn default() -> Self {
        Thermal {
            jacket: 2e-3,
            jacket_conductivity: 0.2,
            jacket_density: 1400.0,
            jacket_heat: 1500.0,
            emissivity: 0.9,
            lug_heat: 80.0,
            lug_resistance: 4.0,
            clamp_heat: 250.0,
            clamp_resistance: 2.0,
            chuck_heat: 60.0,
            chuck_resistance: 6.0,
            core_heat: 4e3,
            core_resistance: 0.1,
            can_heat: 2e3,
            can_resistance: 0.25,
            junction_r: [0.004, 0.012, 0.02, 0.03],
            junction_tau: [1e-3, 10e-3, 0.1, 1.0],
            sink_heat: 400.0,
            sink_resistance: 1.0,
            pitch: 0.05,
            row: 10.0,
            studs: 100.0,
        }
    }
}

/// How the rig wears and ages.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[non_exhaustive]
pub struct Wear {
    /// Metal that the arc of a parted joint takes off \[kg/C\].
    pub erosion: f64,
    /// Archard's coefficient of the chuck's jaws.
    pub coefficient: f64,
    /// Travel of a stud through the jaws \[m\].
    pub stroke: f64,
    /// Hardness of the jaws \[Pa\].
    pub hardness: f64,
    /// Metal a joint can lose until nothing holds it any more \[kg\].
    pub allowance: f64,
    /// Factor either way within which 95 of 100 chucks lie.
    pub spread: f64,
    /// Life of the capacitors at `life_temperature` \[s\].
    pub life: f64,
    /// Temperature of the windings at which that holds \[K\].
    pub life_temperature: f64,
    /// Share of the capacitance lost by the end of that life.
    pub capacitance_loss: f64,
    /// ESR at the end of that life over that of a new bank.
    pub esr_rise: f64,
}

impl Default for Wear {
    fn default() -> Self {
        Wear {
            erosion: 50e-9,
            coefficient: 1e-4,
            stroke: 8e-3,
            hardness: 1.5e9,
            allowance: 5e-6,
            spread: 3.0,
            life: 2000.0 * 3600.0,
            life_temperature: 273.15 + 85.0,
            capacitance_loss: 0.2,
            esr_rise: 2.0,
        }
    }
}

/// Temperatures the rig must not exceed \[K\].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[non_exhaustive]
pub struct Limits {
    /// Conductor of a lead: EN 50525-2-81, from memory.
    pub conductor: f64,
    /// What a hand touches: common practice, no source.
    pub touch: f64,
    /// Terminals, clamps and chuck: 65 K above 40 °C, IEC 60947-1, from memory.
    pub joint: f64,
    /// Windings of the capacitors: their rated temperature.
    pub core: f64,
    /// Junction of the switch: usual of thyristors, from memory.
    pub junction: f64,
}

impl Default for Limits {
    fn default() -> Self {
        let celsius = |t: f64| 273.15 + t;
        Limits {
            conductor: celsius(85.0),
            touch: celsius(60.0),
            joint: celsius(105.0),
            core: celsius(85.0),
            junction: celsius(125.0),
        }
    }
}
