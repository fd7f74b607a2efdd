//! The search for the smallest squares, from several starts: Moré's Levenberg-Marquardt (1978) by the crate of
//! that name; then together with the keys that their spreads hold.

use levenberg_marquardt::{LeastSquaresProblem, LevenbergMarquardt, TerminationReason};
use nalgebra::{DMatrix, DVector, Dyn, Owned};
use rayon::prelude::*;

use super::known::CENTRE;
use super::left::{Left, left};
use super::problem::{FitError, Record, Setup};
use crate::study::points::{Points, Sampling};

/// First step of the search over the size of u: by a sine, a long one leads anywhere.
const FIRST: f64 = 0.2;

/// Rounds of the search from one start, each as many evaluations as there are values sought and one: keys that are held
/// move little, and want no more.
const PATIENCE: usize = 60;

/// Starts: the case itself, and points spread over the ranges of the keys.
const STARTS: usize = 8;

/// Gain in the sum of squares that another start must bring before the one nearest the case is left.
const GAIN: f64 = 1e-6;

/// Share of the noise that a deviation of a held key must move the current by, all rows together, to be looked at.
const SLIGHT: f64 = 0.05;

/// Rounds in which the rows find their weights, and the change of one from which on it is another.
const ROUNDS: usize = 4;
const SAME_WEIGHT: f64 = 0.1;

/// Least change of a weight in a round: rows whose first weight was far off may still find theirs.
const LEAST: f64 = 0.01;

/// Where a search came to rest.
#[derive(Debug, Clone)]
pub(super) struct Rest {
    pub(super) u: DVector<f64>,
    pub(super) sum: f64,
    pub(super) settled: bool,
}

/// The best of all starts, and the others.
#[derive(Debug, Clone)]
pub(super) struct Search {
    /// Root mean square of each current's residuals of the case itself, before anything is fitted \[A\].
    pub(super) before: Vec<f64>,
    pub(super) best: Rest,
    /// Those that came to rest, with the root mean square of all currents' residuals there \[A\].
    pub(super) others: Vec<(Rest, f64)>,
}

/// The problem at a point.
struct Problem<'a> {
    setup: &'a Setup,
    u: DVector<f64>,
    residuals: Option<DVector<f64>>,
}

impl LeastSquaresProblem<f64, Dyn, Dyn> for Problem<'_> {
    type ResidualStorage = Owned<f64, Dyn>;
    type JacobianStorage = Owned<f64, Dyn, Dyn>;
    type ParameterStorage = Owned<f64, Dyn>;

    fn set_params(&mut self, u: &DVector<f64>) {
        self.u.copy_from(u);
        // A step into an invalid case is a bad step, not the end of the search.
        let none = || self.setup.none();
        self.residuals = Some(self.setup.residuals(&self.u).unwrap_or_else(none));
    }

    fn params(&self) -> DVector<f64> {
        self.u.clone()
    }

    fn residuals(&self) -> Option<DVector<f64>> {
        self.residuals.clone()
    }

    fn jacobian(&self) -> Option<DMatrix<f64>> {
        self.setup.jacobian(&self.u)
    }
}

/// Goes down from every start.
///
/// # Errors
/// When the case itself, or what all the starts lead to, cannot be set beside the trace.
pub(super) fn search(setup: &Setup) -> Result<Search, FitError> {
    let setup = &Setup {
        known: Vec::new(),
        ..setup.clone()
    };
    let first = start(setup, 0);
    let before = setup.residuals(&first).ok_or(FitError::NoCurrent)?;
    let mean_squares = |residuals: &DVector<f64>| -> Vec<f64> {
        let left = left(setup, residuals);
        left.iter().map(|l| l.series[0].mean_square).collect()
    };
    let mut rests: Vec<Rest> = (0..STARTS)
        .into_par_iter()
        .filter_map(|n| descend(setup, start(setup, n)))
        .collect();
    let mut best = 0;
    for k in 1..rests.len() {
        if rests[k].sum < rests[best].sum * (1.0 - GAIN) {
            best = k;
        }
    }
    if rests.is_empty() {
        return Err(lost());
    }
    let best = rests.remove(best);
    let rms = |rest: &Rest| -> Option<f64> {
        let squares = mean_squares(&setup.residuals(&rest.u)?);
        Some((squares.iter().sum::<f64>() / squares.len() as f64).sqrt())
    };
    let settled = rests.into_iter().filter(|r| r.settled);
    let others = settled.filter_map(|rest| rms(&rest).map(|rms| (rest, rms)));
    let others = others.collect();
    let before = mean_squares(&before).into_iter();
    Ok(Search {
        before: before.map(f64::sqrt).collect(),
        best,
        others,
    })
}

/// Goes on from where a search without them came to rest with the keys that their spreads hold, as far as they matter:
/// the setup with those, its rows weighed by what is left of them.
pub(super) fn polish(setup: &Setup, plain: &Rest) -> Option<(Setup, Rest)> {
    let mut setup = setup.clone();
    let extended = |known: usize| {
        let held = std::iter::repeat_n(CENTRE, known);
        DVector::from_vec(plain.u.iter().copied().chain(held).collect())
    };
    let rows: usize = setup.records.iter().map(Record::residuals).sum();
    let first = setup.sought();
    let rates = setup.jacobian(&extended(setup.known.len()))?;
    let matters = |k: usize| rates.column(first + k).rows(0, rows).norm() > SLIGHT;
    let all = std::mem::take(&mut setup.known).into_iter().enumerate();
    setup.known = all
        .filter(|(k, _)| matters(*k))
        .map(|(_, known)| known)
        .collect();
    let mut rest = Rest {
        u: extended(setup.known.len()),
        ..plain.clone()
    };
    if !setup.weighs() {
        return Some((setup, rest));
    }
    let mut found = left(&setup, &setup.residuals(&rest.u)?);
    for _ in 0..ROUNDS {
        // Of no noise at all no key that is held can explain more: the search would follow the errors of the sums.
        if explained(&setup, &found) {
            break;
        }
        rest = descend(&setup, rest.u)?;
        found = left(&setup, &setup.residuals(&rest.u)?);
        let mut same = true;
        for (record, left) in setup.records.iter_mut().zip(&found) {
            let pairs = record.noise.iter_mut().zip(&left.series);
            for (noise, series) in pairs.filter(|(_, s)| !s.rows.is_empty()) {
                let found = series.deviation.max(LEAST * *noise);
                same &= (found / *noise - 1.0).abs() < SAME_WEIGHT;
                *noise = found;
            }
        }
        if same {
            break;
        }
    }
    Some((setup, rest))
}

/// Whether less is left of every trace than anybody measures.
fn explained(setup: &Setup, found: &[Left]) -> bool {
    let mut pairs = setup.records.iter().zip(found);
    pairs.all(|(record, left)| {
        let rms = left.series.each_ref().map(|s| s.mean_square.sqrt());
        record.noiseless(rms[0]) && rms[1] <= record.floor()[1]
    })
}

/// The error of a search that ended where no case is.
pub(super) fn lost() -> FitError {
    FitError::Unsettled("the values left the range of valid cases".into())
}

/// The points the other starts lie at.
const POINTS: Points = Points {
    sampling: Sampling::Sobol,
    seed: 1,
};

/// Start `n`: the case's own values, then points spread evenly over the ranges of the keys.
fn start(setup: &Setup, n: usize) -> DVector<f64> {
    let keys = setup.free.len();
    let mut shares = vec![0.0; keys];
    POINTS.fill(n, &mut shares);
    DVector::from_fn(setup.unknowns(), |k, _| {
        if n == 0 || k >= keys {
            return setup.place(k, setup.start(k));
        }
        Setup::share(0.05 + 0.9 * shares[k])
    })
}

/// All of them, then the case's own values with each key by itself near either end of its range.
pub(super) fn starts(setup: &Setup) -> impl Iterator<Item = DVector<f64>> + '_ {
    let ends = (0..setup.free.len()).flat_map(|k| [(k, 0.0), (k, 1.0)]);
    let ends = ends.map(|(k, share)| {
        let mut u = start(setup, 0);
        u[k] = Setup::share(share);
        u
    });
    (0..STARTS).map(|n| start(setup, n)).chain(ends)
}

/// Goes down from a start. The search may stop at a kink of the model, as where the pip bursts; from there it
/// goes on. `None` where the start is not a valid case.
pub(super) fn descend(setup: &Setup, u: DVector<f64>) -> Option<Rest> {
    let mut best = Rest {
        sum: setup.residuals(&u)?.norm_squared(),
        u,
        settled: false,
    };
    let evaluations = PATIENCE * (setup.sought() + 1);
    let patience = evaluations.div_ceil(setup.unknowns() + 1);
    for _ in 0..4 {
        let problem = Problem {
            setup,
            residuals: setup.residuals(&best.u),
            u: best.u.clone(),
        };
        let (found, report) = LevenbergMarquardt::new()
            .with_patience(patience)
            .with_stepbound(FIRST)
            .with_tol(1e-10)
            .minimize(problem);
        let Some(residuals) = &found.residuals else {
            break;
        };
        let sum = residuals.norm_squared();
        // Beside keys that are held nothing more is sought once nothing is left.
        let done = !setup.known.is_empty() && explained(setup, &left(setup, residuals));
        let at_rest = sum >= best.sum * (1.0 - 1e-9);
        best.settled = done
            || report.termination.was_successful()
            || matches!(
                report.termination,
                TerminationReason::NoImprovementPossible(_)
            );
        if sum < best.sum {
            (best.u, best.sum) = (found.u, sum);
        }
        // From the same place it would go the same way again.
        if at_rest || done {
            break;
        }
    }
    Some(best)
}
