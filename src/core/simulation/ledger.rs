//! Where the stored energy went, element by element.

use serde::Serialize;

use super::discharge::{Discharge, Integrals};
use super::rig::{MAX_EARTHS, Rig};
use crate::case::joint_id::{JointId, PerJoint};

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
    /// Each joint \[J\].
    pub joints: PerJoint<f64>,
    /// Each earth lead \[J\].
    pub earth_leads: [f64; MAX_EARTHS],
    /// Spreading in the sheet \[J\].
    pub sheet: f64,
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

impl Ledger {
    /// Joules by element from the integrator's integrals.
    pub fn new(rig: &Rig, d: &Discharge) -> Self {
        let c = &rig.circuit;
        let end = &d.end.sums;
        let struck = d.ignition.map(|m| m.sums);
        let closed = d.touchdown.or(d.arc_out).map_or(*end, |m| m.sums);
        let arc_energy = d.arc.last().map_or(0.0, |k| k.energy);
        let pip_mass_energy = rig.stud.pip.mass * d.end.pip_enthalpy;
        let constriction = if c.bolted.is_some() {
            0.0
        } else {
            struck.map_or(end.aux, |s| s.aux)
        };
        let shorted = Self::shorted_action(d, end, &closed);
        let i = &d.end.earths;
        let (mut left_in_leads, mut sheet) = (0.0, 0.0);
        for k in 0..c.earths {
            for j in 0..c.earths {
                left_in_leads += 0.5 * c.inductance[k][j] * i[k] * i[j];
                sheet += c.sheet[k][j] * end.products[k][j];
            }
        }
        Ledger {
            count: c.earths,
            bank_esr: c.esr * d.supply.action,
            switch: c.switch_drop * end.charge + c.switch_slope * end.action,
            diode: c.diode_drop * (end.charge - d.supply.charge),
            internal: c.internal_resistance * end.action,
            gun_lead: c.gun_resistance * end.action,
            joints: d.joints.map(|joint| joint.energy),
            earth_leads: std::array::from_fn(|k| c.lead_resistances[k] * end.products[k][k]),
            sheet,
            pip: pip_mass_energy + constriction,
            arc_to_stud: rig.heat_shares[0] * arc_energy,
            arc_to_sheet: rig.heat_shares[1] * arc_energy,
            arc_away: (1.0 - rig.heat_shares[0] - rig.heat_shares[1]) * arc_energy,
            forge: rig.forge_resistance * shorted,
            bolted: c.bolted.unwrap_or(0.0) * end.action,
            left_in_bank: 0.5 * c.capacitance * d.end.bank * d.end.bank,
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
        let joint = |id: JointId| (id.to_string(), self.joints[id]);
        let mut out: Vec<(String, f64)> = vec![
            ("bank ESR".into(), self.bank_esr),
            ("switch".into(), self.switch),
            ("diode".into(), self.diode),
            ("internal wiring".into(), self.internal),
            joint(JointId::Bank),
            ("gun lead".into(), self.gun_lead),
            joint(JointId::Tool),
            joint(JointId::Chuck),
            ("pip".into(), self.pip),
            ("arc to stud".into(), self.arc_to_stud),
            ("arc to sheet".into(), self.arc_to_sheet),
            ("arc to light and spatter".into(), self.arc_away),
            ("forge".into(), self.forge),
            ("bolted short".into(), self.bolted),
        ];
        for k in 0..self.count {
            out.push((format!("earth {k} lead"), self.earth_leads[k]));
            out.extend(JointId::of_earth(k).map(joint));
        }
        out.push(("sheet".into(), self.sheet));
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
            + self.all_joints()
            + self.earth_leads.iter().sum::<f64>()
            + self.sheet
            + self.pip
            + self.arc_to_stud
            + self.arc_to_sheet
            + self.arc_away
            + self.forge
            + self.bolted
            + self.left_in_bank
            + self.left_in_leads
    }

    /// Joules of all joints.
    pub fn all_joints(&self) -> f64 {
        JointId::all(self.count).map(|id| self.joints[id]).sum()
    }
}
