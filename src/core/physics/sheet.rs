//! The current's spreading in the sheet, from the flange to the clamps.

use std::f64::consts::PI;

/// A clamp on the sheet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Clamp {
    /// Place seen from the stud \[m\].
    pub at: [f64; 2],
    /// Radius of its contact with the sheet \[m\].
    pub radius: f64,
}

/// Resistance between the flange's rim and two clamps \[Ω\]: the voltage to clamp `a` over the current to clamp `b`.
///
/// Potentials of point sinks in a wide plate, added up; the rim is at the mean of the potential round it. With
/// g = ρ/(2πt): g·(ln(d_a/R_f) + ln(d_b/d_ab)), for one and the same clamp its own radius in place of the distance
/// d_ab between the two, which counts as no less than either radius. Symmetric.
pub fn resistance(g: f64, flange_radius: f64, a: &Clamp, b: &Clamp) -> f64 {
    let [from_a, from_b] = [a, b].map(|clamp| clamp.at[0].hypot(clamp.at[1]));
    let between = (a.at[0] - b.at[0]).hypot(a.at[1] - b.at[1]);
    let apart = between.max(a.radius).max(b.radius);
    g * ((from_a / flange_radius).ln() + (from_b / apart).ln())
}

/// Resistance of a plate of the `thickness` \[m\] to radial flow, per factor e of the radius \[Ω\]: ρ/(2πt).
pub fn per_radius(resistivity: f64, thickness: f64) -> f64 {
    resistivity / (2.0 * PI * thickness)
}
