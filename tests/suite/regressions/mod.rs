//! Cases that once broke the solver, each with what went wrong.

mod discharge;
mod heat;
mod plunge;

use std::time::Duration;

use crate::common::judge::{case, judge};
use arcplunge_core::simulation::shot::Shot;

/// Fires the demonstration case with these overrides; whatever must hold of a shot must hold of it.
#[track_caller]
fn sane(sets: &[&str]) -> Shot {
    let sets: Vec<String> = sets.iter().map(ToString::to_string).collect();
    let case = case(&sets).expect("a valid case");
    let judged = judge(&case, Duration::from_secs(1));
    judged.unwrap_or_else(|why| panic!("{why}")).0
}
