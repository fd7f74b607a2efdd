//! The normal distribution about which particles move.

use std::iter::zip;

use chacha20::ChaCha8Rng;
use nalgebra::{DMatrix, DVector};

use super::Particle;
use crate::study::points::{score, uniform};

/// Variance over the least that samples of the prior would show, below which a direction is informed.
const SHARPER: f64 = 0.9;

/// Where a move is centred: a normal distribution that is the prior but for some directions the likelihood says much of.
pub(super) struct Centre {
    mean: DVector<f64>,
    /// Those directions, a column each, of length 1.
    informed: DMatrix<f64>,
    /// Variance along each.
    variances: DVector<f64>,
}

/// Variance of which so few samples show the variance `shown` along the direction where it is least, `few` dimensions a
/// sample (J. Baik and J. W. Silverstein, J. Multivar. Anal. 97 (2006) 1382).
fn widened(shown: f64, few: f64) -> f64 {
    let half = 0.5 * (1.0 - few + shown);
    half - (half * half - shown).max(0.0).sqrt()
}

impl Centre {
    pub fn prior(dimensions: usize) -> Centre {
        Centre {
            mean: DVector::zeros(dimensions),
            informed: DMatrix::zeros(dimensions, 0),
            variances: DVector::zeros(0),
        }
    }

    /// That of the particles. Informed are the directions whose variance is smaller than so few samples of the prior
    /// would show (V. A. Marchenko and L. A. Pastur, Math. USSR Sb. 1 (1967) 457).
    pub fn of<'a>(particles: impl Iterator<Item = &'a Particle>) -> Centre {
        let particles: Vec<&Particle> = particles.collect();
        let (n, d) = (particles.len() as f64, particles[0].scores.len());
        let mut mean = DVector::zeros(d);
        for particle in &particles {
            mean += DVector::from_column_slice(&particle.scores) / n;
        }
        let mut covariance = DMatrix::zeros(d, d);
        for particle in &particles {
            let off = DVector::from_column_slice(&particle.scores) - &mean;
            covariance.syger(1.0 / (n - 1.0), &off, &off, 1.0);
        }
        covariance.fill_upper_triangle_with_lower_triangle();
        let eigen = covariance.symmetric_eigen();
        let edge = SHARPER * (1.0 - (d as f64 / n).sqrt()).max(0.0).powi(2);
        let sharp: Vec<usize> = (0..d).filter(|k| eigen.eigenvalues[*k] < edge).collect();
        let informed = eigen.eigenvectors.select_columns(&sharp);
        Centre {
            mean: &informed * informed.tr_mul(&mean),
            variances: DVector::from_iterator(
                sharp.len(),
                sharp
                    .iter()
                    .map(|k| widened(eigen.eigenvalues[*k].max(1e-9), d as f64 / n)),
            ),
            informed,
        }
    }

    /// Minus twice the logarithm of the density, but for a constant.
    pub fn distance(&self, scores: &[f64]) -> f64 {
        let off = DVector::from_column_slice(scores) - &self.mean;
        let along = self.informed.tr_mul(&off);
        let more = zip(&along, &self.variances).map(|(a, v)| a * a * (1.0 / v - 1.0));
        off.norm_squared() + more.sum::<f64>()
    }

    pub fn moved(&self, scores: &[f64], length: f64, random: &mut ChaCha8Rng) -> Vec<f64> {
        let d = scores.len();
        let mut noise = DVector::from_iterator(d, (0..d).map(|_| score(uniform(random))));
        let along = self.informed.tr_mul(&noise);
        let less = along.zip_map(&self.variances, |a, v| a * (v.sqrt() - 1.0));
        noise += &self.informed * less;
        let off = DVector::from_column_slice(scores) - &self.mean;
        let kept = (1.0 - length * length).max(0.0).sqrt();
        let to = &self.mean + off * kept + noise * length;
        to.iter().copied().collect()
    }
}
