//! What a shift keeps of a shot: joules by element and the figures that count, as plain numbers that can be
//! interpolated.

use super::state::joint_place;
use crate::case::joint_id::{JointId, MAX_EARTHS, MAX_JOINTS};
use crate::simulation::ledger::Ledger;
use crate::simulation::rig::Rig;
use crate::simulation::shot::Shot;
use crate::simulation::verdict::{Cause, Verdict};

/// Elements of the ledger.
pub const ELEMENTS: usize = JOINTS + MAX_JOINTS + MAX_EARTHS;

/// Places among the elements \[J\].
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[allow(missing_docs)]
#[rustfmt::skip]
pub enum Element { Esr, Switch, Diode, Internal, Gun, Sheet, Pip, ToStud, ToSheet, Away, Forge, Bolted, LeftInBank, LeftInLeads }

const JOINTS: usize = 14;
const EARTHS: usize = JOINTS + MAX_JOINTS;

/// Place of a joint's joules.
pub fn of_joint(id: JointId) -> usize {
    JOINTS + joint_place(id)
}

/// Place of an earth lead's joules.
pub fn of_earth(k: usize) -> usize {
    EARTHS + k
}

/// Figures besides the joules, SI; not a number where the shot has none.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[allow(missing_docs)]
#[rustfmt::skip]
pub enum Figure { Peak, Action, ArcEnergy, Fill, RimFill, Vapour, SheetMelt, Ends, EarthPeak0, EarthPeak1, EarthPeak2, EarthPeak3 }

/// Steps of the heat beyond which the enthalpy method was at work, which takes three times those of the fronts.
const MOST_OF_FRONTS: u64 = 100;

/// Figures kept.
const FIGURES: usize = 8 + MAX_EARTHS;

/// All numbers kept.
pub const NUMBERS: usize = ELEMENTS + FIGURES;

/// A shot as numbers.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fired {
    /// Joules by element, then the figures.
    pub numbers: [f64; NUMBERS],
    /// Its verdict; `None` for a discharge test.
    pub verdict: Option<Verdict>,
    /// What decided it.
    pub cause: Cause,
    /// Joints that parted or were parted, a bit each in the order of the loop.
    pub parted: u32,
    /// Events in their order, as a number: shots with another course have another one.
    pub course: u64,
}

impl Fired {
    /// Of a shot.
    pub fn of(rig: &Rig, shot: &Shot) -> Self {
        let mut numbers = [0.0; NUMBERS];
        elements(&shot.ledger, &mut numbers);
        let f = &shot.figures;
        let none = f64::NAN;
        let figures = [
            f.peak_current_A.unwrap_or(0.0),
            f.action_A2s,
            f.arc_energy_J.unwrap_or(0.0),
            f.fill_ratio.unwrap_or(none),
            f.rim_fill_min.unwrap_or(none),
            f.vapour_share.unwrap_or(none),
            f.melt_sheet_max_m.unwrap_or(none),
            f.current_end_s.unwrap_or(0.0),
        ];
        numbers[ELEMENTS..ELEMENTS + 8].copy_from_slice(&figures);
        numbers[ELEMENTS + 8..].copy_from_slice(&shot.peak_earths);
        let mut parted = 0;
        for id in JointId::all(rig.circuit.earths) {
            if shot.joints[id].parts_s.is_some() || rig.circuit.joints[id].starts_parted() {
                parted |= 1 << joint_place(id);
            }
        }
        let by_enthalpy = shot.effort.heat_steps > MOST_OF_FRONTS;
        let mut course = 2 * (shot.cause as u64 + 1) + u64::from(by_enthalpy);
        for event in &shot.events {
            let joint = event.joint.map_or(0, |id| joint_place(id) as u64 + 1);
            let event = event.name as u64 * 16 + joint;
            course = course.wrapping_mul(1_000_003).wrapping_add(event);
        }
        Fired {
            numbers,
            verdict: shot.verdict,
            cause: shot.cause,
            parted,
            course,
        }
    }

    /// Joules of an element.
    pub fn joules(&self, element: Element) -> f64 {
        self.numbers[element as usize]
    }

    /// A figure; not a number where there is none.
    pub fn figure(&self, figure: Figure) -> f64 {
        self.numbers[ELEMENTS + figure as usize]
    }

    /// The same; `None` where there is none.
    pub fn known(&self, figure: Figure) -> Option<f64> {
        Some(self.figure(figure)).filter(|v| v.is_finite())
    }

    /// Whether a joint parted.
    pub fn has_parted(&self, id: JointId) -> bool {
        self.parted & (1 << joint_place(id)) != 0
    }

    /// Largest current of a joint \[A\].
    pub fn peak_of(&self, id: JointId) -> f64 {
        match id.earth() {
            None => self.figure(Figure::Peak),
            Some(k) => self.numbers[ELEMENTS + Figure::EarthPeak0 as usize + k],
        }
    }

    /// Scales the joules so that they add up to `stored` \[J\]: interpolation does not keep their sum.
    pub fn balance(&mut self, stored: f64) {
        let sum: f64 = self.numbers[..ELEMENTS].iter().sum();
        if sum > 0.0 {
            let scale = stored / sum;
            self.numbers[..ELEMENTS]
                .iter_mut()
                .for_each(|j| *j *= scale);
        }
    }
}

fn elements(ledger: &Ledger, out: &mut [f64; NUMBERS]) {
    let l = ledger;
    let single: [f64; JOINTS] = [
        l.bank_esr,
        l.switch,
        l.diode,
        l.internal,
        l.gun_lead,
        l.sheet,
        l.pip,
        l.arc_to_stud,
        l.arc_to_sheet,
        l.arc_away,
        l.forge,
        l.bolted,
        l.left_in_bank,
        l.left_in_leads,
    ];
    out[..JOINTS].copy_from_slice(&single);
    for id in JointId::all(l.count) {
        out[of_joint(id)] = l.joints[id];
    }
    out[EARTHS..EARTHS + MAX_EARTHS].copy_from_slice(&l.earth_leads);
}
