//! Cases that once broke the solver, each with what went wrong.

mod branches;
mod discharge;
mod heat;
mod plunge;

use crate::common::judge::{MOST_WORK, case, judge};
use arcplunge_core::simulation::shot::Shot;

/// A spring that is spent on a film that never ends, between bodies that come to rest half molten.
const SPENT: [&str; 6] = [
    "bank.voltage=287.8 V",
    "lead.length=31.74 m",
    "tool.moving_mass=400 g",
    "tool.spring_rate=195 N/mm",
    "sheet.thickness=0.3329 mm",
    "model.stud_depth=0.35 mm",
];

/// Fires the demonstration case with these overrides; whatever must hold of a shot must hold of it.
#[track_caller]
fn sane(sets: &[&str]) -> Shot {
    let sets: Vec<String> = sets.iter().map(ToString::to_string).collect();
    let case = case(&sets).expect("a valid case");
    judge(&case, MOST_WORK).unwrap_or_else(|why| panic!("{why}"))
}
