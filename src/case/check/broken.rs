//! The rules between keys, as errors that carry the numbers.

use thiserror::Error;

use crate::case::keys::MOST_EARTHS;
use crate::case::quantity::number;

/// A rule between keys that a case breaks. Lengths in m, angles in rad, temperatures in K.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum Broken {
    #[error("`{key}`: {value} is out of bounds; allowed is {bounds}")]
    OutOfBounds {
        key: String,
        value: String,
        bounds: String,
    },
    #[error("{count} earth leads; a case has 1 to {MOST_EARTHS}")]
    EarthCount { count: usize },
    #[error("`bank.voltage` of {} V is above `bank.voltage_max`, the {} V the bank may be charged to", number(*.voltage, 6), number(*.most, 6))]
    OverCharged { voltage: f64, most: f64 },
    #[error("stud and sheet together take {} of the arc's power, more than all of it", number(*.sum, 6))]
    Shares { sum: f64 },
    #[error("the coil takes up {} of a lead of {}", m(*.coil), m(*.length))]
    CoilTooLong { coil: f64, length: f64 },
    #[error("the coil leaves a straight run of {}; it takes more than {} to run beside the earth leads", m(*.straight), m(*.least))]
    ShortRun { straight: f64, least: f64 },
    #[error("a bundle of {} across is too thick for a coil of {}", mm(*.bundle), mm(*.coil_diameter))]
    CoilTooTight { bundle: f64, coil_diameter: f64 },
    #[error("{lead} is {} long, no longer than its distance of {} from the other leads", m(*.length), m(*.spacing))]
    SpacingTooWide {
        /// Key of the lead's length.
        key: String,
        lead: String,
        length: f64,
        spacing: f64,
    },
    #[error("at a distance of {} the leads run into each other; their ropes need {}", mm(*.spacing), mm(*.least))]
    LeadsTouch { spacing: f64, least: f64 },
    #[error("the clamp of earth lead {number} is {} from the stud, not clear of the flange's radius of {}", mm(*.distance), mm(*.radius))]
    ClampOnFlange {
        number: usize,
        distance: f64,
        radius: f64,
    },
    #[error("the clamps of earth leads {first} and {second} are {} apart; two clamps need {}", mm(*.apart), mm(*.least))]
    ClampsTogether {
        first: usize,
        second: usize,
        apart: f64,
        least: f64,
    },
    #[error("the pip is {} across, no smaller than the flange of {}", mm(*.pip_diameter), mm(*.flange))]
    PipTooWide { pip_diameter: f64, flange: f64 },
    #[error("a centre mark of {} goes through a sheet of {}", mm(*.depth), mm(*.thickness))]
    MarkThroughSheet { depth: f64, thickness: f64 },
    #[error("a centre mark of {} is deeper than the pip of {} is long", mm(*.depth), mm(*.pip_length))]
    MarkDeeperThanPip { depth: f64, pip_length: f64 },
    #[error("at this tilt the rim of the flange, {} below the pip's root, meets the sheet before the pip does", mm(*.rim))]
    RimFirst {
        /// How far the low side of the rim stands below the root of the pip.
        rim: f64,
    },
    #[error("the gap method needs a lift above zero")]
    NoLift,
    #[error("{metal} boils at {} K, no higher than it melts at {} K", number(*.boiling, 6), number(*.melting, 6))]
    BoilsFirst {
        metal: String,
        melting: f64,
        boiling: f64,
    },
}

/// Metres, short.
fn m(value: f64) -> String {
    format!("{} m", number(value, 4))
}

/// Millimetres, short.
fn mm(value: f64) -> String {
    format!("{} mm", number(value * 1e3, 4))
}

impl Broken {
    /// Full names of the keys that together break the rule, the likeliest culprit first.
    pub fn keys(&self) -> Vec<String> {
        let keys: &[&str] = match self {
            Broken::OutOfBounds { key, .. } => return vec![key.clone()],
            Broken::EarthCount { .. } => &["earth"],
            Broken::OverCharged { .. } => &["bank.voltage", "bank.voltage_max"],
            Broken::Shares { .. } => &["arc.to_sheet", "arc.to_stud"],
            Broken::CoilTooLong { .. } | Broken::ShortRun { .. } => &[
                "lead.turns",
                "lead.coil_diameter",
                "lead.length",
                "lead.spacing",
            ],
            Broken::CoilTooTight { .. } => &["lead.coil_diameter", "lead.turns", "lead.section"],
            Broken::SpacingTooWide { key, .. } => return vec!["lead.spacing".into(), key.clone()],
            Broken::LeadsTouch { .. } => &[
                "lead.spacing",
                "lead.section",
                "earth.0.section",
                "earth.1.section",
                "earth.2.section",
                "earth.3.section",
            ],
            Broken::ClampOnFlange { number, .. } => {
                return vec![at(*number), "stud.flange".into(), "stud.size".into()];
            }
            Broken::ClampsTogether { first, second, .. } => return vec![at(*second), at(*first)],
            Broken::PipTooWide { .. } => &["stud.pip_diameter", "stud.flange", "stud.size"],
            Broken::MarkThroughSheet { .. } => &["sheet.centre_mark.depth", "sheet.thickness"],
            Broken::MarkDeeperThanPip { .. } => {
                &["sheet.centre_mark.depth", "stud.pip_length", "stud.size"]
            }
            Broken::RimFirst { .. } => &[
                "tool.tilt",
                "stud.cone",
                "sheet.centre_mark.depth",
                "stud.pip_length",
                "stud.flange",
                "stud.size",
            ],
            Broken::NoLift => &["tool.lift", "tool.method"],
            Broken::BoilsFirst { metal, .. } => {
                let point = |which| format!("metal.\"{metal}\".{which}_point");
                return vec![point("boiling"), point("melting")];
            }
        };
        keys.iter().map(|key| key.to_string()).collect()
    }

    /// What could be done about it.
    pub fn help(&self) -> Option<&'static str> {
        match self {
            Broken::Shares { .. } => {
                Some("what reaches neither face is lost as light, gas and spatter")
            }
            Broken::CoilTooLong { .. } | Broken::ShortRun { .. } => Some(
                "the coil is part of `lead.length`: fewer turns, a smaller coil, or a longer lead",
            ),
            Broken::SpacingTooWide { .. } => {
                Some("`lead.spacing` is the mean distance between leads that run side by side")
            }
            _ => None,
        }
    }
}

fn at(number: usize) -> String {
    format!("earth.{number}.at")
}
