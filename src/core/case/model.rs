//! A case: one weld as the user describes it, every quantity in SI units.
//!
//! Names match the keys of the case file.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

pub use super::joint::Joint;
pub use super::probe::Probe;
use super::scale::Scale;
pub use super::shop::{Charger, Limits, Room, Thermal, Wear};
use crate::physics::GRAVITY;

/// Name of whatever is the user's own and not from the catalogue.
pub const OWN: &str = "own";

/// Everything one shot needs to know. All numbers are SI.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[non_exhaustive]
pub struct Case {
    /// Title shown above results.
    pub title: String,
    /// The bank.
    pub bank: Bank,
    /// Gun lead, and what all leads share.
    pub lead: Lead,
    /// One to four earth leads.
    #[serde(rename = "earth")]
    pub earths: Vec<Earth>,
    /// Joints in series with the stud.
    pub joints: Joints,
    /// The tool.
    pub tool: Tool,
    /// The stud.
    pub stud: Stud,
    /// The sheet.
    pub sheet: Sheet,
    /// The arc.
    pub arc: Arc,
    /// The model's own figures.
    pub model: Model,
    /// What measured a trace of the current.
    #[serde(default)]
    pub probe: Probe,
    /// The charger of the bank.
    #[serde(default)]
    pub charger: Charger,
    /// The workshop.
    #[serde(default)]
    pub room: Room,
    /// How the parts of the rig take up heat and lose it.
    #[serde(default)]
    pub thermal: Thermal,
    /// How the rig wears and ages.
    #[serde(default)]
    pub wear: Wear,
    /// Temperatures the rig must not exceed.
    #[serde(default)]
    pub limits: Limits,
    /// How well figures of the model and of the rig are known, by full key: standard deviations \[SI\]. What is not named
    /// is known as well as the catalogue says.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub uncertainty: BTreeMap<String, f64>,
}

/// The capacitor bank with its switch and free-wheel diode.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[non_exhaustive]
pub struct Bank {
    /// Capacitance \[F\].
    pub capacitance: f64,
    /// Charging voltage \[V\].
    pub voltage: f64,
    /// Highest voltage the bank may be charged to \[V\].
    pub voltage_max: Option<f64>,
    /// Voltages at the marks of a dial that is not in volts.
    pub scale: Option<Scale>,
    /// Equivalent series resistance \[Ω\].
    pub esr: f64,
    /// Constant part of the thyristor's forward drop \[V\].
    pub switch_drop: f64,
    /// Slope resistance of the thyristor \[Ω\].
    pub switch_slope: f64,
    /// Resistance of the internal wiring \[Ω\].
    pub internal_resistance: f64,
    /// Inductance of the internal wiring \[H\].
    pub internal_inductance: f64,
    /// Forward drop of the free-wheel diode \[V\].
    pub diode_drop: f64,
}

/// The lead to the tool; `spacing`, `temperature` and `straight_length` hold for all leads.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[non_exhaustive]
pub struct Lead {
    /// Length \[m\].
    pub length: f64,
    /// Copper section \[m²\].
    pub section: f64,
    /// Mean distance from the earth leads, and between those \[m\].
    pub spacing: f64,
    /// Turns of surplus lead coiled up.
    pub turns: f64,
    /// Diameter of that coil \[m\].
    pub coil_diameter: f64,
    /// Temperature of all leads \[K\].
    pub temperature: f64,
    /// Angle above the sheet at which it leaves the tool \[rad\]; a right angle is straight up.
    pub elevation: f64,
    /// Side to which it leans there, counterclockwise from x, seen from the tool \[rad\].
    pub direction: f64,
    /// Height above the sheet at which it leaves the tool \[m\].
    pub height: f64,
    /// Straight run there, and of the earth leads at their clamps \[m\].
    #[serde(alias = "run")]
    pub straight_length: f64,
}

/// One earth lead from the bank to a clamp on the sheet.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[non_exhaustive]
pub struct Earth {
    /// Length \[m\].
    pub length: f64,
    /// Copper section \[m²\].
    pub section: f64,
    /// Terminal at the bank.
    pub terminal: Joint,
    /// Clamp on the sheet.
    pub clamp: Joint,
    /// Clamp position seen from the stud, in the plane of the sheet \[m\].
    pub at: [f64; 2],
    /// Radius of the clamp's contact with the sheet \[m\].
    pub clamp_radius: f64,
    /// Angle above the sheet at which it leaves the clamp \[rad\]; 0 lies flat, negative hangs down.
    pub elevation: f64,
    /// Angle by which it turns there from straight away from the stud, counterclockwise \[rad\].
    #[serde(alias = "bend")]
    pub azimuth: f64,
}

/// Joints in series with the stud.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[non_exhaustive]
pub struct Joints {
    /// Gun lead at the bank.
    pub bank: Joint,
    /// Gun lead at the tool.
    pub tool: Joint,
    /// Chuck on stud.
    pub chuck: Joint,
}

/// How the stud is brought to the sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Method {
    /// Pip pressed on the sheet before the trigger.
    Contact,
    /// Stud lifted, released at the trigger, flying when the pip meets the sheet.
    Gap,
}

/// Direction the tool points.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Attitude {
    /// Onto a sheet that lies: weight helps the spring.
    Down,
    /// Onto a sheet that stands.
    Level,
    /// Overhead: weight holds the spring back.
    Up,
}

impl Attitude {
    /// Acceleration of gravity along the stud's axis, towards the sheet \[m/s²\].
    pub fn along_axis(self) -> f64 {
        match self {
            Attitude::Down => GRAVITY,
            Attitude::Level => 0.0,
            Attitude::Up => -GRAVITY,
        }
    }
}

/// The tool: spring, slide and moving mass.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[non_exhaustive]
pub struct Tool {
    /// Contact or gap.
    pub method: Method,
    /// Gap method: tip above the sheet at release \[m\].
    pub lift: f64,
    /// Stud, chuck and slide \[kg\].
    pub moving_mass: f64,
    /// Spring force on the stud at the start \[N\].
    pub spring_force: f64,
    /// Weakest spring force the tool can be set to \[N\].
    pub spring_min: Option<f64>,
    /// Strongest spring force the tool can be set to \[N\].
    pub spring_max: Option<f64>,
    /// Spring forces at the marks of the tool.
    pub scale: Option<Scale>,
    /// Spring rate \[N/m\].
    pub spring_rate: f64,
    /// Friction of the slide \[N\].
    pub friction: f64,
    /// Direction the tool points.
    pub attitude: Attitude,
    /// Angle between the stud's axis and the sheet's normal \[rad\].
    pub tilt: f64,
    /// Hour of the clock towards which the tool's top leans, seen along the tool: that rim is the low one.
    pub tilt_towards: f64,
}

/// Pole of the stud.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Polarity {
    /// The stud is the cathode.
    Negative,
    /// The stud is the anode.
    Positive,
}

/// The stud and its ignition tip (the pip).
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[non_exhaustive]
pub struct Stud {
    /// Catalogue size, or "own".
    pub size: String,
    /// Flange diameter \[m\].
    pub flange: f64,
    /// Pip diameter \[m\].
    pub pip_diameter: f64,
    /// Pip length \[m\].
    pub pip_length: f64,
    /// Metal.
    pub metal: Metal,
    /// Which pole it is.
    pub polarity: Polarity,
    /// Cone angle of the flange's face \[rad\].
    pub cone: f64,
    /// Bolted short instead of the stud, for a discharge test \[Ω\].
    #[serde(alias = "bolted")]
    pub short_resistance: Option<f64>,
}

/// The parent sheet.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[non_exhaustive]
pub struct Sheet {
    /// Metal.
    pub metal: Metal,
    /// Thickness \[m\].
    pub thickness: f64,
    /// Centre punch mark under the pip, if there is one.
    pub centre_mark: Option<CentreMark>,
}

/// A centre punch mark under the pip.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[non_exhaustive]
pub struct CentreMark {
    /// Depth \[m\].
    pub depth: f64,
    /// Full angle \[rad\].
    pub angle: f64,
}

impl CentreMark {
    /// A mark of this depth \[m\] and full angle \[rad\].
    pub fn new(depth: f64, angle: f64) -> Self {
        CentreMark { depth, angle }
    }
}

/// Arc voltage and heat shares.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[non_exhaustive]
pub struct Arc {
    /// Sum of the electrode falls \[V\]; `None` is that of the metals.
    pub fall: Option<f64>,
    /// Column field \[V/m\].
    pub field: f64,
    /// Slope resistance of the arc \[Ω\].
    pub resistance: f64,
    /// Share of the arc's power into the cathode.
    #[serde(alias = "to_stud")]
    pub to_cathode: f64,
    /// Share of the arc's power into the anode.
    #[serde(alias = "to_sheet")]
    pub to_anode: f64,
}

impl Case {
    /// Sum of the electrode falls \[V\]: as given, or the mean of those of the two metals.
    pub fn arc_fall(&self) -> f64 {
        let of_metals = || 0.5 * (self.stud.metal.arc_fall + self.sheet.metal.arc_fall);
        self.arc.fall.unwrap_or_else(of_metals)
    }

    /// Shares of the arc's power into stud and sheet.
    pub fn heat_shares(&self) -> [f64; 2] {
        match self.stud.polarity {
            Polarity::Negative => [self.arc.to_cathode, self.arc.to_anode],
            Polarity::Positive => [self.arc.to_anode, self.arc.to_cathode],
        }
    }
}

/// Effective constants of a metal, mean over their range.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[non_exhaustive]
pub struct Metal {
    /// Name in files.
    pub name: String,
    /// Density \[kg/m³\].
    pub density: f64,
    /// Density of the melt \[kg/m³\].
    pub density_liquid: f64,
    /// Melting temperature \[K\].
    pub melting_point: f64,
    /// Boiling temperature \[K\].
    pub boiling_point: f64,
    /// Latent heat of fusion \[J/kg\].
    pub fusion_heat: f64,
    /// Latent heat of vaporisation \[J/kg\].
    pub vaporisation_heat: f64,
    /// Specific heat of the solid \[J/(kg·K)\].
    pub heat_solid: f64,
    /// Specific heat of the melt \[J/(kg·K)\].
    pub heat_liquid: f64,
    /// Thermal conductivity of the solid \[W/(m·K)\].
    pub conductivity_solid: f64,
    /// Thermal conductivity of the melt \[W/(m·K)\].
    pub conductivity_liquid: f64,
    /// Resistivity at 20 °C \[Ω·m\].
    pub resistivity_20: f64,
    /// Resistivity of the solid at the melting point \[Ω·m\].
    pub resistivity_melting: f64,
    /// Resistivity of the melt \[Ω·m\].
    pub resistivity_liquid: f64,
    /// Shape exponent of the solid's resistivity over enthalpy.
    pub resistivity_shape: f64,
    /// Indentation hardness at 20 °C \[Pa\].
    pub hardness: f64,
    /// Flow stress at 20 °C \[Pa\].
    pub flow_stress: f64,
    /// Dynamic viscosity of the melt \[Pa·s\].
    pub viscosity: f64,
    /// Sum of the electrode falls of an arc between two faces of it \[V\].
    pub arc_fall: f64,
    /// Tensile strength at 20 °C \[Pa\].
    pub strength: f64,
}

/// Constants of the model that are neither rig nor material.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
#[non_exhaustive]
pub struct Model {
    /// Share of the latent heat of vaporisation the pip takes up before it bursts.
    pub burst_share: f64,
    /// Share of the pip's volume that ends up as filler.
    pub pip_share: f64,
    /// Resistance of the weld once the arc is shorted \[Ω\].
    pub forge_resistance: f64,
    /// Depth of stud that takes part in conduction \[m\].
    pub stud_depth: f64,
    /// Longest record of a discharge that does not end by itself \[s\].
    pub end_time: f64,
    /// Vapour share above which a weld is called hot.
    pub hot_share: f64,
    /// Share of the sheet's thickness that may melt before it is called burnt through.
    pub burn_share: f64,
    /// Fill above which most of the melt leaves as spatter and a weld is called hot.
    pub overfill: f64,
}
