//! Flexible copper leads: resistance, partial inductances, coiled surplus, slack.

use std::f64::consts::PI;

use super::MU0;

/// Resistivity of a flexible stranded copper lead over its nominal section at 20 °C \[Ω·m\].
///
/// Within 2 % of the class 5 maxima of IEC 60228 from 16 to 95 mm².
pub const ROPE_RESISTIVITY: f64 = 1.94e-8;

/// Temperature coefficient of copper at 20 °C \[1/K\] (IEC 60028).
pub const COPPER_COEFFICIENT: f64 = 0.00393;

/// Share of a flexible rope's circle that is copper (from memory).
pub const ROPE_FILL: f64 = 0.55;

/// Resistance of a lead \[Ω\]: length `l` \[m\], section `a` \[m²\], temperature `t` \[K\].
pub fn resistance(l: f64, a: f64, t: f64) -> f64 {
    ROPE_RESISTIVITY / a * (1.0 + COPPER_COEFFICIENT * (t - super::ROOM)) * l
}

/// Radius of a rope of copper section `a` \[m²\] → \[m\].
pub fn rope_radius(a: f64) -> f64 {
    (a / (ROPE_FILL * PI)).sqrt()
}

/// Partial self inductance of a straight rope, length `l`, radius `r` \[m\] → \[H\].
///
/// μ₀l/2π·(ln(2l/r) − ¾), Rosa, Bull. Bureau of Standards 4 (1908) 301; uniform current density,
/// l ≫ r.
pub fn self_inductance(l: f64, r: f64) -> f64 {
    MU0 * l / (2.0 * PI) * ((2.0 * l / r).ln() - 0.75)
}

/// Partial mutual inductance of two equal parallel runs of length `l`, a distance `d` apart \[m\] → \[H\].
///
/// Rosa (1908); exact for filaments: μ₀l/2π·(asinh(l/d) − √(1+(d/l)²) + d/l).
pub fn mutual_inductance(l: f64, d: f64) -> f64 {
    let q = d / l;
    MU0 * l / (2.0 * PI) * ((l / d).asinh() - (1.0 + q * q).sqrt() + q)
}

/// Radius of the bundle of `n` turns of copper section `a` \[m²\] → \[m\]: 1.35 times that of ropes
/// packed tight, for turns that lie loosely (from memory).
pub fn bundle_radius(n: f64, a: f64) -> f64 {
    1.35 * rope_radius(n * a)
}

/// Length of lead that `n` turns of mean diameter `d` \[m\] use up \[m\].
pub fn coiled_length(n: f64, d: f64) -> f64 {
    n * PI * d
}

/// Inductance of `n` turns of coiled lead, mean diameter `d` \[m\], copper section `a` \[m²\] → \[H\].
///
/// Circular loop of the bundled turns: μ₀n²(D/2)(ln(4D/r_b) − 1.75), Rosa & Grover,
/// Bull. Bureau of Standards 8 (1912) 1; the bundle's radius is r_b = 1.35·√(n·A/(0.55π)).
pub fn coil_inductance(n: f64, d: f64, a: f64) -> f64 {
    if n <= 0.0 {
        return 0.0;
    }
    let bundle = bundle_radius(n, a);
    MU0 * n * n * (0.5 * d) * ((4.0 * d / bundle).ln() - 1.75)
}

/// Inductance of the slack of a lead \[H\]: `excess` \[m\] of it lies as a bight, going out and coming back at the
/// distance `spacing` \[m\]; radius `r` \[m\].
///
/// 2·(L(x/2) − M(x/2, spacing)) by the formulas above, not below 0 where the bight is too short for them.
pub fn slack_inductance(excess: f64, r: f64, spacing: f64) -> f64 {
    if excess <= 0.0 {
        return 0.0;
    }
    let half = 0.5 * excess;
    (2.0 * (self_inductance(half, r) - mutual_inductance(half, spacing))).max(0.0)
}
