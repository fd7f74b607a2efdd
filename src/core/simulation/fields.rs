//! Where the currents run, and the flux density each brings about at the stud's face.

use crate::case::Case;
use crate::case::model::Earth;
use crate::physics::blow::{Plane, Vector, run_field, sheet_current, sheet_field};
use crate::physics::lead::rope_radius;

/// What makes a field at the stud's face; an earth lead by its number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    /// The current in the sheet on its way to this lead's clamp.
    Sheet(usize),
    /// The straight run of this lead at its clamp.
    EarthLead(usize),
    /// The straight run of the gun lead at the tool.
    GunLead,
}

/// Everything that makes a field, each with its flux density per ampere of its own current \[T/A\].
pub fn fields(case: &Case) -> Vec<(Place, Vector)> {
    let mut all = Vec::new();
    for (k, earth) in case.earths.iter().enumerate() {
        all.push((Place::Sheet(k), sheet_field(sheet_current(earth.at))));
    }
    for (k, earth) in case.earths.iter().enumerate() {
        all.push((Place::EarthLead(k), earth_lead(case, earth)));
    }
    all.push((Place::GunLead, gun_lead(case)));
    all
}

/// A direction in space from an angle in the plane of the sheet and one above it \[rad\].
///
/// A right angle is straight up to the last bit: a lead that adds nothing adds nothing.
fn direction(side: f64, elevation: f64) -> Vector {
    let flat = if elevation.abs() >= std::f64::consts::FRAC_PI_2 {
        0.0
    } else {
        elevation.cos()
    };
    [flat * side.cos(), flat * side.sin(), elevation.sin()]
}

fn along(from: Vector, way: Vector, length: f64) -> Vector {
    [0, 1, 2].map(|c| from[c] + length * way[c])
}

/// The current leaves the sheet at the clamp and runs on.
fn earth_lead(case: &Case, earth: &Earth) -> Vector {
    let [x, y] = earth.at;
    let clamp = [x, y, 0.0];
    let way = direction(y.atan2(x) + earth.azimuth, earth.elevation);
    let end = along(clamp, way, case.lead.straight_length.min(earth.length));
    let mut field = run_field(clamp, end, [0.0; 3], rope_radius(earth.section));
    if earth.elevation == 0.0 {
        // In the plane of the sheet the field stands upright and pushes nothing aside.
        (field[0], field[1]) = (0.0, 0.0);
    }
    field
}

/// The current comes along the lead to the top of the tool.
fn gun_lead(case: &Case) -> Vector {
    let lead = &case.lead;
    let top = [0.0, 0.0, lead.height];
    let way = direction(lead.direction, lead.elevation);
    let start = along(top, way, lead.straight_length.min(lead.length));
    run_field(start, top, [0.0; 3], rope_radius(lead.section))
}

/// Distance \[m\] and direction \[rad\], counterclockwise from x, of a place in the sheet.
pub fn polar([x, y]: Plane) -> (f64, f64) {
    (x.hypot(y), y.atan2(x))
}
