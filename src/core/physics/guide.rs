//! How far out of square a tool may stand in the hole of a template: a cylinder in a bore with clearance.

/// Largest tilt of a cylinder of diameter `d` in a hole of diameter `hole` through a plate of this `thickness` \[m\] →
/// \[rad\].
///
/// The cylinder touches both edges of the hole where hole·cos θ − thickness·sin θ = d, so that
/// θ = arccos(d/√(hole² + thickness²)) − arctan(thickness/hole): close to clearance over thickness. Plane geometry; edges
/// sharp, template flat on the sheet, nothing bends.
pub fn tilt(d: f64, hole: f64, thickness: f64) -> f64 {
    if hole <= d {
        return 0.0;
    }
    (d / hole.hypot(thickness)).acos() - thickness.atan2(hole)
}

/// Thickness of the plate that holds the cylinder to this tilt \[rad\] → \[m\]: (hole·cos θ − d)/sin θ, at least 0.
pub fn thickness(d: f64, hole: f64, tilt: f64) -> f64 {
    ((hole * tilt.cos() - d) / tilt.sin()).max(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Width across a hole at either face that a strip of width `d` leaves free, leaning by `angle` against both edges.
    fn free(d: f64, hole: f64, thickness: f64, angle: f64) -> f64 {
        // The strip's left side passes the lower left edge (0, 0); its right side cuts the upper face at:
        let right = d / angle.cos() + thickness * angle.tan();
        hole - right
    }

    #[test]
    fn closed_form_the_cylinder_touches_both_edges() {
        for (d, hole, t) in [
            (25e-3, 25.2e-3, 10e-3),
            (8e-3, 8.5e-3, 3e-3),
            (25e-3, 26e-3, 40e-3),
        ] {
            let angle = tilt(d, hole, t);
            assert!(free(d, hole, t, angle).abs() < 1e-12 * hole, "{angle}");
            // The control: a little less leaves room, a little more does not.
            assert!(free(d, hole, t, 0.99 * angle) > 0.0);
            assert!(free(d, hole, t, 1.01 * angle) < 0.0);
            assert!((thickness(d, hole, angle) / t - 1.0).abs() < 1e-9);
            // What the shop floor reckons with is clearance over thickness, and lies close above.
            let rule = (hole - d) / t;
            assert!(angle < rule && angle > 0.75 * rule, "{angle} {rule}");
        }
        assert_eq!(tilt(25e-3, 25e-3, 10e-3), 0.0);
    }
}
