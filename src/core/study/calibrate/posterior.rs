//! What is known of each unknown after the welds, beside what was known before.

use std::iter::zip;

use nalgebra::DMatrix;

use super::Problem;
use super::sampler::Sampled;
use super::settings::quantiles;
use crate::simulation::fire::Workspace;
use crate::study::batch::in_order;

/// Correlation from which on two unknowns are told together: the welds settle a combination, not each.
const TOGETHER: f64 = 0.5;

/// Spread after over spread before, below which the welds have said something of an unknown.
pub const NARROWER: f64 = 0.9;

/// What welds say of an unknown, or of a spread learnt along.
#[derive(Debug, Clone, PartialEq)]
pub struct Marginal {
    /// The key, or the name of the spread.
    pub name: String,
    /// Its place among the scores.
    pub place: usize,
    /// The 5th, 50th and 95th percentile before \[SI\].
    pub before: [f64; 3],
    /// After \[SI\].
    pub after: [f64; 3],
    /// Mean after \[SI\].
    pub mean: f64,
    /// Standard deviation after \[SI\].
    pub deviation: f64,
    /// Standard deviation of the score after, which before was 1.
    pub narrowed: f64,
}

/// Two unknowns the welds cannot tell apart.
#[derive(Debug, Clone, PartialEq)]
pub struct Pair {
    /// Places of both among the scores.
    pub places: [usize; 2],
    /// Correlation of their scores after the welds.
    pub correlation: f64,
}

/// What welds say of a rig.
#[derive(Debug, Clone, PartialEq)]
pub struct Posterior {
    /// Unknown by unknown, then the spreads learnt along.
    pub marginals: Vec<Marginal>,
    /// Pairs that hang together, the closest first.
    pub pairs: Vec<Pair>,
    /// Probability of each weld not to fit.
    pub outliers: Vec<f64>,
}

/// Score at which 5 % of a normal distribution lie beyond.
const FIVE: f64 = 1.644_853_626_951_472_7;

impl Posterior {
    /// What the samples of a posterior come to.
    pub fn of(problem: &Problem, sampled: &Sampled) -> Posterior {
        let scores = matrix(sampled);
        let n = scores.nrows() as f64;
        let means = scores.row_mean();
        let centred = DMatrix::from_fn(scores.nrows(), scores.ncols(), |i, j| {
            scores[(i, j)] - means[j]
        });
        let covariance = centred.tr_mul(&centred) / (n - 1.0);
        let deviations: Vec<f64> = covariance.diagonal().iter().map(|v| v.sqrt()).collect();
        let marginals = (0..scores.ncols()).map(|place| {
            let column = scores.column(place);
            let values: Vec<f64> = column.iter().map(|z| problem.value(place, *z)).collect();
            let mean = values.iter().sum::<f64>() / n;
            let squares: f64 = values.iter().map(|v| (v - mean).powi(2)).sum();
            Marginal {
                name: problem.name(place),
                place,
                before: [-FIVE, 0.0, FIVE].map(|z| problem.value(place, z)),
                after: quantiles(values).unwrap_or_default(),
                mean,
                deviation: (squares / (n - 1.0)).sqrt(),
                narrowed: deviations[place],
            }
        });
        let marginals: Vec<Marginal> = marginals.collect();
        Posterior {
            pairs: pairs(&covariance, &deviations, problem.unknowns.count()),
            outliers: outliers(problem, sampled),
            marginals,
        }
    }

    /// Those of the unknowns the welds have said something of, the most first.
    pub fn learnt(&self, unknowns: usize) -> Vec<&Marginal> {
        let of = self.marginals[..unknowns].iter();
        let mut learnt: Vec<&Marginal> = of.filter(|m| m.narrowed < NARROWER).collect();
        learnt.sort_by(|a, b| a.narrowed.total_cmp(&b.narrowed));
        learnt
    }
}

impl Problem {
    /// Name of the unknown or spread at a place of the scores.
    pub fn name(&self, place: usize) -> String {
        match self.unknowns.all.get(place) {
            Some(unknown) => unknown.draw.address().to_string(),
            None => self.spreads.learnt[place - self.unknowns.count()]
                .name
                .into(),
        }
    }

    /// Its value at a normal score \[SI\].
    pub fn value(&self, place: usize, score: f64) -> f64 {
        match self.unknowns.all.get(place) {
            Some(unknown) => unknown.value(score),
            None => self.spreads.learnt[place - self.unknowns.count()].value(score),
        }
    }
}

/// Scores, a row a sample.
fn matrix(sampled: &Sampled) -> DMatrix<f64> {
    let d = sampled.particles[0].scores.len();
    DMatrix::from_fn(sampled.particles.len(), d, |i, j| {
        sampled.particles[i].scores[j]
    })
}

/// Pairs of unknowns that hang together; a spread learnt along is none.
fn pairs(covariance: &DMatrix<f64>, deviations: &[f64], unknowns: usize) -> Vec<Pair> {
    let all = (0..unknowns).flat_map(|i| (0..i).map(move |j| [j, i]));
    let mut found: Vec<Pair> = all
        .map(|places| Pair {
            places,
            correlation: covariance[(places[0], places[1])]
                / (deviations[places[0]] * deviations[places[1]]).max(1e-300),
        })
        .filter(|pair| pair.correlation.abs() >= TOGETHER)
        .collect();
    found.sort_by(|a, b| b.correlation.abs().total_cmp(&a.correlation.abs()));
    found
}

/// Probability of each weld not to fit, over all samples.
fn outliers(problem: &Problem, sampled: &Sampled) -> Vec<f64> {
    let mut sums = vec![0.0; problem.welds.welds.len()];
    let mut count = 0.0;
    let all = sampled.particles.iter();
    for fits in in_order(all, |work: &mut Workspace, p| problem.fits(&p.scores, work)).flatten() {
        zip(&mut sums, fits).for_each(|(sum, fit)| *sum += fit.outlier());
        count += 1.0;
    }
    sums.iter().map(|sum| sum / f64::max(count, 1.0)).collect()
}
