//! The pip heated by a given action: the fuse phase of a shot, with the pip held.

use super::bench::or_none;
use super::{Allowed, Check, Evidence, Source};
use arcplunge_core::case::Case;
use arcplunge_core::case::catalogue;
use arcplunge_core::case::model::Metal;
use arcplunge_core::physics::pip::Pip;
use arcplunge_core::simulation::discharge::{Discharge, discharge};
use arcplunge_core::simulation::integrator::Tolerance;
use arcplunge_core::simulation::rig::Rig;

const IEC_K: Source = Source {
    text: "IEC 60364-5-54 annex A; k of BS 7671, tables 54.2 to 54.4",
    evidence: Evidence::Published,
};
const ONDERDONK: Source = Source {
    text: "Onderdonk's fusing formula, as used in the fuse literature",
    evidence: Evidence::Published,
};
const COPPER_TABLES: Source = Source {
    text: "heat JANAF 1998, resistivity Matula 1979, integrated",
    evidence: Evidence::Published,
};
const COPPER_MOLTEN: Source = Source {
    text: "the same, with 0.21 uohm m for the melt",
    evidence: Evidence::Memory,
};
const STEEL_TABLES: Source = Source {
    text: "EN 1993-1-2 (heat), BISRA (resistivity), 0.06 to 0.23 % C",
    evidence: Evidence::Memory,
};
const BURST: Source = Source {
    text: "Diab et al., Sci. Rep. (2025), copper wires of 0.16 to 0.5 mm",
    evidence: Evidence::Published,
};

/// Constants of a conductor in IEC 60364-5-54, table A.54.1: β \[°C\], heat \[J/(K·mm³)\], resistivity at
/// 20 °C \[Ω·mm\].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Conductor {
    /// Reciprocal of the temperature coefficient of resistivity at 0 °C \[°C\].
    pub beta: f64,
    /// Heat per volume at 20 °C \[J/(K·mm³)\].
    pub heat: f64,
    /// Resistivity at 20 °C \[Ω·mm\].
    pub resistivity: f64,
}

/// Copper of that table.
pub const COPPER: Conductor = Conductor {
    beta: 234.5,
    heat: 3.45e-3,
    resistivity: 17.241e-6,
};
const ALUMINIUM: Conductor = Conductor {
    beta: 228.0,
    heat: 2.5e-3,
    resistivity: 28.264e-6,
};
const STEEL: Conductor = Conductor {
    beta: 202.0,
    heat: 3.8e-3,
    resistivity: 138e-6,
};

impl Conductor {
    /// A metal of these constants up to a melting point far above.
    fn metal(&self) -> Metal {
        let solid = 2000.0;
        let mut metal = catalogue::metal("copper");
        metal.melting_point = arcplunge_core::physics::ROOM + solid;
        metal.boiling_point = metal.melting_point + 1000.0;
        metal.heat_solid = self.heat * 1e9 / metal.density;
        metal.resistivity_20 = self.resistivity * 1e-3;
        metal.resistivity_melting = metal.resistivity_20 * (1.0 + solid / (self.beta + 20.0));
        metal.resistivity_liquid = metal.resistivity_melting;
        metal.resistivity_shape = 1.0;
        metal
    }

    /// k \[A·√s/mm²\] from `from` to `to` \[°C\].
    pub fn k(&self, from: f64, to: f64) -> f64 {
        let metal = self.metal();
        let to = action(&metal, (to - 20.0) * metal.heat_solid);
        let from = action(&metal, (from - 20.0) * metal.heat_solid);
        (to - from).sqrt() * 1e-6
    }
}

/// Action over the square of the section \[A²s/m⁴\] that takes the pip from 20 °C to the enthalpy `h`
/// \[J/kg\]: a shot whose pip bursts there and is held by having nothing to push it.
pub fn action(metal: &Metal, h: f64) -> f64 {
    if h <= 0.0 {
        return 0.0;
    }
    let mut case = Case::default();
    case.stud.metal = metal.clone();
    case.bank.capacitance = 1.0;
    let mut rig = Rig::new(&case);
    rig.stud.flight.push = 0.0;
    rig.stud.pip_length = case.stud.pip_length;
    rig.stud.pip.burst = h;
    let section = rig.stud.pip.volume / rig.stud.pip_length;
    let mut out = Discharge::default();
    match discharge(&rig, Tolerance::default(), &mut out, None) {
        Ok(()) => or_none(out.ignition.map(|m| m.sums.action)) / (section * section),
        Err(_) => f64::NAN,
    }
}

/// The pip of the demonstration case's stud in this metal.
fn pip(metal: &Metal) -> Pip {
    let mut case = Case::default();
    case.stud.metal = metal.clone();
    Rig::new(&case).stud.pip
}

pub(super) fn checks() -> Vec<Check> {
    let k = |name: &str, conductor: Conductor, from: f64, to: f64, published| {
        Check::new(
            format!("pip.k.{name}.{from}.{to}"),
            format!("k {name} {from}-{to} degC"),
            IEC_K,
            "As^0.5/mm2",
            published,
            conductor.k(from, to),
            // The table is rounded to a whole number.
            Allowed::Absolute(0.5),
        )
    };
    let copper = catalogue::metal("copper");
    let steel = catalogue::metal("mild steel");
    let solidus = |m: &Metal| pip(m).enthalpy.solidus;
    let molten = |m: &Metal| pip(m).enthalpy.liquidus;
    let burst = |m: &Metal| pip(m).burst;
    let onderdonk = COPPER.metal();
    let to = |celsius: f64| action(&onderdonk, (celsius - 20.0) * onderdonk.heat_solid);
    let wide = |id: &str, quantity: &str, source, published, computed, allowed| {
        Check::new(
            format!("pip.action.{id}"),
            quantity,
            source,
            "1e16 A2s/m4",
            published,
            computed * 1e-16,
            Allowed::Relative(allowed),
        )
    };
    vec![
        k("copper", COPPER, 30.0, 160.0, 143.0),
        k("copper", COPPER, 70.0, 160.0, 115.0),
        k("copper", COPPER, 90.0, 250.0, 143.0),
        k("copper", COPPER, 30.0, 250.0, 176.0),
        k("aluminium", ALUMINIUM, 30.0, 160.0, 95.0),
        k("aluminium", ALUMINIUM, 60.0, 200.0, 93.0),
        k("steel", STEEL, 30.0, 160.0, 52.0),
        k("steel", STEEL, 30.0, 250.0, 64.0),
        k("steel", STEEL, 60.0, 200.0, 51.0),
        wide(
            "onderdonk",
            "copper, 25 to 1083 degC",
            ONDERDONK,
            8.33589,
            to(1083.0) - to(25.0),
            0.01,
        ),
        wide(
            "copper.solid",
            "catalogue copper, solid",
            COPPER_TABLES,
            9.1062,
            action(&copper, solidus(&copper)),
            0.1,
        ),
        wide(
            "copper.molten",
            "catalogue copper, molten",
            COPPER_MOLTEN,
            10.36,
            action(&copper, molten(&copper)),
            0.1,
        ),
        Check::within(
            "pip.action.steel",
            "catalogue steel, molten",
            STEEL_TABLES,
            "1e16 A2s/m4",
            (1.355 * 0.85, 1.469 * 1.15),
            action(&steel, molten(&steel)) * 1e-16,
        ),
        wide(
            "copper.burst",
            "catalogue copper, burst",
            BURST,
            21.0,
            action(&copper, burst(&copper)),
            0.4,
        ),
    ]
}
