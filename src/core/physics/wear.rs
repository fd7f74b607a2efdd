//! How contacts lose metal, and what that does to them; how capacitors age.

/// Density of the contacts' metal, copper \[kg/m³\].
pub const CONTACT_DENSITY: f64 = 8930.0;

/// Metal that sliding takes off \[kg\]: `k`·F·s/H of its volume, F \[N\], s \[m\], hardness H \[Pa\].
///
/// Archard, J. Appl. Phys. 24 (1953) 981. Coefficients of dry metals are 10⁻⁵ to 10⁻² (from memory).
pub fn sliding(k: f64, force: f64, stroke: f64, hardness: f64) -> f64 {
    k * force * stroke / hardness * CONTACT_DENSITY
}

/// Metal that an arc takes off \[kg\]: `rate` \[kg/C\] times its charge \[C\]. Cathode spots on copper take some
/// 100 µg/C in vacuum (Kimblin, J. Appl. Phys. 44 (1973) 3074, from memory), arcs between contacts in air less.
pub fn arcing(rate: f64, charge: f64) -> f64 {
    rate * charge
}

/// Share of a contact's force that is left once the share `lost` of its allowance is gone: a spring of jaws that
/// recede, linear.
pub fn grip(lost: f64) -> f64 {
    (1.0 - lost).max(0.0)
}

/// Resistance of a contact over that with its full force, at the share `grip` of it: a plastic spot, R ∝ F^−½
/// (Holm, Electric Contacts).
pub fn looser(grip: f64) -> f64 {
    1.0 / grip.max(1e-6).sqrt()
}

/// Welds until a chuck's force has fallen to the share `grip`, at `first` \[kg\] of sliding wear with the full force
/// and an `allowance` \[kg\]: the wear goes with the force, so the force falls exponentially.
pub fn welds_to(grip: f64, first: f64, allowance: f64) -> f64 {
    allowance / first * (1.0 / grip).ln()
}

/// Resistance of a contact over that at `t0` \[K\], its bulk at `t` \[K\]: 1 + ⅔·α·(T − T₀) (Holm, Electric Contacts).
pub fn warmer(t: f64, t0: f64) -> f64 {
    1.0 + 2.0 / 3.0 * super::lead::COPPER_COEFFICIENT * (t - t0)
}

/// Share of its life that a capacitor uses up in `time` \[s\] with its winding at `t` \[K\]: `life` \[s\] at `rated`
/// \[K\], twice as long for every ten kelvin less (common practice for aluminium electrolytics; Arrhenius' law with
/// 0.74 eV about 85 °C).
pub fn aging(time: f64, t: f64, life: f64, rated: f64) -> f64 {
    time / (life * 2f64.powf((rated - t) / 10.0))
}
