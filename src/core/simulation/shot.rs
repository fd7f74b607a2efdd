//! One shot's figures, events and books.

use serde::Serialize;

use super::burning::PerJoint;
use super::discharge::End;
use super::drift::Lanes;
use super::events::{Events, Phases};
use super::holds::Holds;
use super::ledger::Ledger;
use super::remarks::Remarks;
use super::rig::MAX_EARTHS;
use super::verdict::{Cause, Verdict};

/// The key figures, SI; `None` where the event did not come.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize)]
#[allow(non_snake_case)] // the names of the JSON file, units included
#[non_exhaustive]
pub struct Figures {
    /// Energy of the charged bank \[J\].
    pub stored_energy_J: f64,
    /// Largest current \[A\].
    pub peak_current_A: Option<f64>,
    /// When it flowed \[s\].
    pub time_of_peak_s: Option<f64>,
    /// Gap method: the pip meets the sheet \[s\].
    pub pip_touch_s: Option<f64>,
    /// Contact method: the stud begins to move \[s\].
    pub pip_yield_s: Option<f64>,
    /// The pip bursts \[s\].
    pub ignition_s: Option<f64>,
    /// The flange meets the sheet \[s\].
    pub touchdown_s: Option<f64>,
    /// From ignition to touchdown or to the arc's end \[s\].
    pub arc_time_s: Option<f64>,
    /// Speed of the stud at touchdown \[m/s\].
    pub touchdown_speed_m_per_s: Option<f64>,
    /// Current at touchdown \[A\].
    pub touchdown_current_A: Option<f64>,
    /// Gap at ignition \[m\].
    pub gap_at_ignition_m: Option<f64>,
    /// Action ∫i² of the whole discharge \[A²s\].
    pub action_A2s: f64,
    /// The current ends \[s\].
    pub current_end_s: Option<f64>,
    /// Melt on the stud's face at touchdown \[m\].
    pub melt_stud_m: Option<f64>,
    /// Melt on the sheet's face at touchdown \[m\].
    pub melt_sheet_m: Option<f64>,
    /// Deepest melt of the sheet \[m\].
    pub melt_sheet_max_m: Option<f64>,
    /// Travel of the stud after touchdown, through the melt \[m\].
    pub squeeze_travel_m: Option<f64>,
    /// Filler over the space under the cone; 1 just fills it.
    pub fill_ratio: Option<f64>,
    /// Least fill round the rim, with tilt and arc blow.
    pub rim_fill_min: Option<f64>,
    /// Hour of the clock at which it is; `None` where the rim is even all round too.
    pub rim_fill_min_at: Option<f64>,
    /// Share of the flange that is welded.
    pub welded_share: Option<f64>,
    /// Share of the arc's energy that boiled metal off.
    pub vapour_share: Option<f64>,
    /// Energy of the arc \[J\].
    pub arc_energy_J: Option<f64>,
    /// The last melt of the joint freezes \[s\].
    pub freeze_s: Option<f64>,
    /// Cooling rate of the joint over its first 100 K \[K/s\].
    pub cooling_rate_K_per_s: Option<f64>,
    /// Hottest back face of the sheet \[K\].
    pub back_face_K: Option<f64>,
    /// Fixed resistance of the loop \[Ω\].
    pub loop_resistance_ohm: f64,
    /// Inductance of the loop \[H\].
    pub loop_inductance_H: f64,
}

/// Work and books of a shot, for tests and benches.
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
    /// Relative gap of the books of heat.
    pub heat_imbalance: f64,
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
    /// How the current came to its end.
    #[serde(skip)]
    pub how: End,
    /// Length of a pip that never burst, at the end \[m\].
    #[serde(skip)]
    pub pip_left: Option<f64>,
    /// Largest current of each earth \[A\].
    pub peak_earths: [f64; MAX_EARTHS],
    /// When each joint's contact reached its melting voltage first \[s\], in the order of the loop.
    pub melts_from: PerJoint<Option<f64>>,
    /// What fills the wedge.
    pub volumes: Volumes,
    /// Loads at which weld, stud and sheet break.
    pub holds: Holds,
    /// What the figures give cause to say beside the verdict.
    pub remarks: Remarks,
    /// ∬ i·i_k dt² over the arc of each earth lead, the gun lead's behind them \[A²s²\]; `None` without an arc.
    #[serde(skip)]
    pub moments: Option<Lanes>,
    /// Work done, and its books.
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
}

impl Shot {
    /// Time the record of it covers \[s\]: up to the last event, and a millisecond where there is none.
    pub fn length(&self) -> f64 {
        self.events.iter().map(|e| e.time_s).fold(1e-3, f64::max)
    }

    /// Relative gap of the ledger: elements against the stored energy.
    pub fn imbalance(&self) -> f64 {
        (self.ledger.total() - self.figures.stored_energy_J).abs() / self.figures.stored_energy_J
    }
}
