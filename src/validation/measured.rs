//! Whole welds that others have made and published, fired here: what they state, what had to be assumed, what
//! this program gives.

use super::experiments::EXPERIMENTS;
use super::{Check, Evidence, Source};
use serde::Serialize;

/// How what is computed stands beside what is stated.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Outcome {
    /// Inside what is stated.
    Hit,
    /// Outside.
    Miss,
    /// The statement leaves open what would decide it, or the model does not compute it.
    Open,
}

impl Outcome {
    /// Word for a table.
    pub fn name(self) -> &'static str {
        match self {
            Outcome::Hit => "hit",
            Outcome::Miss => "miss",
            Outcome::Open => "open",
        }
    }
}

/// A number that an experiment states, as a range.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stated {
    /// What is compared, in a few words.
    pub quantity: &'static str,
    /// Unit of the range; empty for bare numbers.
    pub unit: &'static str,
    /// Lowest and highest value that count as a hit.
    pub range: (f64, f64),
}

/// A published experiment.
pub struct Experiment {
    /// Short name that stays the same between versions.
    pub id: &'static str,
    /// Who, where, when.
    pub source: &'static str,
    /// What stands behind the statement: an abstract that was read, or memory.
    pub known: &'static str,
    /// What it states.
    pub states: &'static str,
    /// Every value that had to be assumed to fire it.
    pub assumed: &'static str,
    /// The number to be met, if it states one that the model computes.
    pub stated: Option<Stated>,
    /// What this program misses and knows that it does.
    pub known_miss: bool,
    /// Fires it.
    pub fired: fn() -> Found,
}

/// What firing an experiment gave.
#[derive(Debug, Clone, PartialEq)]
pub struct Found {
    /// The value beside the stated number; not a number where there is none.
    pub value: f64,
    /// What the model gives, in words and figures.
    pub gives: String,
    /// Why it misses, or what the comparison does not show.
    pub remark: String,
}

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

impl Experiment {
    /// How a value stands beside what is stated.
    pub fn judge(&self, value: f64) -> Outcome {
        match self.stated {
            Some(Stated { range, .. }) if (range.0..=range.1).contains(&value) => Outcome::Hit,
            Some(_) => Outcome::Miss,
            // It states in words what the model does otherwise.
            None if self.known_miss => Outcome::Miss,
            None => Outcome::Open,
        }
    }

    /// Fires it.
    fn row(&self) -> Row {
        let found = (self.fired)();
        Row {
            id: self.id,
            source: self.source,
            known: self.known,
            states: self.states,
            assumed: self.assumed,
            outcome: self.judge(found.value),
            gives: found.gives,
            remark: found.remark,
        }
    }
}

/// Fires every experiment.
pub fn rows() -> Vec<Row> {
    EXPERIMENTS.iter().map(Experiment::row).collect()
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
            format!("measured.{}", experiment.id),
            stated.quantity,
            source,
            stated.unit,
            stated.range,
            (experiment.fired)().value,
        ))
    })
    .collect()
}
