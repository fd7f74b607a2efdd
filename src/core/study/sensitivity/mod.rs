//! The keys that cause a figure's scatter: Sobol indices.

pub mod indices;

#[cfg(test)]
mod tests;

use std::iter::zip;

use super::batch::in_order;
use super::outcome::Outcome;
use super::scatter::Scatter;
use crate::simulation::fire::Workspace;
use crate::simulation::named::find;
use crate::simulation::verdict::Verdict;
use crate::study::points::BLOCK;
use indices::{REPLICATES, Shares, Values};

/// Name of what is 1 for a sound weld and 0 for any other.
pub const SOUND: &str = "sound";

/// A figure of a study, and what came of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Found {
    /// Name of the figure, or [`SOUND`].
    pub figure: &'static str,
    /// Samples all of whose shots have the figure; the others are left out.
    pub samples: usize,
    /// Mean over the points of A and of B; `None` without any.
    pub mean: Option<f64>,
    /// Standard deviation of the same values.
    pub deviation: Option<f64>,
    /// Samples whose shots do not all have the same value.
    pub differ: usize,
    /// Indices of each drawn key; `None` where the figure does not vary.
    pub indices: Option<Shares>,
}

/// Values of the figures in the shots of one sample: of A, of B, and of A with each key from B.
type Sample = Vec<Vec<Option<f64>>>;

/// Shots that `samples` samples of `keys` keys take.
pub fn shots(samples: usize, keys: usize) -> usize {
    samples * (keys + 2)
}

/// The replicate that sample `index` of `samples` belongs to, and the number of its point: every replicate
/// begins with a scramble of its own.
pub fn place(index: usize, samples: usize) -> (usize, usize) {
    let cut = |k: usize| samples * k / REPLICATES;
    let replicate = (1..REPLICATES).filter(|k| cut(*k) <= index).count();
    let longest = samples.div_ceil(REPLICATES);
    let stride = longest.div_ceil(BLOCK).max(1) * BLOCK;
    (replicate, replicate * stride + index - cut(replicate))
}

impl Scatter {
    /// Fires the samples of a sensitivity study, as many as the scatter has shots, and hands each
    /// over; points have twice the dimensions of the keys (A. Saltelli, Comput. Phys. Commun. 145
    /// (2002) 280).
    pub fn samples<'a>(&'a self, figures: &'a [&'static str]) -> impl Iterator<Item = Sample> + 'a {
        in_order(0..self.shots, move |work, index| {
            self.sample(index, figures, work)
        })
    }

    fn sample(&self, index: usize, figures: &[&'static str], work: &mut Workspace) -> Sample {
        let keys = self.draws.len();
        let mut point = vec![0.0; 2 * keys];
        self.points.fill(place(index, self.shots).1, &mut point);
        let (a, b) = point.split_at(keys);
        let values = |point: &[f64]| -> Vec<f64> {
            zip(point, &self.draws)
                .map(|(u, draw)| draw.at(*u))
                .collect()
        };
        let (a, b) = (values(a), values(b));
        let mut fire = |values: &[f64]| {
            let outcome = self.fire(values, work);
            figures.iter().map(|name| read(&outcome, name)).collect()
        };
        let mut shots = vec![fire(&a), fire(&b)];
        for key in 0..keys {
            let mut mixed = a.clone();
            mixed[key] = b[key];
            shots.push(fire(&mixed));
        }
        shots
    }
}

fn read(outcome: &Outcome, name: &str) -> Option<f64> {
    if name == SOUND {
        let sound = outcome.verdict()? == Verdict::Sound;
        return Some(f64::from(u8::from(sound)));
    }
    outcome.figures().and_then(find(name)?)
}

/// Samples seen so far.
#[derive(Debug, Clone)]
pub struct Collected {
    figures: Vec<&'static str>,
    values: Vec<Values>,
    /// Samples of the study, and those taken.
    samples: usize,
    taken: usize,
}

impl Collected {
    /// For `samples` samples of `keys` keys.
    pub fn new(figures: &[&'static str], keys: usize, samples: usize) -> Collected {
        let empty = Values {
            mixed: vec![Vec::new(); keys],
            ..Values::default()
        };
        Collected {
            figures: figures.to_vec(),
            values: vec![empty; figures.len()],
            samples,
            taken: 0,
        }
    }

    /// Takes the next sample.
    pub fn take(&mut self, sample: &Sample) {
        let (replicate, _) = place(self.taken, self.samples);
        self.taken += 1;
        for (figure, values) in self.values.iter_mut().enumerate() {
            let of = sample.iter().map(|shot| shot[figure]);
            let Some(all) = of.collect::<Option<Vec<f64>>>() else {
                continue;
            };
            values.a.push(all[0]);
            values.b.push(all[1]);
            values.replicate.push(replicate);
            zip(&mut values.mixed, &all[2..]).for_each(|(list, value)| list.push(*value));
        }
    }

    /// Indices of each figure.
    pub fn found(&self) -> Vec<Found> {
        let of = |(figure, values): (&&'static str, &Values)| {
            let both = || values.a.iter().chain(&values.b);
            let n = (2 * values.a.len()) as f64;
            let mean = (n > 0.0).then(|| both().sum::<f64>() / n);
            let squares = |mean: f64| both().map(|v| (v - mean).powi(2)).sum::<f64>();
            Found {
                figure,
                samples: values.a.len(),
                mean,
                deviation: mean.map(|mean| (squares(mean) / n).sqrt()),
                differ: values.lines_that_differ(),
                indices: values.indices(),
            }
        };
        zip(&self.figures, &self.values).map(of).collect()
    }
}
