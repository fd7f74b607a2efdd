//! Sequential Monte Carlo: samples of a posterior from a standard normal prior and a likelihood.
//!
//! Particles start on Sobol points of the prior; the likelihood is raised to a power that goes from 0 to 1 in steps that
//! leave half of the effective sample, and after each step every particle makes some moves that leave the present
//! distribution as it is (P. Del Moral, A. Doucet and A. Jasra, J. R. Stat. Soc. B 68 (2006) 411). A move is a
//! preconditioned Crank–Nicolson step, by turns about the prior (S. L. Cotter et al., Stat. Sci. 28 (2013) 424) and about
//! a normal distribution that has the particles' own mean and covariance along the directions the likelihood says much of (T. Cui,
//! K. J. H. Law and Y. M. Marzouk, J. Comput. Phys. 304 (2016) 109): of the particles of the other groups.
//!
//! The particles live on islands that do not exchange any: what differs from island to island more than it should has
//! not been sampled well.

mod centre;
mod way;

use std::iter::zip;

use chacha20::ChaCha8Rng;
use chacha20::rand_core::SeedableRng;
use serde::{Deserialize, Serialize};
use thiserror::Error;

use crate::simulation::fire::Workspace;
use crate::study::batch::in_order;
use crate::study::points::{MOST_SOBOL, Points, Sampling, uniform};
use centre::Centre;
pub use way::Way;

/// Particles of all islands where no other number is asked for.
pub const PARTICLES: usize = 256;

/// Islands of particles.
pub const ISLANDS: usize = 4;

/// Groups of particles, each led by all others.
const GROUPS: usize = 16;

/// Effective sample that a step of the power leaves, over the particles.
const LEFT: f64 = 0.5;

/// How the posterior is sampled.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Effort {
    /// Particles of each island.
    pub particles: usize,
    /// Another seed gives other samples; the same, the same ones for any number of threads.
    pub seed: u64,
}

/// A sample: where it lies, in standard normal scores, and the logarithm of its likelihood.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Particle {
    /// Scores of the unknowns.
    pub scores: Vec<f64>,
    /// Logarithm of the likelihood.
    #[serde(with = "way::number")]
    pub fit: f64,
}

/// Samples of the posterior, island after island, each of the same weight.
#[derive(Debug, Clone, PartialEq)]
pub struct Sampled {
    /// The samples.
    pub particles: Vec<Particle>,
    /// Powers of the likelihood that were gone through; the last is 1.
    pub powers: Vec<f64>,
    /// Share of the last moves that were accepted.
    pub accepted: f64,
    /// Logarithm of the mean likelihood over the prior.
    pub evidence: f64,
    /// Independent samples that would be worth as much as these are, from the means of the islands.
    pub effective: f64,
    /// Largest ratio over the unknowns of the whole spread to that within the islands (nested R̂ of C. C. Margossian et
    /// al., Bayesian Anal. 19 (2024)); 1 where all islands agree.
    pub r_hat: f64,
}

/// Why nothing was sampled.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum NoSample {
    /// The caller ended it.
    #[error("the calibration was stopped")]
    Stopped,
    /// No point of the prior makes a weld that can be computed.
    #[error(
        "none of the rigs that the case may stand for can be welded at the settings of the welds"
    )]
    Impossible,
}

/// What says how probable all that was seen is at some scores: the logarithm of the likelihood, −∞ where there is none. It
/// may say −∞ as well, and sooner, where that is less than what it is told is needed.
pub trait Likelihood: Fn(&mut Workspace, &[f64], f64) -> f64 + Sync {}
impl<F: Fn(&mut Workspace, &[f64], f64) -> f64 + Sync> Likelihood for F {}

/// Samples the posterior of `dimensions` scores under the likelihood `fit`; from the prior on, or from where another run has
/// been. `step` sees the samples after each round of moves and says
/// whether to go on. The same bits come of a run that was ended and gone on with.
///
/// # Errors
/// When the caller ends it, or no start has a likelihood.
pub fn sample(
    dimensions: usize,
    effort: Effort,
    from: Option<Way>,
    fit: impl Likelihood,
    mut step: impl FnMut(&Way) -> bool,
) -> Result<Sampled, NoSample> {
    let start = || Way::of(Cloud::start(dimensions, effort, &fit));
    let mut way = from.unwrap_or_else(start);
    while !way.is_there() {
        way.go(&fit)?;
        if !step(&way) {
            return Err(NoSample::Stopped);
        }
    }
    Ok(way.end())
}

/// The particles, and what their next move goes by.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
struct Cloud {
    particles: Vec<Particle>,
    seed: u64,
    /// Rounds of moves made so far, which pick the random numbers.
    round: u64,
    /// Length of a move about the prior and about the cloud itself, from 0 to 1.
    lengths: [f64; 2],
}

impl Cloud {
    fn start(dimensions: usize, effort: Effort, fit: &impl Likelihood) -> Cloud {
        let sampling = match dimensions {
            ..=MOST_SOBOL => Sampling::Sobol,
            _ => Sampling::Random,
        };
        let points = Points {
            sampling,
            seed: effort.seed,
        };
        let all = 0..ISLANDS * effort.particles;
        // Neighbours of the sequence go to different islands: each covers the whole prior.
        let place = |n: usize| (n % effort.particles) * ISLANDS + n / effort.particles;
        let particles = in_order(all, |work, n| {
            let scores = points.scores(place(n), dimensions);
            let fit = fit(work, &scores, f64::NEG_INFINITY);
            Particle { scores, fit }
        });
        Cloud {
            particles: particles.collect(),
            seed: effort.seed,
            round: 0,
            lengths: [0.3, 0.7],
        }
    }

    /// The next power; `None` where no particle has a likelihood.
    fn next_power(&self, power: f64) -> Option<f64> {
        let fits = || self.particles.iter().map(|p| p.fit);
        let best = fits().fold(f64::NEG_INFINITY, f64::max);
        if best == f64::NEG_INFINITY {
            return None;
        }
        let alive = fits().filter(|fit| *fit > f64::NEG_INFINITY).count() as f64;
        let left = |step: f64| {
            let weights = fits().map(|fit| (step * (fit - best)).exp());
            let (sum, squares) = weights.fold((0.0, 0.0), |(s, q), w| (s + w, q + w * w));
            sum * sum / squares
        };
        let (mut low, mut high) = (0.0, 1.0 - power);
        if left(high) >= LEFT * alive {
            return Some(1.0);
        }
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if left(middle) >= LEFT * alive {
                low = middle;
            } else {
                high = middle;
            }
        }
        // However sharp the likelihood, there is an end.
        Some((power + low.max(1e-6)).min(1.0))
    }

    /// Takes each particle as often as `step` more of the likelihood's power weighs it, within its island; the logarithm
    /// of the mean weight.
    fn resample(&mut self, step: f64) -> f64 {
        let best = self.particles.iter().map(|p| p.fit);
        let best = best.fold(f64::NEG_INFINITY, f64::max);
        let size = self.particles.len() / ISLANDS;
        let mut total = 0.0;
        let mut chosen = Vec::with_capacity(self.particles.len());
        for (number, island) in self.particles.chunks(size).enumerate() {
            let weights: Vec<f64> = island
                .iter()
                .map(|p| (step * (p.fit - best)).exp())
                .collect();
            let sum: f64 = weights.iter().sum();
            total += sum;
            let start = uniform(&mut self.stream(1 << 40, number));
            chosen.extend(systematic(&weights, sum, start).map(|k| island[k].clone()));
        }
        self.particles = chosen;
        self.round += 1;
        step * best + (total / self.particles.len() as f64).ln()
    }

    /// Random numbers of a particle in this round.
    fn stream(&self, kind: u64, particle: usize) -> ChaCha8Rng {
        let mut stream = ChaCha8Rng::seed_from_u64(self.seed ^ kind.rotate_left(17));
        stream.set_stream((self.round << 20) + particle as u64);
        stream
    }

    /// One move of every particle; the share that was accepted.
    fn go(&mut self, power: f64, fit: &impl Likelihood) -> f64 {
        let own = usize::from(!self.round.is_multiple_of(5));
        // That of the others: a particle that had a share in where it is led would be led too near to the middle. What
        // has come of one particle stands side by side, and so in one group but for the groups' borders.
        let size = self.particles.len() / GROUPS;
        let centres: [Centre; GROUPS] = std::array::from_fn(|group| match own {
            0 => Centre::prior(self.particles[0].scores.len()),
            _ => {
                let others = self.particles.chunks(size).enumerate();
                let others = others.filter(|(other, _)| *other != group);
                Centre::of(others.flat_map(|(_, particles)| particles))
            }
        });
        self.round += 1;
        let length = self.lengths[own];
        let moved = in_order(0..self.particles.len(), |work, n| {
            let random = &mut self.stream(2 << 40, n);
            let (from, centre) = (&self.particles[n], &centres[n / size]);
            let scores = centre.moved(&from.scores, length, random);
            let norm = |scores: &[f64]| scores.iter().map(|z| z * z).sum::<f64>();
            // Densities of the prior over those the move leaves as they are.
            let ratio = 0.5
                * (norm(&from.scores) - norm(&scores) - centre.distance(&from.scores)
                    + centre.distance(&scores));
            let chance = uniform(random).ln();
            // Less is not accepted, rounding apart.
            let needed = from.fit + (chance - ratio) / power;
            let fit = fit(work, &scores, needed - 1e-9 * needed.abs());
            let gain = power * (fit - from.fit) + ratio;
            (chance < gain).then_some(Particle { scores, fit })
        });
        let moved: Vec<Option<Particle>> = moved.collect();
        let accepted = moved.iter().flatten().count() as f64 / moved.len() as f64;
        for (particle, moved) in zip(&mut self.particles, moved) {
            if let Some(moved) = moved {
                *particle = moved;
            }
        }
        let factor = match accepted {
            ..0.15 => 0.6,
            0.15..0.25 => 0.85,
            0.25..0.45 => 1.0,
            _ => 1.3,
        };
        self.lengths[own] = (length * factor).clamp(0.02, 0.98);
        accepted
    }
}

/// Numbers of weights, each as often as it weighs, by evenly spaced pointers from `start` (0 to 1).
fn systematic(weights: &[f64], sum: f64, start: f64) -> impl Iterator<Item = usize> {
    let n = weights.len();
    let (mut at, mut below) = (0, weights[0]);
    (0..n).map(move |k| {
        let pointer = (k as f64 + start) / n as f64 * sum;
        while below < pointer && at + 1 < n {
            at += 1;
            below += weights[at];
        }
        at
    })
}

/// Effective sample, and nested R̂, from the means and spreads of the islands.
fn agreement(particles: &[Particle]) -> (f64, f64) {
    let size = particles.len() / ISLANDS;
    let d = particles[0].scores.len();
    let (mut between, mut worst) = (0.0, 1.0_f64);
    for k in 0..d {
        let means: Vec<f64> = particles
            .chunks(size)
            .map(|island| island.iter().map(|p| p.scores[k]).sum::<f64>() / size as f64)
            .collect();
        let whole = means.iter().sum::<f64>() / ISLANDS as f64;
        let b = means.iter().map(|m| (m - whole).powi(2)).sum::<f64>() / (ISLANDS as f64 - 1.0);
        let spread = zip(particles.chunks(size), &means).map(|(island, mean)| {
            let squares = island.iter().map(|p| (p.scores[k] - mean).powi(2));
            squares.sum::<f64>() / (size as f64 - 1.0)
        });
        let w = spread.sum::<f64>() / ISLANDS as f64;
        let ratio = b / w.max(1e-12);
        worst = worst.max((1.0 + ratio).sqrt());
        between += ratio;
    }
    let all = particles.len() as f64;
    (((ISLANDS * d) as f64 / between.max(1e-12)).min(all), worst)
}

#[cfg(test)]
mod tests;
