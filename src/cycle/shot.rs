//! One shot's figures, events and books.

use serde::Serialize;

use super::burning::PerJoint;
use super::discharge::End;
use super::events::{Event, Phase};
use super::ledger::Ledger;
use super::rig::MAX_EARTHS;
use super::verdict::{Cause, Verdict};

/// The key figures, SI; `None` where the event did not come.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize)]
#[allow(non_snake_case)] // the names of the JSON file, units included
pub struct Figures {
    pub stored_energy_J: f64,
    pub peak_current_A: Option<f64>,
    pub time_of_peak_s: Option<f64>,
    pub pip_touch_s: Option<f64>,
    pub pip_yield_s: Option<f64>,
    pub ignition_s: Option<f64>,
    pub touchdown_s: Option<f64>,
    pub arc_time_s: Option<f64>,
    pub touchdown_speed_m_per_s: Option<f64>,
    pub touchdown_current_A: Option<f64>,
    pub gap_at_ignition_m: Option<f64>,
    pub action_A2s: f64,
    pub current_end_s: Option<f64>,
    pub melt_stud_m: Option<f64>,
    pub melt_sheet_m: Option<f64>,
    pub melt_sheet_max_m: Option<f64>,
    pub closed_m: Option<f64>,
    pub fill_ratio: Option<f64>,
    pub vapour_share: Option<f64>,
    pub arc_energy_J: Option<f64>,
    pub freeze_s: Option<f64>,
    pub cooling_rate_K_per_s: Option<f64>,
    pub back_face_K: Option<f64>,
    pub loop_resistance_ohm: f64,
    pub loop_inductance_H: f64,
}

/// Work and books of a shot, for tests and benches.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize)]
pub struct Effort {
    /// Evaluations of the circuit's equations, accepted and rejected steps.
    pub evaluations: u64,
    pub steps: u64,
    pub rejected: u64,
    /// Steps of the heat and linear solves in them.
    pub heat_steps: u64,
    pub heat_solves: u64,
    /// Steps of the heat whose cells had not settled on their states when the corrections ended.
    pub heat_unsettled: u64,
    /// Relative gap of the books of heat.
    pub heat_imbalance: f64,
}

/// One weld cycle.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Shot {
    pub figures: Figures,
    pub events: Vec<Event>,
    /// Phases with their start [s].
    pub phases: Vec<(Phase, f64)>,
    pub ledger: Ledger,
    /// `None` for a discharge test.
    pub verdict: Option<Verdict>,
    pub cause: Cause,
    #[serde(skip)]
    pub how: End,
    /// Largest current of each earth [A].
    pub peak_earths: [f64; MAX_EARTHS],
    /// When each joint's contact reached its melting voltage first [s], in the order of the loop.
    pub melts_from: PerJoint<Option<f64>>,
    /// Filler volumes [m³]: from melt, from the pip, lost as vapour, and the space to fill.
    pub volumes: Volumes,
    pub effort: Effort,
}

/// What fills the wedge [m³].
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize)]
pub struct Volumes {
    pub squeezed: f64,
    pub pip: f64,
    pub vapour: f64,
    pub space: f64,
}

impl Shot {
    /// Time the record of it covers [s]: up to the last event, and a millisecond where there is none.
    pub fn length(&self) -> f64 {
        self.events.iter().map(|e| e.time_s).fold(1e-3, f64::max)
    }

    /// Relative gap of the ledger: elements against the stored energy.
    pub fn imbalance(&self) -> f64 {
        (self.ledger.total() - self.figures.stored_energy_J).abs() / self.figures.stored_energy_J
    }
}
