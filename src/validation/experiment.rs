//! A published experiment: what it states, what had to be assumed, and how what is computed stands beside it.

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
}
