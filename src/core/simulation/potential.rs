//! Enthalpy, temperature and conductivity of a cell by its potential.

use wide::{CmpGe, CmpGt, CmpLt, f64x2};

use super::rig::Face;
use super::simd::{Lanes, pair};

/// Enthalpy beyond the edge of a cell's state, over the heat of fusion, that is rounding.
const ROUNDING: f64 = 1e-12;

/// dh/dθ of a melting cell \[J·m/(kg·W)\]: so large that its θ stays at zero to the last digit.
pub(super) const MELTING: f64 = 1e30;

/// Kirchhoff's potential θ = ∫k dT from the melting point \[W/m\], linear in h in each state.
#[derive(Debug, Clone, Copy)]
pub(super) struct Potential {
    pub(super) solidus: Lanes,
    liquidus: Lanes,
    /// dh/dθ, solid and molten.
    per: [Lanes; 2],
    pub(super) boiling: Lanes,
    conductivity: [Lanes; 2],
    /// One over the heat of fusion.
    pub(super) fusion: Lanes,
}

impl Potential {
    pub(super) fn new(faces: &[Face; 2]) -> Self {
        let solidus = pair(faces, |f| f.enthalpy.solidus);
        let liquidus = pair(faces, |f| f.enthalpy.liquidus);
        let conductivity = [0, 1].map(|state| pair(faces, |f| f.conductivity[state]));
        Potential {
            solidus,
            liquidus,
            per: [
                pair(faces, |f| f.enthalpy.heat_solid) / conductivity[0],
                pair(faces, |f| f.enthalpy.heat_liquid) / conductivity[1],
            ],
            boiling: pair(faces, |f| {
                f.conductivity[1] * (f.boiling_point - f.enthalpy.melting_point)
            }),
            conductivity,
            fusion: 1.0 / (liquidus - solidus),
        }
    }

    /// dh/dθ and the enthalpy at θ = 0 of the state that belongs to the enthalpy `h`.
    pub(super) fn state(&self, h: Lanes) -> (Lanes, Lanes) {
        let solid = h.cmp_lt(self.solidus);
        let molten = h.cmp_gt(self.liquidus);
        let warm = molten.blend(self.per[1], f64x2::splat(MELTING));
        (
            solid.blend(self.per[0], warm),
            solid.blend(self.solidus, self.liquidus),
        )
    }

    /// Whether the enthalpy `h` lies where the state given by `per` and `zero` ends: but for rounding the
    /// state beyond is the same there.
    pub(super) fn at_the_edge(&self, h: Lanes, per: Lanes, zero: Lanes) -> Lanes {
        let near = |edge: Lanes| ((h - edge) * self.fusion).abs().cmp_lt(ROUNDING);
        near(zero) | (near(self.solidus) & per.cmp_ge(f64x2::splat(MELTING)))
    }

    /// Temperature above the melting point, below it where negative \[K\], at the enthalpy `h`.
    pub(super) fn excess(&self, h: Lanes) -> Lanes {
        let per = [0, 1].map(|state| 1.0 / (self.per[state] * self.conductivity[state]));
        (h - self.solidus).fast_min(f64x2::ZERO) * per[0]
            + (h - self.liquidus).fast_max(f64x2::ZERO) * per[1]
    }

    pub(super) fn melt_share(&self, h: Lanes) -> Lanes {
        ((h - self.solidus) * self.fusion)
            .fast_max(f64x2::ZERO)
            .fast_min(f64x2::ONE)
    }

    /// Conductivity at the enthalpy `h` \[W/(m·K)\], mixed by the share of melt.
    pub(super) fn conductivity(&self, h: Lanes) -> Lanes {
        let [solid, molten] = self.conductivity;
        solid + (molten - solid) * self.melt_share(h)
    }
}
