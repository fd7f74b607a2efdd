//! Samples on their way from the prior to the posterior, to be kept and gone on with.

use serde::{Deserialize, Serialize};

use super::{Cloud, Effort, ISLANDS, Likelihood, NoSample, Particle, Sampled, agreement};

/// Moves after each step, and after the last one.
const MOVES: (usize, usize) = (4, 12);

/// Rounds of moves at a power of the likelihood.
fn moves(power: f64) -> usize {
    if power < 1.0 { MOVES.0 } else { MOVES.1 }
}

/// Samples between two rounds of moves: all that the rounds to come go by.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Way {
    /// Powers of the likelihood gone through so far.
    powers: Vec<f64>,
    /// Rounds of moves left at the last of them.
    left: usize,
    evidence: f64,
    accepted: f64,
    cloud: Cloud,
}

impl Way {
    /// At the prior.
    pub(super) fn of(cloud: Cloud) -> Way {
        Way {
            powers: Vec::new(),
            left: 0,
            evidence: 0.0,
            accepted: 0.0,
            cloud,
        }
    }

    /// Power of the likelihood reached, from 0 at the prior to 1 at the posterior.
    pub fn power(&self) -> f64 {
        self.powers.last().copied().unwrap_or(0.0)
    }

    /// Rounds of moves made.
    #[cfg(test)]
    pub fn rounds(&self) -> usize {
        let all: usize = self.powers.iter().map(|power| moves(*power)).sum();
        all.saturating_sub(self.left)
    }

    /// Whether these are samples of the posterior.
    pub fn is_there(&self) -> bool {
        self.power() >= 1.0 && self.left == 0
    }

    /// The samples as they are now.
    pub fn particles(&self) -> &[Particle] {
        &self.cloud.particles
    }

    /// Whether they may be those of a problem with so many unknowns, sampled so: what was read from a file may be anything.
    pub fn suits(&self, dimensions: usize, effort: Effort) -> bool {
        let whole =
            |p: &Particle| p.scores.len() == dimensions && p.scores.iter().all(|x| x.is_finite());
        let cloud = &self.cloud;
        cloud.seed == effort.seed
            && cloud.particles.len() == ISLANDS * effort.particles
            && cloud.particles.iter().all(whole)
            && cloud
                .lengths
                .iter()
                .all(|length| (0.0..=1.0).contains(length))
            && self.powers.is_sorted()
            && self
                .powers
                .iter()
                .all(|power| *power > 0.0 && *power <= 1.0)
            && self.left <= moves(self.power())
            && self.evidence.is_finite()
            && (0.0..=1.0).contains(&self.accepted)
            && !self.powers.is_empty()
    }

    /// Makes one round of moves, at the next power where none is left at this one.
    pub(super) fn go(&mut self, fit: &impl Likelihood) -> Result<(), NoSample> {
        let mut power = self.power();
        if self.left == 0 {
            let next = self.cloud.next_power(power).ok_or(NoSample::Impossible)?;
            self.evidence += self.cloud.resample(next - power);
            power = next;
            self.powers.push(power);
            self.left = moves(power);
        }
        self.accepted = self.cloud.go(power, fit);
        self.left -= 1;
        Ok(())
    }

    pub(super) fn end(self) -> Sampled {
        let (effective, r_hat) = agreement(&self.cloud.particles);
        Sampled {
            particles: self.cloud.particles,
            powers: self.powers,
            accepted: self.accepted,
            evidence: self.evidence,
            effective,
            r_hat,
        }
    }
}

/// A logarithm in JSON, which has no infinity: that of nothing is `null`.
pub(super) mod number {
    use serde::{Deserialize, Deserializer, Serialize, Serializer};

    pub fn serialize<S: Serializer>(log: &f64, to: S) -> Result<S::Ok, S::Error> {
        Some(*log).filter(|log| log.is_finite()).serialize(to)
    }

    pub fn deserialize<'a, D: Deserializer<'a>>(from: D) -> Result<f64, D::Error> {
        Ok(Option::deserialize(from)?.unwrap_or(f64::NEG_INFINITY))
    }
}
