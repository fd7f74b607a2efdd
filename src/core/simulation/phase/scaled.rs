//! The pip in the units of the integrator.

use crate::physics::metal::Enthalpy;
use crate::physics::pip::Pip;

/// The pip in mm, mg, mΩ·mm, MJ/kg, N/mm² and kA.
pub(super) fn scaled(p: &Pip) -> Pip {
    let e = &p.enthalpy;
    Pip {
        volume: p.volume * 1e9,
        mass: p.mass * 1e6,
        enthalpy: Enthalpy {
            start: e.start,
            heat_solid: e.heat_solid * 1e-6,
            heat_liquid: e.heat_liquid * 1e-6,
            melting_point: e.melting_point,
            solidus: e.solidus * 1e-6,
            liquidus: e.liquidus * 1e-6,
            boiling: e.boiling * 1e-6,
        },
        resistivity_20: p.resistivity_20 * 1e6,
        resistivity_melting: p.resistivity_melting * 1e6,
        resistivity_liquid: p.resistivity_liquid * 1e6,
        shape: p.shape,
        sheet_resistivity: p.sheet_resistivity * 1e6,
        flow_stress: p.flow_stress * 1e-6,
        cold_area: p.cold_area * 1e6,
        melting_voltage: p.melting_voltage,
        flange_radius: p.flange_radius * 1e3,
        burst: p.burst * 1e-6,
        blow_off: p.blow_off * 1e6,
    }
}
