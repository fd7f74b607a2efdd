//! The switch: how hot the loss of a shot makes its junction over the heat sink.

use crate::case::model::Case;
use crate::physics::junction::{Foster, STAGES, even_pulse};

/// The switch's losses and its junction.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Switch {
    /// Voltage at no current \[V\], and slope \[Ω\].
    drop: f64,
    slope: f64,
    /// From the junction to the heat sink.
    pub foster: Foster,
    /// The heat sink's temperature before a first shot \[K\].
    room: f64,
    /// What the junction must not exceed \[K\].
    pub limit: f64,
}

impl Switch {
    /// The switch of a (checked) case.
    pub fn new(case: &Case) -> Self {
        Switch {
            drop: case.bank.switch_drop,
            slope: case.bank.switch_slope,
            foster: Foster {
                r: case.thermal.junction_r,
                tau: case.thermal.junction_tau,
            },
            room: case.room.temperature,
            limit: case.limits.junction,
        }
    }

    /// Rises of the junction's stages \[K\] right after a shot of this largest `current` \[A\] that costs the switch
    /// `energy` \[J\], from `rises` before it.
    pub fn after(&self, rises: [f64; STAGES], current: f64, energy: f64) -> [f64; STAGES] {
        let peak = (self.drop + self.slope * current) * current;
        if peak > 0.0 && energy > 0.0 {
            self.foster.pulse(rises, energy, even_pulse(energy, peak))
        } else {
            rises
        }
    }

    /// The junction right after a single such shot of a rig as cold as the room \[K\].
    pub fn from_cold(&self, current: f64, energy: f64) -> f64 {
        let rises = self.after([0.0; STAGES], current, energy);
        self.room + rises.iter().sum::<f64>()
    }
}
