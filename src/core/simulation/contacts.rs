//! How the contacts of the loop stand during a shot: cold, molten, set or parted.
//!
//! A contact resists, melts where its voltage reaches U_m, holds U_m while its current grows, and keeps its wider
//! spot afterwards; where the current's blow-off exceeds its force it parts, and arcs until the current ends. In
//! each state it is a constant resistance or a constant voltage, so that the loop stays linear between events.

use serde::Serialize;

use super::circuit::{Circuit, in_parallel};
use super::moment::Moment;
use crate::case::joint_id::{JointId, PerJoint};
use crate::physics::joint::{Contact, MELTING_VOLTAGE, parting_current};

/// Share of a current beyond which a contact has reached its next state together with another.
const TOGETHER: f64 = 1e-9;

/// Share of a current that is rounding: what has just set is not molten again by it.
const ROUNDING: f64 = 1e-12;

/// How a contact conducts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum State {
    /// With its cold resistance.
    Cold,
    /// At its melting voltage, while its current grows.
    Molten,
    /// With the resistance that the widest molten spot left it.
    Set,
    /// By an arc.
    Parted,
}

/// What became of a joint, times from the trigger.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize)]
pub struct JointRecord {
    /// It began to melt for the first time \[s\].
    pub melts_s: Option<f64>,
    /// It set for the last time \[s\].
    pub sets_s: Option<f64>,
    /// It parted \[s\]; one that was parted from the start has no time.
    pub parts_s: Option<f64>,
    /// Energy it took \[J\].
    #[serde(rename = "energy_J")]
    pub energy: f64,
}

/// One contact.
#[derive(Debug, Clone, Copy)]
struct Standing {
    contact: Contact,
    state: State,
    /// Current at which it melts, for the first time or again \[A\].
    melting: f64,
    /// Current at which it parts \[A\].
    parting: f64,
    /// Way its current flows while it drops a constant voltage.
    sign: f64,
    /// Action \[A²s\] and charge \[C\] of its current when it took its state.
    since: [f64; 2],
    record: JointRecord,
}

impl Default for Standing {
    fn default() -> Self {
        Standing::new(Contact::default())
    }
}

impl Standing {
    fn new(contact: Contact) -> Self {
        let parted = contact.starts_parted();
        Standing {
            contact,
            state: if parted { State::Parted } else { State::Cold },
            melting: MELTING_VOLTAGE / contact.resistance,
            parting: parting_current(contact.force),
            sign: 1.0,
            since: [0.0; 2],
            record: JointRecord::default(),
        }
    }

    /// Resistance \[Ω\] and constant voltage \[V\].
    fn law(&self) -> [f64; 2] {
        match self.state {
            State::Cold => [self.contact.resistance, 0.0],
            State::Set => [MELTING_VOLTAGE / self.melting, 0.0],
            State::Molten => [0.0, self.sign * MELTING_VOLTAGE],
            State::Parted => [0.0, self.sign * self.contact.drop],
        }
    }

    /// Size of the current at which its state changes next \[A\].
    fn next(&self) -> f64 {
        match self.state {
            State::Cold | State::Set => self.melting.min(self.parting),
            State::Molten => self.parting,
            State::Parted => f64::INFINITY,
        }
    }

    /// Counts its joules up to the sums of its current: action \[A²s\] and charge \[C\].
    fn count(&mut self, sums: [f64; 2]) {
        let [resistance, drop] = self.law();
        let [action, charge] = [0, 1].map(|of| sums[of] - self.since[of]);
        self.record.energy += resistance * action + drop * charge;
        self.since = sums;
    }

    fn take(&mut self, state: State, current: f64, sums: [f64; 2]) {
        self.count(sums);
        self.state = state;
        self.sign = 1f64.copysign(current);
    }
}

/// Joints that carry the same current, as one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lane {
    /// Sum of their resistances \[Ω\].
    pub resistance: f64,
    /// Sum of their constant voltages \[V\], against the current.
    pub drop: f64,
    /// Size of the current at which one of them melts or parts next \[A\].
    pub next: f64,
    /// Whether one of them is molten.
    pub molten: bool,
    /// Whether one of them arcs, so that the lane conducts one way only.
    pub parted: bool,
    /// That way.
    pub sign: f64,
}

/// All contacts of the loop.
#[derive(Debug, Clone, Copy)]
pub struct Contacts {
    earths: usize,
    all: PerJoint<Standing>,
}

impl Circuit {
    /// Fixed resistance of the loop \[Ω\]: joints as they start, earths in parallel, without pip or arc.
    pub fn loop_resistance(&self) -> f64 {
        let contacts = Contacts::new(self);
        let mut branches = self.sheet;
        for (k, row) in branches.iter_mut().enumerate() {
            row[k] += self.lead_resistances[k] + contacts.lane(Some(k)).resistance;
        }
        self.esr
            + self.switch_slope
            + self.wiring_resistance()
            + contacts.lane(None).resistance
            + self.bolted.unwrap_or(0.0)
            + in_parallel(&branches, self.earths)
    }
}

impl Contacts {
    /// As the shot begins.
    pub fn new(circuit: &Circuit) -> Self {
        let mut all = PerJoint::default();
        for id in JointId::all(circuit.earths) {
            all[id] = Standing::new(circuit.joints[id]);
        }
        Contacts {
            earths: circuit.earths,
            all,
        }
    }

    /// The joints of an earth lead, or those in series with the stud, as one.
    pub fn lane(&self, earth: Option<usize>) -> Lane {
        let mut lane = Lane {
            resistance: 0.0,
            drop: 0.0,
            next: f64::INFINITY,
            molten: false,
            parted: false,
            sign: 1.0,
        };
        for id in of_lane(earth) {
            let joint = &self.all[id];
            let [resistance, drop] = joint.law();
            lane.resistance += resistance;
            lane.drop += drop;
            lane.next = lane.next.min(joint.next());
            lane.molten |= joint.state == State::Molten;
            if joint.state == State::Parted {
                lane.parted = true;
                lane.sign = joint.sign;
            }
        }
        lane
    }

    /// Voltage across a joint at the currents of a moment \[V\].
    pub fn voltage(&self, id: JointId, current: f64) -> f64 {
        if current == 0.0 {
            return 0.0;
        }
        let [resistance, drop] = self.all[id].law();
        resistance * current + drop
    }

    /// The lane's current has reached what one of its joints bears: that melts or parts.
    pub fn reach(&mut self, earth: Option<usize>, now: &Moment) {
        let (current, sums) = now.of_lane(earth);
        for id in of_lane(earth) {
            let joint = &mut self.all[id];
            if joint.next() > current.abs() * (1.0 + TOGETHER) {
                continue;
            }
            if joint.parting <= joint.next() {
                joint.take(State::Parted, current, sums);
                joint.record.parts_s = Some(now.t);
            } else {
                joint.take(State::Molten, current, sums);
                joint.record.melts_s.get_or_insert(now.t);
            }
        }
    }

    /// The lane's current no longer grows: what is molten keeps the spot it has.
    pub fn set(&mut self, earth: Option<usize>, now: &Moment) {
        let (current, sums) = now.of_lane(earth);
        for id in of_lane(earth) {
            let joint = &mut self.all[id];
            if joint.state == State::Molten {
                joint.take(State::Set, current, sums);
                joint.melting = current.abs() * (1.0 + ROUNDING);
                joint.record.sets_s = Some(now.t);
            }
        }
    }

    /// A branch that arcs starts to conduct: in the direction of the bank's voltage.
    pub fn start(&mut self, earth: usize, now: &Moment) {
        let (_, sums) = now.of_lane(Some(earth));
        for id in JointId::of_earth(earth) {
            if self.all[id].state == State::Parted {
                self.all[id].take(State::Parted, 1.0, sums);
            }
        }
    }

    /// What became of each joint up to now.
    pub fn records(&mut self, now: &Moment) -> PerJoint<JointRecord> {
        let mut out = PerJoint::default();
        for id in JointId::all(self.earths) {
            let (_, sums) = now.of_lane(id.earth());
            self.all[id].count(sums);
            out[id] = self.all[id].record;
        }
        out
    }
}

/// The joints of a lane.
fn of_lane(earth: Option<usize>) -> impl Iterator<Item = JointId> {
    let (ids, count) = match earth {
        None => (JointId::SERIES, JointId::SERIES.len()),
        Some(k) => {
            let [terminal, clamp] = JointId::of_earth(k);
            ([terminal, clamp, clamp], 2)
        }
    };
    ids.into_iter().take(count)
}
