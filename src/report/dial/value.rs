//! Values of the keys a dial turns, as one reads them and sets them.

use crate::format::{engineering, percent};
use crate::mark;
use arcplunge_core::case::keys::mark_of;
use arcplunge_core::case::quantity::{Dimension, number};
use arcplunge_core::study::dial::{Dial, Window};
use arcplunge_core::study::range::Vary;
use arcplunge_core::study::sweep::Outcome;

/// Most digits of a value to set; of more, four are shown.
const FINEST: usize = 6;

/// `value` rounded to as few digits of its unit, three or more, as stay inside, as one sets it on a knob.
pub(super) fn set(vary: &Vary, value: f64, low: f64, high: f64) -> f64 {
    // Between ends on either side of zero the middle may be zero but for rounding.
    let value = if value.abs() < 1e-9 * (high - low) {
        0.0
    } else {
        value
    };
    (3..=FINEST)
        .filter_map(|digits| vary.number.read(&vary.number.short(value, digits)).ok())
        .find(|handy| (low..=high).contains(handy))
        .unwrap_or(value)
}

/// A value of a key to four digits, or as many more as one that was rounded to be set has, with its unit.
pub(super) fn text(vary: &Vary, value: f64) -> String {
    let number = &vary.number;
    let exact = (4..=FINEST)
        .map(|digits| number.short(value, digits))
        .find(|text| number.read(text) == Ok(value));
    exact.unwrap_or_else(|| number.short(value, 4))
}

/// A difference of values of a key, to three digits, with its unit; one of temperatures in kelvin.
pub(super) fn difference(vary: &Vary, value: f64) -> String {
    match vary.number.dimension {
        Dimension::Temperature => format!("{} K", number(value, 3)),
        _ => vary.number.short(value, 3),
    }
}

/// How far the key may be off in its window: a share of the middle, or where that says nothing half the
/// width; "at least" where the range searched ends first.
pub(super) fn margin(dial: &Dial, k: usize, window: &Window) -> String {
    let far = if dial.by_ratio(k) {
        percent(window.margin())
    } else {
        difference(&dial.turned()[k], window.half())
    };
    let least = if window.is_cut() { "at least " } else { "" };
    format!("{least}± {far}")
}

/// The energy in the bank beside a charging voltage.
pub(super) fn energy(vary: &Vary, outcome: &Outcome) -> String {
    let path = vary.address.to_string();
    let stored = outcome.figures().map(|f| f.stored_energy_J);
    let is_voltage = ["bank.voltage", "bank.voltage_mark"].contains(&path.as_str());
    stored
        .filter(|_| is_voltage)
        .map_or(String::new(), |joules| {
            format!(" ({})", engineering(joules, "J"))
        })
}

/// A value with its unit, and its mark where it is set on a scale.
pub(super) fn marked(dial: &Dial, k: usize, value: f64) -> String {
    let vary = &dial.turned()[k];
    let path = vary.address.to_string();
    text(vary, value) + &mark::beside(dial.base(), &path, value)
}

/// Whether a mark itself is turned.
pub(super) fn is_mark(vary: &Vary) -> bool {
    let path = vary.address.to_string();
    mark_of(&path).is_some_and(|(key, _)| key.path == path)
}

#[cfg(test)]
mod tests {
    use super::*;
    use arcplunge_core::case::Case;

    /// What is printed of `value` \[SI\], and what is set of it between `low` and `high`.
    fn shown(turn: &str, value: f64, [low, high]: [f64; 2]) -> [String; 2] {
        let vary = Vary::read(&Case::default(), turn, 2).unwrap();
        [
            text(&vary, value),
            text(&vary, set(&vary, value, low, high)),
        ]
    }

    #[test]
    fn values_are_rounded_in_the_unit_they_are_shown_in() {
        let degree = 1f64.to_radians();
        for (turn, value, ends, printed, set) in [
            (
                "lead.temperature=-20..60degC",
                293.1,
                [280.0, 310.0],
                "19.95 degC",
                "20 degC",
            ),
            (
                "lead.temperature=-20..60degC",
                273.15,
                [260.0, 310.0],
                "0 degC",
                "0 degC",
            ),
            (
                "stud.cone=1..6deg",
                3.000_007 * degree,
                [degree, 5.0 * degree],
                "3 deg",
                "3 deg",
            ),
            (
                "stud.cone=1..6deg",
                2.615_873_3 * degree,
                [degree, 5.0 * degree],
                "2.616 deg",
                "2.62 deg",
            ),
            (
                "stud.pip_length=0.3..1mm",
                0.612_345_67e-3,
                [0.5e-3, 0.7e-3],
                "0.6123 mm",
                "0.612 mm",
            ),
            (
                "arc.to_stud=0.2..0.5",
                0.381_234_56,
                [0.3, 0.4],
                "0.3812",
                "0.381",
            ),
            // A window too narrow for three digits takes more.
            (
                "bank.voltage=40..200V",
                111.064_321,
                [111.05, 111.08],
                "111.1 V",
                "111.06 V",
            ),
            (
                "earth.0.azimuth=-90..90deg",
                1e-17,
                [-1.0, 1.0],
                "5.73e-16 deg",
                "0 deg",
            ),
        ] {
            assert_eq!(shown(turn, value, ends), [printed, set], "{turn}");
        }
    }
}
