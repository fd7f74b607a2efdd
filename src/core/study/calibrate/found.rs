//! A calibration from the test welds to the calibrated case.

use super::Problem;
use super::advice::{Advice, Question, advise};
use super::posterior::{NARROWER, Posterior};
use super::sampler::{Effort, NoSample, Sampled, Way};
use super::settings::Windows;
use super::suspects::{Suspect, suspects};
use crate::case::Case;
use crate::case::check::check;
use crate::case::keys::UNCERTAINTY;
use crate::case::model::OWN;
use crate::case::tolerance::Amount;
use crate::study::points::{Points, Sampling};
use crate::study::range::Vary;

/// Rigs whose windows are found, before the welds and after.
const RIGS: usize = 96;

/// Way of a mean from the case's value, over its deviation, that goes into the calibrated case though the figure is known no
/// better: many small ones together move the window.
const MOVED: f64 = 0.2;

/// What is asked of a calibration.
#[derive(Debug, Clone)]
pub struct Asked {
    /// Keys that may be set; the window is that of the first.
    pub vary: Vec<Vary>,
    /// Step of the first key's dial \[SI\].
    pub step: f64,
    /// Welds to be advised; 0 for none.
    pub next: usize,
    /// How the posterior is sampled.
    pub effort: Effort,
    /// Samples of a run before, to go on from.
    pub kept: Option<Way>,
}

/// What a calibration found.
#[derive(Debug, Clone)]
pub struct Found {
    /// The welds beside their case.
    pub problem: Problem,
    /// What was asked.
    pub asked: Asked,
    /// Samples of the posterior.
    pub sampled: Sampled,
    /// What is known of each unknown.
    pub posterior: Posterior,
    /// Windows of the first key before the welds.
    pub before: Windows,
    /// And after.
    pub after: Windows,
    /// Welds that do not fit.
    pub suspects: Vec<Suspect>,
    /// Welds worth making next, if asked for.
    pub advice: Option<Advice>,
}

/// What a calibration is at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Stage<'a> {
    /// The posterior is sampled.
    Sampling(&'a Way),
    /// A window of a rig or a weld to be made is weighed.
    Weighing,
}

impl Stage<'_> {
    /// About how many hundredths of the way are done.
    pub fn percent(self) -> usize {
        match self {
            // The power grows by about the same factor at each step.
            Stage::Sampling(way) => (80.0 * (1.0 + way.power().max(1e-3).log10() / 3.0)) as usize,
            Stage::Weighing => 90,
        }
    }
}

/// Calibrates a rig; `step` is told how far it is and says whether to go on.
///
/// # Errors
/// When the caller ends it, or no rig of the prior can be welded.
pub fn calibrate(
    problem: Problem,
    mut asked: Asked,
    step: impl Fn(Stage<'_>) -> bool + Sync,
) -> Result<Found, NoSample> {
    let kept = asked.kept.take();
    let sampled = problem.sample(asked.effort, kept, |way| step(Stage::Sampling(way)))?;
    let posterior = Posterior::of(&problem, &sampled);
    let go_on = || match step(Stage::Weighing) {
        true => Ok(()),
        false => Err(NoSample::Stopped),
    };
    go_on()?;
    let prior = prior(&problem, asked.effort.seed);
    let prior: Vec<&[f64]> = prior.iter().map(Vec::as_slice).collect();
    let every = (sampled.particles.len() / RIGS).max(1);
    let some = sampled.particles.iter().step_by(every);
    let rigs: Vec<&[f64]> = some.map(|p| p.scores.as_slice()).collect();
    let (base, unknowns) = (&problem.base, &problem.unknowns);
    let before = Windows::of(base, unknowns, &asked.vary[0], &prior);
    go_on()?;
    let after = Windows::of(base, unknowns, &asked.vary[0], &rigs);
    go_on()?;
    let question = Question {
        vary: &asked.vary,
        rigs: &rigs,
        windows: &after.windows,
        step: asked.step,
        welds: asked.next,
    };
    let advice = match asked.next {
        0 => None,
        _ => {
            let weighed = || step(Stage::Weighing);
            Some(advise(&problem, &question, weighed).ok_or(NoSample::Stopped)?)
        }
    };
    Ok(Found {
        suspects: suspects(&problem, &sampled, &posterior.outliers),
        problem,
        asked,
        posterior,
        before,
        after,
        advice,
        sampled,
    })
}

/// Scores of rigs as they are known before the welds.
fn prior(problem: &Problem, seed: u64) -> Vec<Vec<f64>> {
    let points = Points {
        sampling: Sampling::Sobol,
        seed: !seed,
    };
    (0..RIGS)
        .map(|n| points.scores(n, problem.dimensions()))
        .collect()
}

impl Found {
    /// The case with what the welds say: each figure they say something of at its mean, as well known as it is now, and the
    /// others where their means have moved.
    ///
    /// # Errors
    /// In words, where the means together make no valid case.
    pub fn case(&self) -> Result<Case, String> {
        let mut case = self.problem.base.clone();
        let unknowns = &self.problem.unknowns.all;
        for (unknown, marginal) in unknowns.iter().zip(&self.posterior.marginals) {
            let address = unknown.draw.address();
            let Some(value) = address.number(&case) else {
                continue;
            };
            let narrower = marginal.narrowed < NARROWER;
            let turned = self.asked.vary.iter().any(|vary| vary.address == *address);
            let moved = (marginal.mean - value).abs() > MOVED * marginal.deviation && !turned;
            if narrower || moved {
                let set = address.set_number(&mut case, marginal.mean);
                set.map_err(|e| e.to_string())?;
            }
            if narrower {
                let known = marginal.deviation;
                case.uncertainty.insert(address.to_string(), known);
            }
        }
        match check(&case).first() {
            Some(broken) => Err(broken.to_string()),
            None => Ok(case),
        }
    }

    /// The same as overrides, `KEY=VALUE`, to be put on the case before: the values, then how well they are known.
    ///
    /// # Errors
    /// As [`Found::case`].
    pub fn overrides(&self) -> Result<Vec<String>, String> {
        let case = self.case()?;
        let mut out = [Vec::new(), Vec::new()];
        // A size all of whose measures are given would be one of the user's own.
        if case.stud.size != OWN {
            out[0].push(format!("stud.size={}", case.stud.size));
        }
        for unknown in &self.problem.unknowns.all {
            let (address, number) = (unknown.draw.address(), &unknown.draw.number);
            let key = address.to_string();
            let (known, before) = (
                case.uncertainty.get(&key),
                self.problem.base.uncertainty.get(&key),
            );
            let value = address.number(&case);
            if let Some(value) =
                value.filter(|_| value != address.number(&self.problem.base) || known != before)
            {
                out[0].push(format!("{address}={}", number.text(value)));
            }
            if let Some(known) = known.filter(|known| Some(*known) != before) {
                let known = Amount::Absolute(*known).text(number);
                out[1].push(format!("{UNCERTAINTY}.{address}={known}"));
            }
        }
        Ok(out.concat())
    }
}
