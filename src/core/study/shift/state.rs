//! What the rig is at one weld, as factors on what its case says, so that it can be put on any rig of its kind.

use crate::case::joint_id::{JointId, MAX_EARTHS, MAX_JOINTS};
use crate::simulation::rig::Rig;

/// Coordinates of a state.
pub const SIZE: usize = 3 + MAX_EARTHS + 2 * MAX_JOINTS;

/// Places of the coordinates: voltage, gun lead, sheet; then earth leads; then resistances and forces of joints.
pub const VOLTAGE: usize = 0;
/// Resistance of the gun lead.
pub const GUN: usize = 1;
/// Temperature of the sheet where the weld goes \[K\]; the only coordinate that is no factor.
pub const SHEET: usize = 2;
const EARTH: usize = 3;
const RESISTANCE: usize = EARTH + MAX_EARTHS;
const FORCE: usize = RESISTANCE + MAX_JOINTS;

/// A state: factors on the rig's own voltage, resistances and forces, and the temperature of the sheet \[K\].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct State(pub [f64; SIZE]);

impl State {
    /// The rig as its case says, the sheet at this temperature \[K\].
    pub fn fresh(sheet: f64) -> Self {
        let mut all = [1.0; SIZE];
        all[SHEET] = sheet;
        State(all)
    }

    /// Place of the resistance of an earth lead.
    pub fn earth(k: usize) -> usize {
        EARTH + k
    }

    /// Places of a joint's resistance and force.
    pub fn joint(id: JointId) -> [usize; 2] {
        let place = joint_place(id);
        [RESISTANCE + place, FORCE + place]
    }

    /// Whether a coordinate is the force of a joint.
    pub fn is_force(coordinate: usize) -> bool {
        coordinate >= FORCE
    }

    /// The rig in this state.
    pub fn put_on(&self, rig: &mut Rig) {
        let x = &self.0;
        let circuit = &mut rig.circuit;
        circuit.voltage *= x[VOLTAGE];
        circuit.gun_resistance *= x[GUN];
        for (k, r) in circuit.lead_resistances.iter_mut().enumerate() {
            *r *= x[EARTH + k];
        }
        for id in JointId::all(circuit.earths) {
            let [resistance, force] = State::joint(id);
            circuit.joints[id].resistance *= x[resistance];
            circuit.joints[id].force *= x[force];
        }
        let sheet = &mut rig.faces[1].enthalpy;
        *sheet = sheet.started_at(x[SHEET]);
    }
}

/// Number of a joint in the order of the loop.
pub(super) fn joint_place(id: JointId) -> usize {
    match id {
        JointId::Bank => 0,
        JointId::Tool => 1,
        JointId::Chuck => 2,
        JointId::Terminal(k) => 3 + 2 * k,
        JointId::Clamp(k) => 4 + 2 * k,
    }
}
