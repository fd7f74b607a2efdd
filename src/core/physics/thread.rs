//! A screw thread tightened: preload from yield, torque from preload.

use std::f64::consts::PI;

/// A metric thread and what a nut on it bears on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Thread {
    /// Nominal diameter \[m\].
    pub diameter: f64,
    /// Pitch \[m\].
    pub pitch: f64,
    /// Outer diameter of the bearing face \[m\].
    pub bearing: f64,
    /// Diameter of the hole under it \[m\].
    pub hole: f64,
}

/// Coarse threads of ISO 261 \[mm\]: nominal diameter, pitch, least bearing face of a hexagon nut of ISO 4032 and medium hole of
/// ISO 273. Nut and hole from memory.
const COARSE: [[f64; 4]; 7] = [
    [3.0, 0.5, 4.6, 3.4],
    [4.0, 0.7, 5.9, 4.5],
    [5.0, 0.8, 6.9, 5.5],
    [6.0, 1.0, 8.9, 6.6],
    [8.0, 1.25, 11.6, 9.0],
    [10.0, 1.5, 14.6, 11.0],
    [12.0, 1.75, 16.6, 13.5],
];

impl Thread {
    /// The coarse thread of a nominal diameter \[m\]; `None` for one that is not in the table.
    pub fn coarse(diameter: f64) -> Option<Thread> {
        let row = COARSE
            .into_iter()
            .find(|row| (row[0] * 1e-3 - diameter).abs() < 1e-9)?;
        let [diameter, pitch, bearing, hole] = row.map(|mm| mm * 1e-3);
        Some(Thread {
            diameter,
            pitch,
            bearing,
            hole,
        })
    }

    /// Pitch diameter d₂ = d − 0.649 519·P \[m\] (ISO 724).
    pub fn pitch_diameter(&self) -> f64 {
        self.diameter - 0.649_519 * self.pitch
    }

    /// Diameter of the stress area, d − 0.938 194·P \[m\] (ISO 898-1).
    pub fn stress_diameter(&self) -> f64 {
        self.diameter - 0.938_194 * self.pitch
    }

    /// Mean diameter of friction under the nut \[m\].
    pub fn friction_diameter(&self) -> f64 {
        0.5 * (self.bearing + self.hole)
    }

    /// Torque that brings a preload \[N\], with one coefficient of friction in thread and under the nut → \[N·m\].
    ///
    /// F·(0.159·P + 0.577·d₂·µ + ½·D·µ): ISO 16047 and VDI 2230-1, for a flank angle of 60°.
    pub fn torque(&self, force: f64, friction: f64) -> f64 {
        let thread = 0.159 * self.pitch + 0.577 * self.pitch_diameter() * friction;
        force * (thread + 0.5 * self.friction_diameter() * friction)
    }

    /// Preload at which tension and the torsion of tightening together use a `share` of the `yield_stress` \[Pa\] → \[N\].
    ///
    /// VDI 2230-1: share·R·A/√(1 + 3·(3/2·d₂/d₀·(P/(π·d₂) + 1.155·µ))²), von Mises over the stress area A of diameter
    /// d₀, the core yielding throughout.
    pub fn preload(&self, yield_stress: f64, share: f64, friction: f64) -> f64 {
        let (d2, d0) = (self.pitch_diameter(), self.stress_diameter());
        let torsion = 1.5 * d2 / d0 * (self.pitch / (PI * d2) + 1.155 * friction);
        let area = 0.25 * PI * d0 * d0;
        share * yield_stress * area / (1.0 + 3.0 * torsion * torsion).sqrt()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn closed_form_without_friction_the_thread_is_an_inclined_plane() {
        let thread = Thread::coarse(5e-3).unwrap();
        // One turn lifts the nut by a pitch: 2π·torque = force·pitch.
        let torque = thread.torque(1000.0, 0.0);
        assert!((2.0 * PI * torque / (1000.0 * thread.pitch) - 1.0).abs() < 2e-3);
        assert_eq!(Thread::coarse(5.1e-3), None);
    }
}
