//! Whole welds that others have made and published, fired here: what they state, what had to be assumed, what
//! this program gives.

pub use super::experiment::{Experiment, Found, Outcome, Stated};
use super::experiments::EXPERIMENTS;
use super::{Check, Evidence, Source};
use serde::Serialize;

/// Title of the checks that are such welds.
pub const GROUP: &str = "Whole welds in the literature";

/// What the id of a check begins with that is such a weld.
pub const PREFIX: &str = "measured.";

/// An experiment and what came of it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Row {
    /// Short name that stays the same between versions.
    pub id: &'static str,
    /// Who, where, when.
    pub source: &'static str,
    /// What stands behind the statement: an abstract that was read, or memory.
    pub known: &'static str,
    /// What it states.
    pub states: &'static str,
    /// Every value that had to be assumed.
    pub assumed: &'static str,
    /// What the model gives.
    pub gives: String,
    /// How the two stand beside each other.
    pub outcome: Outcome,
    /// Why it misses, or what the comparison does not show.
    pub remark: String,
}

/// Fires an experiment.
fn row(experiment: &Experiment) -> Row {
    let found = (experiment.fired)();
    Row {
        id: experiment.id,
        source: experiment.source,
        known: experiment.known,
        states: experiment.states,
        assumed: experiment.assumed,
        outcome: experiment.judge(found.value),
        gives: found.gives,
        remark: found.remark,
    }
}

/// Fires every experiment.
pub fn rows() -> Vec<Row> {
    EXPERIMENTS.iter().map(row).collect()
}

/// Fires those that are no check: known to be missed, or open.
pub fn unchecked() -> Vec<Row> {
    let others = EXPERIMENTS.iter();
    let others = others.filter(|e| e.known_miss || e.stated.is_none());
    others.map(row).collect()
}

/// The numbers that are met, as checks, so that none is lost unseen.
pub(super) fn checks() -> Vec<Check> {
    let met = EXPERIMENTS.iter().filter(|e| !e.known_miss);
    met.filter_map(|experiment| {
        let stated = experiment.stated?;
        let source = Source {
            text: experiment.source,
            evidence: Evidence::Reported,
        };
        Some(Check::within(
            format!("{PREFIX}{}", experiment.id),
            stated.quantity,
            source,
            stated.unit,
            stated.range,
            (experiment.fired)().value,
        ))
    })
    .collect()
}
