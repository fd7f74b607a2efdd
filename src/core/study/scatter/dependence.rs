//! Keys that do not scatter by themselves: correlated ones, and the part of a spread that a box of studs shares.
//!
//! A Gaussian copula: each key's value is that of its normal score, and the scores have the correlations R. Of key i
//! the share r_i² of the score's variance belongs to the box. Scores of a box have the covariance r_i·R_ij·r_j, what is
//! left to the stud R_ij·(1 − r_i·r_j), so that any two studs, of one box or not, have R between their keys
//! (R. B. Nelsen, An Introduction to Copulas, 2nd ed. (2006), section 2.3 and example 2.11).

use std::iter::zip;

use nalgebra::{DMatrix, DVector};
use thiserror::Error;

use super::draw::Draw;
use crate::case::tolerance::Tolerances;
use crate::study::points::{Points, Sampling, score, share};

/// How the scores of the drawn keys hang together.
#[derive(Debug, Clone, PartialEq)]
pub struct Dependence {
    /// Pairs of draws with their correlation.
    pub pairs: Vec<([usize; 2], f64)>,
    /// Cholesky factor of the part that is each stud's own.
    own: DMatrix<f64>,
    shared: Option<Shared>,
}

/// The part that a box shares.
#[derive(Debug, Clone, PartialEq)]
struct Shared {
    /// Studs in a box.
    size: usize,
    /// Cholesky factor of R, each row times r.
    factor: DMatrix<f64>,
}

/// The correlations contradict each other: no values have them all.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
#[error(
    "the correlations contradict each other: no values have them all, with the parts that boxes share; correlated keys share about the same part"
)]
pub struct Contradiction;

impl Dependence {
    /// That of these draws; `None` where every key scatters by itself.
    ///
    /// # Errors
    /// When no values have all these correlations.
    pub fn of(
        draws: &[Draw],
        tolerances: &Tolerances,
    ) -> Result<Option<Dependence>, Contradiction> {
        let place = |address| draws.iter().position(|draw| draw.address() == address);
        let (mut pairs, mut whole) = (Vec::new(), DMatrix::identity(draws.len(), draws.len()));
        for one in &tolerances.correlations {
            // A key of the model scatters only where the model's own figures are drawn too.
            if let [Some(i), Some(j)] = one.keys.each_ref().map(place) {
                whole[(i, j)] = one.coefficient;
                whole[(j, i)] = one.coefficient;
                pairs.push(([i, j], one.coefficient));
            }
        }
        let shares: Vec<f64> = draws.iter().map(Draw::shared).collect();
        let boxed = shares.iter().any(|share| *share > 0.0);
        if !boxed && pairs.is_empty() {
            return Ok(None);
        }
        let own = whole.map_with_location(|i, j, r| r * (1.0 - shares[i] * shares[j]));
        let factor = |matrix: DMatrix<f64>| matrix.cholesky().map(|c| c.l()).ok_or(Contradiction);
        let shared = if boxed {
            let mut factor = factor(whole)?;
            for (mut row, share) in zip(factor.row_iter_mut(), &shares) {
                row *= *share;
            }
            let size = tolerances.batch_size;
            Some(Shared { size, factor })
        } else {
            None
        };
        // A key that its box shares whole leaves nothing to the stud.
        Ok(Some(Dependence {
            pairs,
            own: factor(own + DMatrix::identity(draws.len(), draws.len()) * LEAST)?,
            shared,
        }))
    }

    /// Studs in a box; `None` where boxes share nothing.
    pub fn batch_size(&self) -> Option<usize> {
        self.shared.as_ref().map(|shared| shared.size)
    }

    /// Turns independent coordinates of a shot's point into those that hang together; each within (0, 1).
    pub fn mix(&self, shot: usize, seed: u64, point: &mut [f64]) {
        let mut scores: Vec<f64> = point.iter().map(|u| score(*u)).collect();
        if let Some(shared) = &self.shared {
            let mut of_box = vec![0.0; point.len()];
            let boxes = Points {
                sampling: Sampling::Random,
                // Another stream than that of the shots.
                seed: !seed,
            };
            boxes.fill(shot / shared.size, &mut of_box);
            scores.extend(of_box.iter().map(|u| score(*u)));
        }
        for (coordinate, score) in zip(point, self.scores(&scores)) {
            *coordinate = share(score);
        }
    }

    /// Scores that hang together from independent ones: those of the stud and, where boxes share something, those of its
    /// box behind them.
    pub fn scores(&self, independent: &[f64]) -> Vec<f64> {
        let keys = self.own.nrows();
        let mut mixed = &self.own * DVector::from_column_slice(&independent[..keys]);
        if let Some(shared) = &self.shared {
            mixed += &shared.factor * DVector::from_column_slice(&independent[keys..]);
        }
        mixed.iter().copied().collect()
    }
}

/// Added to the variances, against rounding.
const LEAST: f64 = 1e-12;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::read::Text;
    use crate::simulation::fire::Settings;
    use crate::study::scatter::Scatter;

    fn scatter(sets: &[&str]) -> Scatter {
        let sets: Vec<String> = sets.iter().map(ToString::to_string).collect();
        let resolved = Text::default().read(&sets).unwrap();
        let draws = resolved.tolerances.of(&resolved.case).into_iter();
        let draws: Vec<Draw> = draws
            .map(|t| Draw::new(&resolved.case, t).unwrap())
            .collect();
        Scatter {
            dependence: Dependence::of(&draws, &resolved.tolerances).unwrap(),
            base: resolved.case,
            draws,
            points: Points {
                sampling: Sampling::Random,
                seed: 5,
            },
            shots: 0,
            settings: Settings::default(),
        }
    }

    fn columns(scatter: &Scatter, keys: [&str; 2], shots: usize) -> [Vec<f64>; 2] {
        let at = keys.map(|key| {
            scatter
                .draws
                .iter()
                .position(|d| d.address().to_string() == key)
                .unwrap()
        });
        let rows: Vec<Vec<f64>> = (0..shots).map(|shot| scatter.values(shot)).collect();
        at.map(|at| rows.iter().map(|row| row[at]).collect())
    }

    fn moments([a, b]: &[Vec<f64>; 2]) -> [f64; 3] {
        let n = a.len() as f64;
        let mean = |x: &[f64]| x.iter().sum::<f64>() / n;
        let (ma, mb) = (mean(a), mean(b));
        let sum = |x: &[f64], mx: f64, y: &[f64], my: f64| {
            zip(x, y).map(|(x, y)| (x - mx) * (y - my)).sum::<f64>() / n
        };
        [
            sum(a, ma, a, ma).sqrt(),
            sum(b, mb, b, mb).sqrt(),
            sum(a, ma, b, mb),
        ]
    }

    const KEYS: [&str; 2] = ["bank.voltage", "tool.spring_force"];

    #[test]
    fn closed_form_values_have_the_spreads_and_correlations_asked_for() {
        let study = scatter(&[
            "tolerance.bank.voltage={spread=\"1 V\", batch=\"0.8 V\"}",
            "tolerance.tool.spring_force={spread=\"3 N\", batch=\"1 N\"}",
            "tolerance.correlation={\"bank.voltage\"={\"tool.spring_force\"=0.6}}",
            "tolerance.batch_size=2",
        ]);
        let [a, b, both] = moments(&columns(&study, KEYS, 40_000));
        // Three standard errors of 20,000 boxes: 1.5 % of a deviation, 0.02 of a correlation.
        assert!(
            (a - 1.0).abs() < 0.02 && (b / 3.0 - 1.0).abs() < 0.02,
            "{a} {b}"
        );
        assert!((both / (a * b) - 0.6).abs() < 0.02, "{}", both / (a * b));
        // Two studs of one box share 0.8² of the variance, studs of two boxes nothing.
        let [volts, _] = columns(&study, KEYS, 40_000);
        let pairs = |from: usize| -> f64 {
            let pairs = volts[from..]
                .chunks_exact(2)
                .map(|p| (p[0] - 112.0) * (p[1] - 112.0));
            pairs.sum::<f64>() / 20_000.0
        };
        assert!((pairs(0) - 0.64).abs() < 0.03, "{}", pairs(0));
        assert!(pairs(1).abs() < 0.03, "{}", pairs(1));
    }

    #[test]
    fn a_key_by_itself_scatters_as_ever_and_contradictions_are_refused() {
        assert_eq!(scatter(&[]).dependence, None);
        let sets = [
            "tolerance.correlation={\"bank.voltage\"={\"tool.spring_force\"=0.9,\"tool.friction\"=0.9},\
             \"tool.spring_force\"={\"tool.friction\"=-0.9}}".to_string(),
        ];
        let resolved = Text::default().read(&sets).unwrap();
        let draws = resolved.tolerances.of(&resolved.case).into_iter();
        let draws: Vec<Draw> = draws
            .map(|t| Draw::new(&resolved.case, t).unwrap())
            .collect();
        assert_eq!(
            Dependence::of(&draws, &resolved.tolerances),
            Err(Contradiction)
        );
    }
}
