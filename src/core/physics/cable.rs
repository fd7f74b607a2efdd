//! A flexible lead in air: copper rope and jacket as two lumps a metre.

use std::f64::consts::PI;

use super::air::{convection, radiation};
use super::lead::{COPPER_COEFFICIENT, ROPE_RESISTIVITY, rope_radius};
use super::wear::CONTACT_DENSITY;
use super::{ROOM, lead};

/// Density \[kg/m³\] and specific heat \[J/(kg·K)\] of copper: 3.45 MJ/(m³·K), IEC 60949.
const COPPER: [f64; 2] = [CONTACT_DENSITY, 386.0];

/// Conductivity of copper at 60 °C \[W/(m·K)\] (handbooks, from memory).
const COPPER_CONDUCTIVITY: f64 = 392.0;

/// The jacket of a lead.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Jacket {
    /// Thickness \[m\].
    pub thickness: f64,
    /// Thermal conductivity \[W/(m·K)\].
    pub conductivity: f64,
    /// Heat per volume \[J/(m³·K)\].
    pub heat: f64,
    /// Emissivity of its surface.
    pub emissivity: f64,
}

/// A lead per metre.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cable {
    /// Copper section \[m²\].
    pub section: f64,
    /// Its jacket.
    pub jacket: Jacket,
}

impl Cable {
    /// Radius of rope and of jacket \[m\].
    fn radii(&self) -> [f64; 2] {
        let rope = rope_radius(self.section);
        [rope, rope + self.jacket.thickness]
    }

    /// Outer diameter \[m\].
    pub fn diameter(&self) -> f64 {
        2.0 * self.radii()[1]
    }

    /// Heat of the two lumps, conductor and surface \[J/(m·K)\].
    ///
    /// Van Wormer, Trans. AIEE 74 (1955) 277, as in IEC 60853-2: of the jacket the share
    /// p = 1/(2·ln(D/d)) − 1/((D/d)² − 1) goes with the conductor, the rest with the surface.
    pub fn heat(&self) -> [f64; 2] {
        let [rope, outer] = self.radii();
        let ratio = outer / rope;
        let share = 0.5 / ratio.ln() - 1.0 / (ratio * ratio - 1.0);
        let jacket = PI * (outer * outer - rope * rope) * self.jacket.heat;
        let copper = self.section * COPPER[0] * COPPER[1];
        [copper + share * jacket, (1.0 - share) * jacket]
    }

    /// From conductor to surface \[W/(m·K)\]: 2πk/ln(D/d).
    pub fn through(&self) -> f64 {
        let [rope, outer] = self.radii();
        2.0 * PI * self.jacket.conductivity / (outer / rope).ln()
    }

    /// From the surface at `t` to still air at `t0` \[K\] \[W/(m·K)\].
    pub fn to_air(&self, t: f64, t0: f64) -> f64 {
        let d = self.diameter();
        PI * d * (convection(d, t, t0) + radiation(self.jacket.emissivity, t, t0))
    }

    /// What a terminal at the end of a long lead gives it per kelvin above it \[W/K\]: √(G·k·A), the lead as a fin
    /// that loses G = 1/(1/through + 1/to_air) a metre (Incropera & DeWitt, infinitely long fin). It is taken at
    /// a surface 20 K above a room at 20 °C.
    pub fn fin(&self) -> f64 {
        let to_air = self.to_air(ROOM + 20.0, ROOM);
        let loss = 1.0 / (1.0 / self.through() + 1.0 / to_air);
        (loss * COPPER_CONDUCTIVITY * self.section).sqrt()
    }

    /// Temperatures of conductor and surface \[K\] that a steady current of `i` \[A\] leads to in still air at `t0`
    /// \[K\]; `None` where it runs away.
    pub fn steady(&self, i: f64, t0: f64) -> Option<[f64; 2]> {
        let mut t = [t0; 2];
        for _ in 0..500 {
            let power = i * i * lead::resistance(1.0, self.section, t[0]);
            let surface = t0 + power / self.to_air(t[1], t0);
            let conductor = surface + power / self.through();
            if !conductor.is_finite() || conductor > 2000.0 {
                return None;
            }
            let moved = (conductor - t[0]).abs();
            // Half a step: the resistance pushes up, the film down.
            t = [0.5 * (t[0] + conductor), 0.5 * (t[1] + surface)];
            if moved < 1e-9 {
                break;
            }
        }
        Some(t)
    }

    /// Steady current that brings the conductor to `t` in still air at `t0` \[K\] → \[A\], by bisection.
    pub fn rating(&self, t: f64, t0: f64) -> f64 {
        let (mut low, mut high) = (0.0, 1e5);
        for _ in 0..100 {
            let i = 0.5 * (low + high);
            match self.steady(i, t0) {
                Some([conductor, _]) if conductor <= t => low = i,
                _ => high = i,
            }
        }
        low
    }
}

/// Temperature \[K\] of a conductor of copper, `section` \[m²\], from `t0` \[K\] after the action `i2t` \[A²s\], no heat
/// lost.
///
/// ρ(T)·∫i²dt/A² = γc·∫dT: exponential in the action, as IEC 60949 has it; the resistivity is that of the rope over
/// its nominal section.
pub fn adiabatic(section: f64, t0: f64, i2t: f64) -> f64 {
    let heat = COPPER[0] * COPPER[1];
    // Temperature at which the line of the resistivity would reach zero.
    let zero = ROOM - 1.0 / COPPER_COEFFICIENT;
    let rate = ROPE_RESISTIVITY * COPPER_COEFFICIENT / (heat * section * section);
    zero + (t0 - zero) * (rate * i2t).exp()
}
