//! Where the stored energy went, element by element.

use serde::Serialize;

use super::discharge::{Discharge, Integrals};
use super::rig::{MAX_EARTHS, Rig};

/// Joules of each element from the trigger to the current's end.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize)]
pub struct Ledger {
    /// Number of earth leads.
    pub count: usize,
    /// Series resistance of the bank \[J\].
    pub bank_esr: f64,
    /// Switch \[J\].
    pub switch: f64,
    /// Free-wheel diode \[J\].
    pub diode: f64,
    /// Internal wiring \[J\].
    pub internal: f64,
    /// Gun lead \[J\].
    pub gun_lead: f64,
    /// Bank terminal, tool terminal, chuck.
    pub joints: [f64; 3],
    /// Lead, terminal, clamp and spreading in the sheet of each earth.
    pub earths: [[f64; 4]; MAX_EARTHS],
    /// Pip and its contact spot \[J\].
    pub pip: f64,
    /// From the arc into the stud \[J\].
    pub arc_to_stud: f64,
    /// From the arc into the sheet \[J\].
    pub arc_to_sheet: f64,
    /// Light, gas and spatter.
    pub arc_away: f64,
    /// The closed weld \[J\].
    pub forge: f64,
    /// The bolted short of a discharge test \[J\].
    pub bolted: f64,
    /// Left in the bank \[J\].
    pub left_in_bank: f64,
    /// Left in the leads' fields \[J\].
    pub left_in_leads: f64,
}

/// Names of the joints in series with the stud.
pub const JOINT_NAMES: [&str; 3] = ["bank terminal", "tool terminal", "chuck"];

/// Names of an earth's parts.
pub const EARTH_PARTS: [&str; 4] = ["lead", "terminal", "clamp", "sheet"];

impl Ledger {
    /// Joules by element from the integrator's integrals.
    pub fn new(rig: &Rig, d: &Discharge) -> Self {
        let end = &d.end.sums;
        let empty = d.bank_empty.map_or(*end, |m| m.sums);
        let struck = d.ignition.map(|m| m.sums);
        let closed = d.touchdown.or(d.arc_out).map_or(*end, |m| m.sums);
        let arc_energy = d.arc.last().map_or(0.0, |k| k.energy);
        let pip_mass_energy = rig.stud.pip.mass * d.end.pip_enthalpy;
        let constriction = if rig.bolted.is_some() {
            0.0
        } else {
            struck.map_or(end.aux, |s| s.aux)
        };
        let shorted = Self::shorted_action(d, end, &closed);
        let mut earths = [[0.0; 4]; MAX_EARTHS];
        for (k, parts) in earths.iter_mut().enumerate().take(rig.earths) {
            for (part, joules) in parts.iter_mut().enumerate() {
                *joules = rig.earth_resistances[k][part] * end.earth_action[k];
                if let 1 | 2 = part {
                    *joules += rig.earth_drops[k][part - 1] * end.earth_charge[k];
                }
            }
        }
        let i = &d.end.earths;
        let mut left_in_leads = 0.0;
        for k in 0..rig.earths {
            for j in 0..rig.earths {
                left_in_leads += 0.5 * rig.inductance[k][j] * i[k] * i[j];
            }
        }
        Ledger {
            count: rig.earths,
            bank_esr: rig.esr * empty.action,
            switch: rig.switch_drop * end.charge + rig.switch_slope * end.action,
            diode: rig.diode_drop * (end.charge - empty.charge),
            internal: rig.internal_resistance * end.action,
            gun_lead: rig.gun_resistance * end.action,
            joints: rig
                .joints
                .map(|[r, drop]| r * end.action + drop * end.charge),
            earths,
            pip: pip_mass_energy + constriction,
            arc_to_stud: rig.heat_shares[0] * arc_energy,
            arc_to_sheet: rig.heat_shares[1] * arc_energy,
            arc_away: (1.0 - rig.heat_shares[0] - rig.heat_shares[1]) * arc_energy,
            forge: rig.forge_resistance * shorted,
            bolted: rig.bolted.unwrap_or(0.0) * end.action,
            left_in_bank: 0.5 * rig.capacitance * d.end.bank * d.end.bank,
            left_in_leads,
        }
    }

    /// Action through the closed weld \[A²s\].
    fn shorted_action(d: &Discharge, end: &Integrals, closed: &Integrals) -> f64 {
        if d.touchdown.is_some() {
            end.action - closed.action
        } else {
            d.stub_action.map_or(0.0, |before| end.action - before)
        }
    }

    /// Every element with its name, in the order of the loop.
    pub fn entries(&self) -> Vec<(String, f64)> {
        let mut out: Vec<(String, f64)> = vec![
            ("bank ESR".into(), self.bank_esr),
            ("switch".into(), self.switch),
            ("diode".into(), self.diode),
            ("internal wiring".into(), self.internal),
            (JOINT_NAMES[0].into(), self.joints[0]),
            ("gun lead".into(), self.gun_lead),
            (JOINT_NAMES[1].into(), self.joints[1]),
            (JOINT_NAMES[2].into(), self.joints[2]),
            ("pip".into(), self.pip),
            ("arc to stud".into(), self.arc_to_stud),
            ("arc to sheet".into(), self.arc_to_sheet),
            ("arc to light and spatter".into(), self.arc_away),
            ("forge".into(), self.forge),
            ("bolted short".into(), self.bolted),
        ];
        for (k, parts) in self.earths.iter().enumerate().take(self.count) {
            for (name, joules) in EARTH_PARTS.iter().zip(parts) {
                out.push((format!("earth {k} {name}"), *joules));
            }
        }
        out.push(("left in bank".into(), self.left_in_bank));
        out.push(("left in leads".into(), self.left_in_leads));
        out
    }

    /// Sum over all elements \[J\].
    pub fn total(&self) -> f64 {
        self.bank_esr
            + self.switch
            + self.diode
            + self.internal
            + self.gun_lead
            + self.joints.iter().sum::<f64>()
            + self.earths.iter().flatten().sum::<f64>()
            + self.pip
            + self.arc_to_stud
            + self.arc_to_sheet
            + self.arc_away
            + self.forge
            + self.bolted
            + self.left_in_bank
            + self.left_in_leads
    }
}
