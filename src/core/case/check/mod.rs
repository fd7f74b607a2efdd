//! What must hold between the keys of a case, so that the model's equations make sense.

mod broken;
mod rules;

#[cfg(test)]
mod tests;

pub use broken::Broken;

use super::keys::{self, Address, METAL_KEYS};
use super::model::Case;

/// Everything wrong with a case: numbers out of bounds, and rules between keys that are broken.
///
/// A case that was read from a file has passed; one built or changed by a program should pass here
/// before it is fired.
pub fn check(case: &Case) -> Vec<Broken> {
    let mut broken = bounds(case);
    // The rules divide and take roots; only sane numbers may reach them.
    if broken.is_empty() {
        rules::bank(case, &mut broken);
        rules::spring(case, &mut broken);
        rules::leads(case, &mut broken);
        rules::clamps(case, &mut broken);
        rules::stud(case, &mut broken);
        rules::heat(case, &mut broken);
    }
    broken
}

fn bounds(case: &Case) -> Vec<Broken> {
    let mut broken = Vec::new();
    let mut hold = |address: &dyn Fn() -> String, number: &keys::Number, value: f64| {
        if !number.range.holds(value) {
            broken.push(Broken::OutOfBounds {
                key: address(),
                value: number.text(value),
                bounds: number.bounds(),
            });
        }
    };
    keys::own_numbers(case, |address| {
        if let (Some(number), Some(value)) = (address.about(), address.number(case)) {
            hold(&|| address.to_string(), number, value);
        }
    });
    let sheet = (case.sheet.metal != case.stud.metal).then_some(&case.sheet.metal);
    for metal in [&case.stud.metal].into_iter().chain(sheet) {
        for key in METAL_KEYS {
            let address = || Address::Metal(metal.name.clone(), key).to_string();
            hold(&address, &key.number, *(key.field)(metal));
        }
    }
    let count = case.earths.len();
    if count == 0 || count > keys::MOST_EARTHS {
        broken.push(Broken::EarthCount { count });
    }
    broken
}
