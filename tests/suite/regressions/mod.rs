//! Cases that once broke the solver, each with what went wrong.

mod discharge;
mod heat;
mod plunge;

use crate::common::judge::{MOST_WORK, case, judge};
use arcplunge_core::simulation::shot::Shot;

/// Fires the demonstration case with these overrides; whatever must hold of a shot must hold of it.
#[track_caller]
fn sane(sets: &[&str]) -> Shot {
    let sets: Vec<String> = sets.iter().map(ToString::to_string).collect();
    let case = case(&sets).expect("a valid case");
    judge(&case, MOST_WORK).unwrap_or_else(|why| panic!("{why}"))
}
