//! Directions by the clock as seen from the tool: 12 o'clock is y of the case file, 3 o'clock is x.

use std::f64::consts::PI;

/// Hour of an angle counterclockwise from x \[rad\], from 0 to below 12.
pub fn hour(angle: f64) -> f64 {
    let hour = (3.0 - angle * 6.0 / PI).rem_euclid(12.0);
    // A remainder may round to the whole turn.
    if hour >= 12.0 { 0.0 } else { hour }
}

/// Angle of an hour, counterclockwise from x \[rad\].
pub fn angle(hour: f64) -> f64 {
    (3.0 - hour) * PI / 6.0
}

/// "9 o'clock", "9:30": to the half hour.
pub fn clock(angle: f64) -> String {
    match half_hours(angle) {
        half if half % 2 == 0 => format!("{} o'clock", whole(half)),
        half => format!("{}:30", whole(half)),
    }
}

/// Half hours since 12, from 0 to 23.
fn half_hours(angle: f64) -> u32 {
    (hour(angle) * 2.0).round() as u32 % 24
}

fn whole(half_hours: u32) -> u32 {
    match half_hours / 2 {
        0 => 12,
        hour => hour,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_clock_is_read_from_the_tool() {
        for (degrees, told) in [
            (0.0, "3 o'clock"),
            (90.0, "12 o'clock"),
            (180.0, "9 o'clock"),
            (-180.0, "9 o'clock"),
            (-90.0, "6 o'clock"),
            (75.0, "12:30"),
            (97.0, "12 o'clock"),
            (104.0, "11:30"),
            (810.0, "12 o'clock"),
        ] {
            assert_eq!(clock(f64::to_radians(degrees)), told, "{degrees}");
        }
        for h in 0..12 {
            assert!((hour(angle(f64::from(h))) - f64::from(h)).abs() < 1e-12);
        }
        assert_eq!(hour(PI / 2.0 + 1e-17), 0.0);
    }
}
