//! What breaks first when the stud is pulled: upper bounds of the loads of weld, stud and sheet.

use std::f64::consts::PI;

/// Shear strength over tensile strength: von Mises' 1/√3.
const SHEAR: f64 = 0.58;

/// Load at which the weld tears off \[N\]: the weaker metal's `strength` \[Pa\] over the welded share of the
/// flange's `area` \[m²\].
///
/// An upper bound: a weld has pores and a hard zone.
pub fn weld(strength: f64, area: f64, welded_share: f64) -> f64 {
    strength * area * welded_share
}

/// Load at which the stud breaks in its thread \[N\], by its tensile stress area \[m²\] (ISO 898-1).
pub fn stud(strength: f64, stress_area: f64) -> f64 {
    strength * stress_area
}

/// Load at which a plug of the `flange`'s diameter shears out of a sheet of this `thickness` \[N\]; lengths \[m\].
pub fn sheet(strength: f64, flange: f64, thickness: f64) -> f64 {
    PI * flange * thickness * SHEAR * strength
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn agrees_with_the_second_solver_on_the_demonstration_weld() {
        let area = PI * 3.25e-3 * 3.25e-3;
        assert!((weld(420e6, area, 0.9) - 12543.2).abs() < 0.1);
        assert!((stud(420e6, 14.2e-6) - 5964.0).abs() < 1e-6);
        assert!((sheet(420e6, 6.5e-3, 1.5e-3) - 7461.6).abs() < 0.1);
    }
}
