//! What the integrator found: events, phases, moments and the arc's energy.

use super::contacts::JointRecord;
use super::drift::Moments;
use super::events::{Event, EventName, Events, Phases};
use super::heat_solver::ArcKnot;
use super::integrator::Work;
use super::moment::Moment;
use super::rig::MAX_EARTHS;
use crate::case::joint_id::PerJoint;

/// What the bank gave.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Supply {
    /// ∫i_b² of its current \[A²s\].
    pub action: f64,
    /// ∫i_b \[C\].
    pub charge: f64,
}

/// How the current came to its end, or why it never flowed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum End {
    /// The current stopped by itself.
    #[default]
    Stopped,
    /// The bank could not drive any current through its own drops.
    NeverConducted,
    /// Gap method: the stud came to rest above the sheet.
    NeverTouched,
    /// The record's end came first, with the current still flowing or the stud still on its stepper.
    StillFlowing,
}

/// What the integrator found.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Discharge {
    /// Events in order of time.
    pub events: Events,
    /// Phases with their start \[s\]; each ends where the next begins.
    pub phases: Phases,
    /// The arc's energy from ignition on.
    pub arc: Vec<ArcKnot>,
    /// Largest current \[A\] and its time \[s\].
    pub peak: (f64, f64),
    /// Largest current of each earth \[A\].
    pub peak_earths: [f64; MAX_EARTHS],
    /// Moments of the currents over the arc.
    pub moments: Moments,
    /// What became of each joint.
    pub joints: PerJoint<JointRecord>,
    /// What the bank gave.
    pub supply: Supply,
    /// Gap method: when the pip met the sheet \[s\].
    pub pip_touch: Option<f64>,
    /// Contact method: when the stud began to move \[s\].
    pub pip_yield: Option<f64>,
    /// When the pip burst.
    pub ignition: Option<Moment>,
    /// When the free-wheel diode began to conduct first.
    pub diode_conducts: Option<Moment>,
    /// When the flange met the sheet under the arc.
    pub touchdown: Option<Moment>,
    /// When the pip was fully crushed before it burst \[s\].
    pub stub: Option<f64>,
    /// Action up to the stub \[A²s\].
    pub stub_action: Option<f64>,
    /// When the arc went out before touchdown.
    pub arc_out: Option<Moment>,
    /// The integrator's last state.
    pub end: Moment,
    /// How it ended.
    pub how: End,
    /// The integrator's work.
    pub work: Work,
}

impl Discharge {
    /// Empties the lists and forgets the results, keeping the memory.
    pub(super) fn clear(&mut self) {
        let (mut events, mut phases, mut arc) = (
            std::mem::take(&mut self.events),
            std::mem::take(&mut self.phases),
            std::mem::take(&mut self.arc),
        );
        events.clear();
        phases.clear();
        arc.clear();
        *self = Discharge {
            events,
            phases,
            arc,
            ..Discharge::default()
        };
    }

    /// Whether the record ended before the pip had burst or been crushed, or with the stud on its stepper.
    pub fn undecided(&self) -> bool {
        let before = self.ignition.is_none() && self.stub.is_none();
        let flying = self.ignition.is_some() && self.touchdown.is_none() && self.end.speed > 0.0;
        self.how == End::StillFlowing && (before || flying)
    }

    pub(super) fn event(&mut self, name: EventName, time_s: f64) {
        self.events.push(Event::new(name, time_s));
    }
}
