//! The search for the smallest squares, from several starts: Moré's Levenberg-Marquardt (1978) by the crate of
//! that name.

use levenberg_marquardt::{LeastSquaresProblem, LevenbergMarquardt, TerminationReason};
use nalgebra::{DMatrix, DVector, Dyn, Owned};
use rayon::prelude::*;

use super::problem::{FitError, Setup};
use crate::study::points::{Points, Sampling};

/// First step of the search over the size of u: by a sine, a long one leads anywhere.
const FIRST: f64 = 0.2;

/// Rounds of the search from one start, each as many evaluations as there are unknowns and one.
const PATIENCE: usize = 60;

/// Starts: the case itself, and points spread over the ranges of the keys.
const STARTS: usize = 8;

/// Gain in the sum of squares that another start must bring before the one nearest the case is left.
const GAIN: f64 = 1e-6;

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
    /// Residuals of the case itself, before anything is fitted.
    pub(super) before: DVector<f64>,
    pub(super) best: Rest,
    /// Those that came to rest.
    pub(super) others: Vec<Rest>,
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
    let first = start(setup, 0);
    let before = setup.residuals(&first).ok_or(FitError::NoCurrent)?;
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
    let others = rests.into_iter().filter(|r| r.settled).collect();
    Ok(Search {
        before,
        best,
        others,
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

/// Goes down from a start. The search may stop at a kink of the model, as where the pip bursts; from there it
/// goes on. `None` where the start is not a valid case.
pub(super) fn descend(setup: &Setup, u: DVector<f64>) -> Option<Rest> {
    let mut best = Rest {
        sum: setup.residuals(&u)?.norm_squared(),
        u,
        settled: false,
    };
    for _ in 0..4 {
        let problem = Problem {
            setup,
            residuals: setup.residuals(&best.u),
            u: best.u.clone(),
        };
        let (found, report) = LevenbergMarquardt::new()
            .with_patience(PATIENCE)
            .with_stepbound(FIRST)
            .with_tol(1e-10)
            .minimize(problem);
        let Some(residuals) = &found.residuals else {
            break;
        };
        let sum = residuals.norm_squared();
        let at_rest = sum >= best.sum * (1.0 - 1e-9);
        best.settled = report.termination.was_successful()
            || matches!(
                report.termination,
                TerminationReason::NoImprovementPossible(_)
            );
        if sum < best.sum {
            (best.u, best.sum) = (found.u, sum);
        }
        if best.settled && at_rest {
            break;
        }
    }
    Some(best)
}
