//! One weld fired many times with its values scattered.

pub mod blocks;
pub mod boxes;
pub mod dependence;
pub mod draw;
pub mod summary;

use std::borrow::Cow;
use std::iter::zip;

use super::batch::in_order;
use super::outcome::{Outcome, changed};
use super::points::{Points, share};
use crate::case::Case;
use crate::case::keys::Address;
use crate::simulation::fire::{Settings, Workspace};
use dependence::Dependence;
use draw::Draw;

/// A case, the keys drawn in it, and how.
#[derive(Debug, Clone)]
pub struct Scatter {
    /// The case whose values scatter.
    pub base: Case,
    /// Keys that are drawn, a dimension of the points each.
    pub draws: Vec<Draw>,
    /// How they hang together; `None` where each scatters by itself.
    pub dependence: Option<Dependence>,
    /// Where in the spreads the shots lie.
    pub points: Points,
    /// How many shots the study has.
    pub shots: usize,
    /// How each is fired.
    pub settings: Settings,
}

/// One shot of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// Its number, counted from 0.
    pub shot: usize,
    /// Values of the drawn keys \[SI\].
    pub values: Vec<f64>,
    /// What came of it.
    pub outcome: Outcome,
}

impl Scatter {
    /// Values of the drawn keys in shot `shot` \[SI\].
    pub fn values(&self, shot: usize) -> Vec<f64> {
        let mut values = vec![0.0; self.draws.len()];
        self.points.fill(shot, &mut values);
        if let Some(dependence) = &self.dependence {
            dependence.mix(shot, self.points.seed, &mut values);
        }
        zip(&mut values, &self.draws).for_each(|(v, draw)| *v = draw.at(*v));
        values
    }

    /// Studs in a box; `None` where boxes share nothing.
    pub fn batch_size(&self) -> Option<usize> {
        self.dependence.as_ref().and_then(Dependence::batch_size)
    }

    /// Number of independent scores that make a shot: one a key, and one more where boxes share something.
    pub fn dimensions(&self) -> usize {
        let boxed = self.batch_size().is_some();
        self.draws.len() * if boxed { 2 } else { 1 }
    }

    /// Scores of the keys from independent ones.
    pub fn mixed(&self, scores: &[f64]) -> Vec<f64> {
        match &self.dependence {
            Some(dependence) => dependence.scores(scores),
            None => scores.to_vec(),
        }
    }

    /// Values of the drawn keys \[SI\] at independent normal scores, [`Scatter::dimensions`] of them.
    pub fn values_at(&self, scores: &[f64]) -> Vec<f64> {
        let keys = zip(&self.draws, self.mixed(scores));
        keys.map(|(draw, score)| draw.at(share(score))).collect()
    }

    /// The case with these values of the drawn keys \[SI\].
    ///
    /// # Errors
    /// In words, when they make none.
    pub fn case(&self, values: &[f64]) -> Result<Case, String> {
        changed(&self.free(), self.changes(values))
    }

    /// Fires the case with these values of the drawn keys \[SI\].
    pub fn fire(&self, values: &[f64], work: &mut Workspace) -> Outcome {
        Outcome::of(&self.free(), self.changes(values), &self.settings, work)
    }

    fn changes(&self, values: &[f64]) -> impl Iterator<Item = (&Address, f64)> {
        zip(&self.draws, values.to_vec()).map(|(draw, value)| (draw.address(), value))
    }

    /// The base with any voltage: what the bank really has may lie above what it may be set to.
    fn free(&self) -> Cow<'_, Case> {
        if self.base.bank.voltage_max.is_none() {
            return Cow::Borrowed(&self.base);
        }
        let mut free = self.base.clone();
        free.bank.voltage_max = None;
        Cow::Owned(free)
    }

    /// Fires shot number `shot`.
    pub fn row(&self, shot: usize, work: &mut Workspace) -> Row {
        let values = self.values(shot);
        let outcome = self.fire(&values, work);
        Row {
            shot,
            values,
            outcome,
        }
    }

    /// Fires all shots from `first` on, on all cores, in order, streaming.
    pub fn rows(&self, first: usize) -> impl Iterator<Item = Row> {
        in_order(first..self.shots, |work, shot| self.row(shot, work))
    }
}

#[cfg(test)]
mod tests;
