//! Checks of this program's own laws and solvers against values from outside.
//!
//! Every computed value comes from the code a shot runs: the laws of `physics`, or the integrator, the
//! heat and the squeeze of `cycle` with a case or a rig set up like the published example. The values
//! compared with were printed elsewhere or evaluated apart from this program.

mod arcs;
pub mod balance;
pub mod bench;
pub mod blow;
mod check;
mod clamp;
mod closure;
mod conduction;
pub mod contacts;
pub mod discharge;
pub mod dop853;
mod experiment;
mod experiments;
pub mod inductance;
mod integrator;
mod leads;
mod liquids;
pub mod measured;
pub mod melting;
mod opposed;
pub mod pip;
pub mod sheet;
mod shift;
pub mod slab;
pub mod squeeze;
mod studs;
mod tightening;
pub mod trade;
pub mod travelling;
mod whole_welds;

pub use check::{Allowed, Check, Evidence, Source};

/// A group of checks: its title, and what runs it.
pub type Group = (&'static str, fn() -> Vec<Check>);

/// The groups in the order they are shown.
pub const GROUPS: &[Group] = &[
    ("Leads", leads::checks),
    ("Inductance", inductance::checks),
    ("Sheet", sheet::checks),
    ("Discharge", discharge::checks),
    ("Free-wheel diode", clamp::checks),
    ("Pip as a fuse", pip::checks),
    ("Contacts", contacts::checks),
    ("Arc", arcs::checks),
    ("Conduction", conduction::checks),
    ("Melting and freezing", melting::checks),
    ("A front at constant speed", travelling::checks),
    ("Plunge", closure::checks),
    ("Squeeze", squeeze::checks),
    ("Liquid metals", liquids::checks),
    ("Studs", studs::checks),
    ("Tightening", tightening::checks),
    ("Arc blow", blow::checks),
    ("Shift", shift::checks),
    ("Integrator", integrator::checks),
    ("Energy balance", balance::checks),
    ("Practice of the trade", trade::practice),
    (measured::GROUP, measured::checks),
];

/// Runs one group.
pub fn group(title: &'static str, run: fn() -> Vec<Check>) -> Vec<Check> {
    run()
        .into_iter()
        .map(|check| Check {
            group: title,
            ..check
        })
        .collect()
}

/// Runs every check.
pub fn checks() -> Vec<Check> {
    GROUPS
        .iter()
        .flat_map(|&(title, run)| group(title, run))
        .collect()
}
