//! A joint of the loop as the user describes it.

use serde::{Deserialize, Serialize};

use super::model::OWN;
use crate::physics::joint::{ARC_VOLTAGE, Contact};

/// A current-carrying joint: a contact that resists, melts, and parts where the current forces it apart.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[non_exhaustive]
pub struct Joint {
    /// Preset name, or "own" for a resistance of the user's.
    pub name: String,
    /// Cold resistance \[Ω\].
    pub resistance: f64,
    /// Force that holds it \[N\]; without one it never parts, or, if a drop is given, it is apart from the start.
    pub force: Option<f64>,
    /// Voltage of its arc once it has parted \[V\]; the least of copper if not given.
    pub drop: Option<f64>,
}

impl Joint {
    /// A joint of this resistance \[Ω\] that never parts.
    pub fn of_resistance(resistance: f64) -> Self {
        Joint {
            name: OWN.to_string(),
            resistance,
            force: None,
            drop: None,
        }
    }

    /// The joint as a contact of the loop.
    pub fn contact(&self) -> Contact {
        let drop = self.drop.unwrap_or(ARC_VOLTAGE);
        let without = match self.drop {
            Some(drop) if drop > 0.0 => 0.0,
            _ => f64::INFINITY,
        };
        Contact {
            resistance: self.resistance,
            force: self.force.unwrap_or(without),
            drop,
        }
    }
}
