//! The lumped circuit of a rig: bank, leads, joints, sheet.

use nalgebra::SMatrix;

use crate::case::joint_id::{JointId, MAX_EARTHS, PerJoint};
use crate::case::model::Case;
use crate::physics::joint::Contact;
use crate::physics::lead;

/// The circuit, in SI units, constants folded.
#[derive(Debug, Clone, PartialEq)]
pub struct Circuit {
    /// Number of earth leads, 1 to 4.
    pub earths: usize,
    /// Capacitance \[F\].
    pub capacitance: f64,
    /// Charging voltage \[V\].
    pub voltage: f64,
    /// Series resistance of the bank \[Ω\].
    pub esr: f64,
    /// Constant drop of the switch \[V\].
    pub switch_drop: f64,
    /// Slope of the switch \[Ω\].
    pub switch_slope: f64,
    /// Drop of the free-wheel diode \[V\].
    pub diode_drop: f64,
    /// Internal wiring \[Ω\].
    pub internal_resistance: f64,
    /// Gun lead \[Ω\].
    pub gun_resistance: f64,
    /// The joints; those of earth leads that are not there conduct freely.
    pub joints: PerJoint<Contact>,
    /// Each earth lead \[Ω\].
    pub lead_resistances: [f64; MAX_EARTHS],
    /// Spreading in the sheet to each clamp \[Ω\].
    pub sheet_resistances: [f64; MAX_EARTHS],
    /// Inductance matrix 𝓛 of the earth branches, gun lead included \[H\].
    pub inductance: [[f64; MAX_EARTHS]; MAX_EARTHS],
    /// A bolted short instead of the stud \[Ω\].
    pub bolted: Option<f64>,
}

impl Circuit {
    /// Folds the circuit of a (checked) case.
    pub fn new(c: &Case) -> Self {
        let mut lead_resistances = [0.0; MAX_EARTHS];
        let mut sheet_resistances = [0.0; MAX_EARTHS];
        for (k, e) in c.earths.iter().enumerate().take(MAX_EARTHS) {
            lead_resistances[k] = lead::resistance(e.length, e.section, c.lead.temperature);
            sheet_resistances[k] = lead::spreading_resistance(
                c.sheet.metal.resistivity_20,
                c.sheet.thickness,
                e.at[0].hypot(e.at[1]),
                0.5 * c.stud.flange,
            );
        }
        let earths = c.earths.len().min(MAX_EARTHS);
        let mut joints = PerJoint::default();
        for id in JointId::all(earths) {
            joints[id] = id.of(c).map_or(Contact::default(), |j| Contact {
                resistance: j.resistance,
                drop: j.drop,
            });
        }
        Circuit {
            earths,
            capacitance: c.bank.capacitance,
            voltage: c.bank.voltage,
            esr: c.bank.esr,
            switch_drop: c.bank.switch_drop,
            switch_slope: c.bank.switch_slope,
            diode_drop: c.bank.diode_drop,
            internal_resistance: c.bank.internal_resistance,
            gun_resistance: lead::resistance(c.lead.length, c.lead.section, c.lead.temperature),
            joints,
            lead_resistances,
            sheet_resistances,
            inductance: inductance_matrix(c),
            bolted: c.stud.short_resistance,
        }
    }

    /// Energy of the charged bank \[J\].
    pub fn stored_energy(&self) -> f64 {
        0.5 * self.capacitance * self.voltage * self.voltage
    }

    /// Resistance in series with the stud, without bank, switch and earths \[Ω\].
    pub fn series_resistance(&self) -> f64 {
        let joints = JointId::SERIES.map(|id| self.joints[id].resistance);
        self.internal_resistance + self.gun_resistance + joints.iter().sum::<f64>()
    }

    /// Constant drops of the joints in series \[V\].
    pub fn series_drop(&self) -> f64 {
        JointId::SERIES.map(|id| self.joints[id].drop).iter().sum()
    }

    /// Resistance of one earth branch \[Ω\].
    pub fn earth_resistance(&self, k: usize) -> f64 {
        let [terminal, clamp] = JointId::of_earth(k).map(|id| self.joints[id].resistance);
        self.lead_resistances[k] + terminal + clamp + self.sheet_resistances[k]
    }

    /// Constant drop of one earth branch \[V\].
    pub fn earth_drop(&self, k: usize) -> f64 {
        JointId::of_earth(k)
            .map(|id| self.joints[id].drop)
            .iter()
            .sum()
    }

    /// Fixed resistance of the loop, earths in parallel, without pip or arc \[Ω\].
    pub fn loop_resistance(&self) -> f64 {
        let earths: f64 = (0..self.earths)
            .map(|k| 1.0 / self.earth_resistance(k))
            .sum();
        self.esr
            + self.switch_slope
            + self.series_resistance()
            + self.bolted.unwrap_or(0.0)
            + 1.0 / earths
    }

    /// Fixed inductance of the loop, 1/Σ𝓛⁻¹ \[H\].
    pub fn loop_inductance(&self) -> f64 {
        let inverse = invert(&self.inductance, self.earths, [true; MAX_EARTHS]);
        1.0 / inverse.iter().flatten().sum::<f64>()
    }
}

/// Inverse of the inductance matrix over the conducting branches, zero elsewhere \[1/H\].
///
/// The matrix is positive definite for any real set of leads; a case whose leads lie closer than
/// their own size is refused before it comes here.
pub fn invert(
    inductance: &[[f64; MAX_EARTHS]; MAX_EARTHS],
    n: usize,
    conducting: [bool; MAX_EARTHS],
) -> [[f64; MAX_EARTHS]; MAX_EARTHS] {
    let on = |k: usize| k < n && conducting[k];
    // A branch that does not conduct is replaced by a unit row, so that one size serves all.
    let matrix = SMatrix::<f64, MAX_EARTHS, MAX_EARTHS>::from_fn(|r, c| {
        if on(r) && on(c) {
            inductance[r][c] * 1e6
        } else if r == c {
            1.0
        } else {
            0.0
        }
    });
    let mut out = [[0.0; MAX_EARTHS]; MAX_EARTHS];
    if let Some(inverse) = matrix.cholesky().map(|c| c.inverse()) {
        for r in 0..n {
            for c in 0..n {
                if on(r) && on(c) {
                    out[r][c] = inverse[(r, c)] * 1e6;
                }
            }
        }
    }
    out
}

/// 𝓛_kj = L_g − M_gj − M_gk + M_kj \[H\].
fn inductance_matrix(c: &Case) -> [[f64; MAX_EARTHS]; MAX_EARTHS] {
    // What is coiled up does not lie along the earth leads.
    let straight = c.lead.length - lead::coiled_length(c.lead.turns, c.lead.coil_diameter);
    let gun = lead::self_inductance(straight, lead::rope_radius(c.lead.section))
        + c.bank.internal_inductance
        + lead::coil_inductance(c.lead.turns, c.lead.coil_diameter, c.lead.section);
    let mutual = |a: f64, b: f64| lead::mutual_inductance(a.min(b), c.lead.spacing);
    let mut out = [[0.0; MAX_EARTHS]; MAX_EARTHS];
    for (k, a) in c.earths.iter().enumerate().take(MAX_EARTHS) {
        for (j, b) in c.earths.iter().enumerate().take(MAX_EARTHS) {
            let own = if k == j {
                lead::self_inductance(a.length, lead::rope_radius(a.section))
            } else {
                mutual(a.length, b.length)
            };
            out[k][j] = gun - mutual(straight, a.length) - mutual(straight, b.length) + own;
        }
    }
    out
}
