//! The lumped circuit of a rig: bank, leads, joints, sheet.

use nalgebra::SMatrix;

use crate::case::joint_id::{JointId, MAX_EARTHS, PerJoint};
use crate::case::model::{Case, Joint};
use crate::physics::joint::Contact;
use crate::physics::lead;
use crate::physics::sheet::{self, Clamp};

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
    /// Resistance matrix of the sheet between the flange and the clamps \[Ω\].
    pub sheet: [[f64; MAX_EARTHS]; MAX_EARTHS],
    /// Inductance matrix 𝓛 of the earth branches, gun lead included \[H\].
    pub inductance: [[f64; MAX_EARTHS]; MAX_EARTHS],
    /// A bolted short instead of the stud \[Ω\].
    pub bolted: Option<f64>,
}

impl Circuit {
    /// Folds the circuit of a (checked) case.
    pub fn new(c: &Case) -> Self {
        let mut lead_resistances = [0.0; MAX_EARTHS];
        for (k, e) in c.earths.iter().enumerate().take(MAX_EARTHS) {
            lead_resistances[k] = lead::resistance(e.length, e.section, c.lead.temperature);
        }
        let earths = c.earths.len().min(MAX_EARTHS);
        let mut joints = PerJoint::default();
        for id in JointId::all(earths) {
            joints[id] = id.of(c).map_or(Contact::default(), Joint::contact);
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
            sheet: sheet_matrix(c),
            inductance: inductance_matrix(c),
            bolted: c.stud.short_resistance,
        }
    }

    /// Energy of the charged bank \[J\].
    pub fn stored_energy(&self) -> f64 {
        0.5 * self.capacitance * self.voltage * self.voltage
    }

    /// Resistance in series with the stud, without bank, switch, joints and earths \[Ω\].
    pub fn wiring_resistance(&self) -> f64 {
        self.internal_resistance + self.gun_resistance
    }

    /// Fixed inductance of the loop, 1/Σ𝓛⁻¹ \[H\].
    pub fn loop_inductance(&self) -> f64 {
        in_parallel(&self.inductance, self.earths)
    }
}

/// What coupled branches amount to side by side, one over the sum of their inverse matrix.
pub(super) fn in_parallel(matrix: &[[f64; MAX_EARTHS]; MAX_EARTHS], n: usize) -> f64 {
    1.0 / invert(matrix, n, [true; MAX_EARTHS])
        .iter()
        .flatten()
        .sum::<f64>()
}

/// Brings inductances \[H\] and resistances \[Ω\] of leads to order 1, for the unit rows beside them.
const ORDER: f64 = 1e6;

/// Inverse of a matrix of the branches over the conducting ones, zero elsewhere.
///
/// A matrix of inductances is positive definite for any real set of leads; a case whose leads lie closer than
/// their own size is refused before it comes here.
pub fn invert(
    matrix: &[[f64; MAX_EARTHS]; MAX_EARTHS],
    n: usize,
    conducting: [bool; MAX_EARTHS],
) -> [[f64; MAX_EARTHS]; MAX_EARTHS] {
    let on = |k: usize| k < n && conducting[k];
    // A branch that does not conduct is replaced by a unit row, so that one size serves all.
    let scaled = SMatrix::<f64, MAX_EARTHS, MAX_EARTHS>::from_fn(|r, c| {
        if on(r) && on(c) {
            matrix[r][c] * ORDER
        } else if r == c {
            1.0
        } else {
            0.0
        }
    });
    let mut out = [[0.0; MAX_EARTHS]; MAX_EARTHS];
    if let Some(inverse) = scaled.cholesky().map(|c| c.inverse()) {
        for r in 0..n {
            for c in 0..n {
                if on(r) && on(c) {
                    out[r][c] = inverse[(r, c)] * ORDER;
                }
            }
        }
    }
    out
}

/// 𝓛_kj = L_g − 2·M + L_k (or M between two earth leads) \[H\].
///
/// All leads run side by side as far as the shortest of them goes, the gun lead's surplus turns taken off first; what
/// a lead is longer lies as slack.
fn inductance_matrix(c: &Case) -> [[f64; MAX_EARTHS]; MAX_EARTHS] {
    let (lead, spacing) = (&c.lead, c.lead.spacing);
    let gun_left = lead.length - lead::coiled_length(lead.turns, lead.coil_diameter);
    let run = c.earths.iter().map(|e| e.length).fold(gun_left, f64::min);
    let own = |length: f64, section: f64| {
        let radius = lead::rope_radius(section);
        let slack = lead::slack_inductance(length - run, radius, spacing);
        lead::self_inductance(run, radius) + slack
    };
    let gun = own(gun_left, lead.section)
        + c.bank.internal_inductance
        + lead::coil_inductance(lead.turns, lead.coil_diameter, lead.section);
    let mutual = lead::mutual_inductance(run, spacing);
    let mut out = [[0.0; MAX_EARTHS]; MAX_EARTHS];
    for (k, earth) in c.earths.iter().enumerate().take(MAX_EARTHS) {
        for (j, entry) in out[k].iter_mut().enumerate().take(c.earths.len()) {
            let between = if k == j {
                own(earth.length, earth.section)
            } else {
                mutual
            };
            *entry = gun - mutual - mutual + between;
        }
    }
    out
}

fn sheet_matrix(c: &Case) -> [[f64; MAX_EARTHS]; MAX_EARTHS] {
    let g = sheet::per_radius(c.sheet.metal.resistivity_20, c.sheet.thickness);
    let clamps = c.earths.iter().take(MAX_EARTHS).map(|e| Clamp {
        at: e.at,
        radius: e.clamp_radius,
    });
    let mut out = [[0.0; MAX_EARTHS]; MAX_EARTHS];
    for (k, a) in clamps.clone().enumerate() {
        for (j, b) in clamps.clone().enumerate() {
            out[k][j] = sheet::resistance(g, 0.5 * c.stud.flange, &a, &b);
        }
    }
    out
}
