//! The arc over the whole flange, and the wedge that melt must fill.

use std::f64::consts::PI;

/// Speed at which the arc spreads over a face \[m/s\]: Wilson et al., MRS Proc. (1993), of tube welds.
///
/// The model lights the whole face at once; this tells how far off that is, and moves the drawing.
pub const SPREAD: f64 = 109.0;

/// Voltage of the arc \[V\] at the gap `gap` \[m\] and current `i` \[A\].
///
/// V_f + E_c·(gap + `wedge_height`) + R_a·i. The fall does not depend on the current from 10 A to 20 kA
/// (Yokomizu et al. 1997, in argon, author from memory); Ayrton's current term, (c + d·l)/i (The Electric Arc,
/// 1902), is a few millivolts at kiloamperes, so that `resistance` is 0 unless given.
pub fn voltage(fall: f64, field: f64, resistance: f64, wedge_height: f64, gap: f64, i: f64) -> f64 {
    fall + field * (gap + wedge_height) + resistance * i
}

/// Mean height of the wedge under the conical face \[m\]: ⅔·R·tan(cone).
pub fn wedge_height(flange_radius: f64, cone: f64) -> f64 {
    2.0 / 3.0 * flange_radius * cone.tan()
}

/// Volume of the wedge under the conical face \[m³\]: 2π/3·R³·tan(cone).
pub fn wedge_volume(flange_radius: f64, cone: f64) -> f64 {
    2.0 * PI / 3.0 * flange_radius.powi(3) * cone.tan()
}
