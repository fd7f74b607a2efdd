//! The rules between keys, as errors that carry the numbers.

use thiserror::Error;

use crate::case::keys::MOST_EARTHS;
use crate::case::quantity::number;

/// A rule between keys that a case breaks. Lengths in m, angles in rad, temperatures in K.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum Broken {
    /// A number lies outside its key's own bounds.
    #[error("`{key}`: {value} is out of bounds; allowed is {bounds}")]
    OutOfBounds {
        /// Full name of the key.
        key: String,
        /// The number with its customary unit.
        value: String,
        /// Bounds in words: `from 0.1 m to 200 m`.
        bounds: String,
    },
    /// No earth lead, or more than [`MOST_EARTHS`].
    #[error("{count} earth leads; a case has 1 to {MOST_EARTHS}")]
    EarthCount {
        /// How many the case has.
        count: usize,
    },
    /// The bank is charged higher than it may be.
    #[error("`bank.voltage` of {} V exceeds `bank.voltage_max`, {} V", number(*.voltage, 6), number(*.most, 6))]
    OverCharged {
        /// Charging voltage \[V\].
        voltage: f64,
        /// Highest allowed \[V\].
        most: f64,
    },
    /// The spring's range ends below its beginning.
    #[error("`tool.spring_min` of {} N exceeds `tool.spring_max`, {} N", number(*.least, 6), number(*.most, 6))]
    SpringRange {
        /// Weakest setting \[N\].
        least: f64,
        /// Strongest setting \[N\].
        most: f64,
    },
    /// Both faces together take more power than the arc has.
    #[error("stud and sheet together take {} of the arc's power, more than all of it", number(*.sum, 6))]
    Shares {
        /// Sum of the two shares; above 1.
        sum: f64,
    },
    /// More lead is coiled up than there is.
    #[error("the coil takes up {} of a lead of {}", m(*.coil), m(*.length))]
    CoilTooLong {
        /// Length in the coil \[m\].
        coil: f64,
        /// Length of the lead \[m\].
        length: f64,
    },
    /// The coil leaves too short a run beside the earth leads.
    #[error("the coil leaves a straight length of {}; more than {} must run beside the earth leads", m(*.straight), m(*.least))]
    ShortRun {
        /// Length outside the coil \[m\].
        straight: f64,
        /// What it must exceed \[m\]: the leads' distance, or 0.1 m if that is more.
        least: f64,
    },
    /// The bundle of turns is as thick as the coil is wide, or thicker.
    #[error("a bundle of {} across is too thick for a coil of {}", mm(*.bundle), mm(*.coil_diameter))]
    CoilTooTight {
        /// Diameter of the bundle \[m\].
        bundle: f64,
        /// Diameter of the coil \[m\].
        coil_diameter: f64,
    },
    /// A lead is no longer than its distance from the others.
    #[error("{lead} is {} long, no longer than its distance of {} from the other leads", m(*.length), m(*.spacing))]
    SpacingTooWide {
        /// Key of the lead's length.
        key: String,
        /// The lead in words: `the lead`, `earth lead 0`.
        lead: String,
        /// Its length \[m\].
        length: f64,
        /// Mean distance between the leads \[m\].
        spacing: f64,
    },
    /// The two thickest ropes would meet at the distance given.
    #[error("at a spacing of {} the leads overlap; they need {}", mm(*.spacing), mm(*.least))]
    LeadsTouch {
        /// Mean distance between the leads \[m\].
        spacing: f64,
        /// Sum of the radii of those two ropes \[m\]; the distance must be larger.
        least: f64,
    },
    /// An earth clamp sits on the flange.
    #[error("the clamp of earth lead {number} is {} from the stud, not clear of the flange: that needs {}", mm(*.distance), mm(*.least))]
    ClampOnFlange {
        /// Earth lead, counted from 0.
        number: usize,
        /// From the stud's axis to the clamp \[m\].
        distance: f64,
        /// Radii of flange and clamp together \[m\].
        least: f64,
    },
    /// Two clamps have no room side by side.
    #[error("the clamps of earth leads {first} and {second} are {} apart; they need {}", mm(*.apart), mm(*.least))]
    ClampsTogether {
        /// Earth lead with the lower number, counted from 0.
        first: usize,
        /// Earth lead with the higher number.
        second: usize,
        /// Distance of the two clamps \[m\].
        apart: f64,
        /// Distance they need \[m\].
        least: f64,
    },
    /// The pip is as wide as the flange, or wider.
    #[error("the pip is {} across, no smaller than the flange of {}", mm(*.pip_diameter), mm(*.flange))]
    PipTooWide {
        /// Diameter of the pip \[m\].
        pip_diameter: f64,
        /// Diameter of the flange \[m\].
        flange: f64,
    },
    /// The centre mark is as deep as the sheet is thick, or deeper.
    #[error("a centre mark of {} goes through a sheet of {}", mm(*.depth), mm(*.thickness))]
    MarkThroughSheet {
        /// Depth of the mark \[m\].
        depth: f64,
        /// Thickness of the sheet \[m\].
        thickness: f64,
    },
    /// The centre mark swallows the pip.
    #[error("a centre mark of {} is deeper than the pip of {} is long", mm(*.depth), mm(*.pip_length))]
    MarkDeeperThanPip {
        /// Depth of the mark \[m\].
        depth: f64,
        /// Length of the pip \[m\].
        pip_length: f64,
    },
    /// The stud leans so far that its rim touches before the pip.
    #[error("at this tilt the rim of the flange, {} below the pip's root, meets the sheet before the pip does", mm(*.rim))]
    RimFirst {
        /// How far the low side of the rim stands below the root of the pip \[m\].
        rim: f64,
    },
    /// The gap method with nothing to fall through.
    #[error("the gap method needs a lift above zero")]
    NoLift,
    /// Friction and weight hold the spring back: the pip never touches.
    #[error("the stud does not press on the sheet: spring and weight less friction leave {} N", number(*.push, 6))]
    NoPush {
        /// Net push \[N\].
        push: f64,
    },
    /// A metal's boiling point is no higher than its melting point.
    #[error("{metal} boils at {} K, no higher than it melts at {} K", number(*.boiling, 6), number(*.melting, 6))]
    BoilsFirst {
        /// Name of the metal.
        metal: String,
        /// Melting temperature \[K\].
        melting: f64,
        /// Boiling temperature \[K\].
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
            Broken::SpringRange { .. } => &["tool.spring_min", "tool.spring_max"],
            Broken::Shares { .. } => &[
                "arc.to_anode",
                "arc.to_cathode",
                "arc.to_sheet",
                "arc.to_stud",
            ],
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
                let radius = format!("earth.{number}.clamp_radius");
                return vec![
                    at(*number),
                    radius,
                    "stud.flange".into(),
                    "stud.size".into(),
                ];
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
            Broken::NoPush { .. } => &[
                "tool.spring_force",
                "tool.friction",
                "tool.moving_mass",
                "tool.attitude",
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
