//! The catalogue's melts against published densities and conductivities.

use super::{Allowed, Check, Evidence, Source};
use arcplunge_core::case::catalogue;
use arcplunge_core::case::model::Metal;
use arcplunge_core::physics::joint::LORENZ;

const DENSITIES: Source = Source {
    text: "Assael et al., J. Phys. Chem. Ref. Data 35 (2006) 285",
    evidence: Evidence::Memory,
};
const COPPER: Source = Source {
    text: "Assael et al., J. Phys. Chem. Ref. Data 39 (2010)",
    evidence: Evidence::Memory,
};
const CONDUCTIVITIES: Source = Source {
    text: "Assael et al., High Temp. High Press. 46 (2017) 391",
    evidence: Evidence::Memory,
};
const FRANZ: Source = Source {
    text: "Wiedemann & Franz, k = 2.44e-8 T/resistivity of the melt",
    evidence: Evidence::Memory,
};
const KIM: Source = Source {
    text: "Kim, ANL-75-55 (1975), 316, as reproduced",
    evidence: Evidence::Published,
};

/// Density or conductivity of a melt that falls or rises with temperature on a straight line.
#[derive(Debug, Clone, Copy)]
struct Line {
    at_melting: f64,
    per_kelvin: f64,
    melting_point: f64,
}

impl Line {
    fn at(self, t: f64) -> f64 {
        self.at_melting + self.per_kelvin * (t - self.melting_point)
    }
}

const IRON: Line = Line {
    at_melting: 7034.96,
    per_kelvin: -0.926,
    melting_point: 1811.0,
};
const ALUMINIUM: Line = Line {
    at_melting: 2377.23,
    per_kelvin: -0.311,
    melting_point: 933.47,
};
const LIQUID_COPPER: Line = Line {
    at_melting: 7997.0,
    per_kelvin: -0.819,
    melting_point: 1357.77,
};
const IRON_CONDUCTIVITY: Line = Line {
    at_melting: 36.35,
    per_kelvin: 0.0096,
    melting_point: 1811.0,
};

fn metal(name: &str) -> Metal {
    catalogue::metal(name)
}

pub(super) fn checks() -> Vec<Check> {
    let mut out = densities();
    out.extend(conductivities());
    out
}

/// Each at the mean temperature of a film; the published uncertainty is 0.8 %.
fn densities() -> Vec<Check> {
    let check = |name: &str, what: &str, source, line: Line, t: f64, allowed| {
        Check::new(
            format!("liquid.density.{}", what.replace(' ', "-")),
            format!("{what} at {t} K, density"),
            source,
            "kg/m3",
            line.at(t),
            metal(name).density_liquid,
            Allowed::Relative(allowed),
        )
    };
    vec![
        check("mild steel", "iron", DENSITIES, IRON, 2400.0, 0.008),
        // The alloy's magnesium makes it lighter, cold by 0.7 %.
        check(
            "aluminium Mg alloy",
            "aluminium",
            DENSITIES,
            ALUMINIUM,
            1950.0,
            0.015,
        ),
        check("copper", "copper", COPPER, LIQUID_COPPER, 2000.0, 0.008),
        // A steel with molybdenum, extrapolated from its melting point to the film's temperature.
        Check::new(
            "liquid.density.stainless",
            "18/8 at 2400 K, density",
            KIM,
            "kg/m3",
            7432.7 + 0.039_338 * 2400.0 - 1.8007e-4 * 2400.0 * 2400.0,
            metal("stainless 18/8").density_liquid,
            Allowed::Relative(0.02),
        ),
    ]
}

fn conductivities() -> Vec<Check> {
    let check = |id: &str, quantity: &str, source, published, name: &str, allowed| {
        Check::new(
            format!("liquid.conductivity.{id}"),
            quantity,
            source,
            "W/mK",
            published,
            metal(name).conductivity_liquid,
            Allowed::Relative(allowed),
        )
    };
    // Resistivities of the hot melts in ohm m, from memory.
    let franz = |t: f64, resistivity: f64| LORENZ * t / resistivity;
    vec![
        check(
            "iron",
            "k of iron at 2190 K",
            CONDUCTIVITIES,
            IRON_CONDUCTIVITY.at(2190.0),
            "mild steel",
            0.137,
        ),
        // Printed for the melting point and 1.4 times that.
        check(
            "copper",
            "k of copper at 2000 K",
            CONDUCTIVITIES,
            175.0,
            "copper",
            0.098,
        ),
        check(
            "copper.franz",
            "k of copper at 2000 K",
            FRANZ,
            franz(2000.0, 0.26e-6),
            "copper",
            0.15,
        ),
        check(
            "aluminium",
            "k of aluminium at 1800 K",
            FRANZ,
            franz(1800.0, 0.40e-6),
            "aluminium Mg alloy",
            0.1,
        ),
        check(
            "brass",
            "k of brass at 1500 K",
            FRANZ,
            franz(1500.0, 0.40e-6),
            "brass 63/37",
            0.2,
        ),
        check(
            "iron.franz",
            "k of iron at 2190 K",
            FRANZ,
            franz(2190.0, 1.38e-6),
            "mild steel",
            0.15,
        ),
        check(
            "stainless",
            "k of 18/8 at 2190 K",
            FRANZ,
            franz(2190.0, 1.30e-6),
            "stainless 18/8",
            0.15,
        ),
    ]
}
