//! Values of the keys a dial turns, as one reads them and sets them.

use super::found::Found;
use crate::format::{engineering, percent};
use crate::mark;
use arcplunge_core::case::keys::{Number, mark_of};
use arcplunge_core::case::quantity::{Dimension, number};
use arcplunge_core::study::dial::{Dial, Limit, Pair, Reached, Window};
use arcplunge_core::study::range::Vary;
use arcplunge_core::study::sweep::Outcome;

/// Most digits of a value to set; of more, four are shown.
const FINEST: usize = 6;

/// Most that rounding to four digits takes off, as a share; and steps towards it.
const HALF: f64 = 5e-4;
const STEPS: u32 = 20;

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

/// The values of the keys that are advised.
pub(super) fn advised(dial: &Dial, found: &Found) -> Vec<f64> {
    let keys = dial.turned();
    let of = |k: usize, at: f64, w: &Window| set(&keys[k], at, w.low, w.high);
    match found {
        Found::Window(advice) => vec![of(0, advice.value, &advice.window)],
        Found::Pair(pair) => (0..2)
            .map(|k| of(k, pair.at[k], &pair.windows[k]))
            .collect(),
        Found::Figure(.., Reached::At(value)) => vec![*value],
        Found::Figure(..) | Found::Nowhere(_) => Vec::new(),
    }
}

/// A value of a key to four digits, or as many more as one that was rounded to be set has, with its unit.
pub(super) fn text(vary: &Vary, value: f64) -> String {
    let number = &vary.number;
    let exact = (4..=FINEST)
        .map(|digits| number.short(value, digits))
        .find(|text| number.read(text) == Ok(value));
    exact.unwrap_or_else(|| number.short(value, 4))
}

/// Both ends of a window to four digits, rounded inwards: the weld is sound at what is told.
pub(super) fn ends(number: &Number, [low, high]: [f64; 2]) -> [String; 2] {
    [(low, 1.0), (high, -1.0)].map(|(end, inwards)| {
        let steps = (0..=2 * STEPS)
            .map(|k| end + inwards * f64::from(k) * end.abs() * HALF / f64::from(STEPS));
        let inside = |text: &String| number.read(text).is_ok_and(|v| (low..=high).contains(&v));
        let mut texts =
            (4..=FINEST).flat_map(|digits| steps.clone().map(move |v| number.short(v, digits)));
        texts
            .find(inside)
            .unwrap_or_else(|| number.short(end, FINEST))
    })
}

/// A difference of values of a key, to three digits, with its unit; one of temperatures in kelvin.
pub(super) fn difference(vary: &Vary, value: f64) -> String {
    match vary.number.dimension {
        Dimension::Temperature => format!("{} K", number(value, 3)),
        _ => vary.number.short(value, 3),
    }
}

/// How far key `k` may be off from `value` \[SI\] to the nearer end of its window: as a share of the value, or where that says
/// nothing as it is; "at least" where that end is the range searched.
pub(super) fn margin(dial: &Dial, k: usize, window: &Window, value: f64) -> String {
    let (below, above) = (value - window.low, window.high - value);
    let (room, limit) = match below < above {
        true => (below, window.below),
        false => (above, window.above),
    };
    let far = if dial.by_ratio(k) {
        percent(room / value.abs())
    } else {
        difference(&dial.turned()[k], room)
    };
    let least = if limit == Limit::Range {
        "at least "
    } else {
        ""
    };
    format!("{least}± {far}")
}

/// How far both keys of a pair may be off at once, as a share.
pub(super) fn together(dial: &Dial, pair: &Pair) -> String {
    let least = if pair.at_least(dial) { "at least " } else { "" };
    format!("{least}± {}", percent(pair.margin))
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
