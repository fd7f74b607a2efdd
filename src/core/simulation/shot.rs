//! One shot's figures, events and balances.

use serde::Serialize;

use super::contacts::JointRecord;
use super::discharge::End;
use super::drift::Lanes;
use super::events::{Events, Phases};
pub use super::figures::Figures;
use super::holds::Holds;
use super::ledger::Ledger;
use super::nearest::Near;
use super::remarks::Remarks;
use super::rig::MAX_EARTHS;
use super::verdict::{Cause, Verdict};
use crate::case::joint_id::PerJoint;

/// Work and balances of a shot, for tests and benches.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize)]
pub struct Effort {
    /// Evaluations of the circuit's equations.
    pub evaluations: u64,
    /// Accepted steps.
    pub steps: u64,
    /// Rejected steps.
    pub rejected: u64,
    /// Steps of the heat.
    pub heat_steps: u64,
    /// Linear solves of the heat.
    pub heat_solves: u64,
    /// Steps of the heat whose cells had not settled on their states when the corrections ended.
    pub heat_unsettled: u64,
    /// Relative error of the heat balance.
    pub heat_imbalance: f64,
}

impl Effort {
    /// Evaluations of the circuit's equations and linear solves of the heat; unlike a time it is the same on every machine.
    pub fn work(&self) -> u64 {
        self.evaluations + self.heat_solves
    }
}

/// One weld cycle.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Shot {
    /// Key figures.
    pub figures: Figures,
    /// Events in order of time.
    pub events: Events,
    /// Phases with their start \[s\].
    pub phases: Phases,
    /// Where every joule went.
    pub ledger: Ledger,
    /// `None` for a discharge test.
    pub verdict: Option<Verdict>,
    /// What decided the verdict.
    pub cause: Cause,
    /// The limit of the verdict that a sound weld is nearest to.
    pub nearest: Option<Near>,
    /// How the current came to its end.
    #[serde(skip)]
    pub how: End,
    /// End of the discharge or of its record \[s\].
    #[serde(skip)]
    pub(super) recorded: f64,
    /// Length of a pip that never burst, at the end \[m\].
    #[serde(skip)]
    pub pip_left: Option<f64>,
    /// Largest current of each earth \[A\].
    pub peak_earths: [f64; MAX_EARTHS],
    /// What became of each joint.
    pub joints: PerJoint<JointRecord>,
    /// What fills the wedge.
    pub volumes: Volumes,
    /// Loads at which weld, stud and sheet break.
    pub holds: Holds,
    /// What the figures give cause to say beside the verdict.
    pub remarks: Remarks,
    /// ∬ i·i_k dt² over the arc of each earth lead, the gun lead's behind them \[A²s²\]; `None` without an arc.
    #[serde(skip)]
    pub moments: Option<Lanes>,
    /// Work done, and its balances.
    pub effort: Effort,
}

/// What fills the wedge \[m³\].
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize)]
pub struct Volumes {
    /// Melt squeezed out by the stud \[m³\].
    pub squeezed: f64,
    /// Share of the pip that fills \[m³\].
    pub pip: f64,
    /// Lost as vapour \[m³\].
    pub vapour: f64,
    /// Wedge and centre mark \[m³\].
    pub space: f64,
    /// The same as the stud stands: more once it is tilted by more than its cone, for its low side holds it up \[m³\].
    #[serde(skip)]
    pub room: f64,
}

impl Volumes {
    /// Fill of a square stud that becomes this one as the stud stands: melt is spread over all the room there is.
    pub fn spread(&self, fill: f64) -> f64 {
        match self.is_propped() {
            true => fill * self.space / self.room,
            false => fill,
        }
    }

    /// Whether the stud stands on its low side, which leaves more room than a square one has.
    pub fn is_propped(&self) -> bool {
        self.room > self.space
    }
}

impl Shot {
    /// Time the record of it covers \[s\]: up to the last event or the end of a record in which the current still flows, and
    /// a millisecond at least.
    pub fn length(&self) -> f64 {
        let cut = match self.how {
            End::StillFlowing => self.recorded,
            _ => 0.0,
        };
        let events = self.events.iter().map(|e| e.time_s);
        events.fold(cut.max(1e-3), f64::max)
    }

    /// Fill above what is needed where the rim has least; `None` where the fill does not decide.
    pub fn reserve(&self) -> Option<f64> {
        let decides = matches!(
            self.cause,
            Cause::Filled | Cause::PartFilled | Cause::Underfilled
        );
        let fill = self.figures.rim_fill_min.filter(|_| decides)?;
        Some(fill - 1.0)
    }

    /// Relative gap of the ledger: elements against the stored energy.
    pub fn imbalance(&self) -> f64 {
        (self.ledger.total() - self.figures.stored_energy_J).abs() / self.figures.stored_energy_J
    }
}
