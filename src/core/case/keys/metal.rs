//! The keys of a metal.

use super::number::{Number, Range};
use crate::case::model::Metal;
use crate::case::quantity::Dimension;

/// One figure of a metal.
pub struct MetalKey {
    /// Name in a `[metal."..."]` table.
    pub name: &'static str,
    /// What it is, in a few words.
    pub about: &'static str,
    /// Its dimension, customary unit and bounds.
    pub number: Number,
    /// The figure of a metal \[SI\].
    pub field: fn(&Metal) -> &f64,
    /// The same, to be changed.
    pub field_mut: fn(&mut Metal) -> &mut f64,
}

macro_rules! figure {
    ($field:ident, $dimension:ident, $unit:literal, $least:expr, $most:expr, $about:literal) => {
        MetalKey {
            name: stringify!($field),
            about: $about,
            number: Number::new(Dimension::$dimension, $unit, Range::from_to($least, $most)),
            field: |metal| &metal.$field,
            field_mut: |metal| &mut metal.$field,
        }
    };
}

/// Every figure a metal has. Bounds reach past all metals, so that none is shut out.
#[rustfmt::skip]
pub const METAL_KEYS: &[MetalKey] = &[
    figure!(density, Density, "kg/m3", 500.0, 25_000.0, "density"),
    figure!(density_liquid, Density, "kg/m3", 500.0, 25_000.0, "density of the melt, a mean over the film"),
    figure!(melting_point, Temperature, "K", 400.0, 4_000.0, "melting temperature"),
    figure!(boiling_point, Temperature, "K", 500.0, 7_000.0, "boiling temperature"),
    figure!(fusion_heat, SpecificEnergy, "J/kg", 1e4, 2e6, "latent heat of fusion"),
    figure!(vaporisation_heat, SpecificEnergy, "J/kg", 1e5, 1e8, "latent heat of vaporisation"),
    figure!(heat_solid, SpecificHeat, "J/kgK", 50.0, 5_000.0, "specific heat of the solid"),
    figure!(heat_liquid, SpecificHeat, "J/kgK", 50.0, 5_000.0, "specific heat of the melt"),
    figure!(conductivity_solid, Conductivity, "W/mK", 1.0, 1_000.0, "thermal conductivity of the solid"),
    figure!(conductivity_liquid, Conductivity, "W/mK", 1.0, 1_000.0, "thermal conductivity of the melt"),
    figure!(resistivity_20, Resistivity, "uohm m", 1e-9, 1e-5, "resistivity at 20 °C"),
    figure!(resistivity_melting, Resistivity, "uohm m", 1e-9, 1e-5, "resistivity of the solid at the melting point"),
    figure!(resistivity_liquid, Resistivity, "uohm m", 1e-9, 1e-5, "resistivity of the melt"),
    MetalKey {
        name: "resistivity_shape",
        about: "exponent of the solid's resistivity over enthalpy; 1 is linear",
        number: Number::bare(Range::from_to(0.1, 10.0)),
        field: |metal| &metal.resistivity_shape,
        field_mut: |metal| &mut metal.resistivity_shape,
    },
    figure!(hardness, Pressure, "MPa", 1e7, 2e10, "indentation hardness at 20 °C"),
    figure!(flow_stress, Pressure, "MPa", 1e6, 5e9, "flow stress at 20 °C"),
    figure!(viscosity, Viscosity, "mPas", 1e-5, 1.0, "dynamic viscosity of the melt"),
    figure!(arc_fall, Voltage, "V", 0.0, 100.0, "sum of the electrode falls of its arc"),
    figure!(strength, Pressure, "MPa", 1e6, 5e9, "tensile strength at 20 °C"),
];

impl Metal {
    /// A metal whose figures are all still to be set.
    pub(crate) fn unset(name: &str) -> Metal {
        Metal {
            name: name.to_string(),
            density: f64::NAN,
            density_liquid: f64::NAN,
            melting_point: f64::NAN,
            boiling_point: f64::NAN,
            fusion_heat: f64::NAN,
            vaporisation_heat: f64::NAN,
            heat_solid: f64::NAN,
            heat_liquid: f64::NAN,
            conductivity_solid: f64::NAN,
            conductivity_liquid: f64::NAN,
            resistivity_20: f64::NAN,
            resistivity_melting: f64::NAN,
            resistivity_liquid: f64::NAN,
            resistivity_shape: f64::NAN,
            hardness: f64::NAN,
            flow_stress: f64::NAN,
            viscosity: f64::NAN,
            arc_fall: f64::NAN,
            strength: f64::NAN,
        }
    }
}
