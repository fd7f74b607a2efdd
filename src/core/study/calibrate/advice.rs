//! The test weld from which most is learnt about the setting.
//!
//! For each weld that could be made, every rig that may be the true one says how probable each outcome is; an outcome
//! weighs the rigs anew, and so says where the window lies. What is gained is the expected fall of the uncertainty of
//! both ends of the window, as of a normal distribution (D. V. Lindley, Ann. Math. Stat. 27 (1956) 986); what lies within
//! a step of the dial is no gain.

use std::iter::zip;

use nalgebra::{Matrix2, Vector2};
use rayon::prelude::*;

use super::Problem;
use super::likelihood::fit;
use super::predicted::Predicted;
use super::settings::{Ends, middle};
use super::weld::Seen;
use super::words::{Spatter, Witness};
use crate::simulation::fire::{Settings, Workspace};
use crate::study::range::Vary;

/// Values of a key that are weighed, where one is varied and where two are.
const VALUES: [usize; 2] = [31, 9];

/// Least share of a rig among all before an outcome is thought impossible.
const LEAST: f64 = 1e-9;

/// What can be seen on a weld at a glance: rim and spatter.
pub const OUTCOMES: [(Witness, Spatter); 9] = [
    (Witness::None, Spatter::Little),
    (Witness::None, Spatter::Some),
    (Witness::None, Spatter::Much),
    (Witness::Part, Spatter::Little),
    (Witness::Part, Spatter::Some),
    (Witness::Part, Spatter::Much),
    (Witness::Full, Spatter::Little),
    (Witness::Full, Spatter::Some),
    (Witness::Full, Spatter::Much),
];

/// What an outcome would say.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Meaning {
    /// What is seen.
    pub outcome: (Witness, Spatter),
    /// How probable that is.
    pub probability: f64,
    /// Middle of the window it would lead to, and its standard deviation \[SI\].
    pub middle: (f64, f64),
}

/// A weld worth making.
#[derive(Debug, Clone, PartialEq)]
pub struct Next {
    /// Values of the varied keys \[SI\].
    pub values: Vec<f64>,
    /// What is learnt about the ends of the window, expected \[nat\].
    pub gain: f64,
    /// How far the middle of the window is expected to move (root mean square) \[SI\].
    pub moves: f64,
    /// What the welds before it are supposed to show: of each the most probable outcome after those before.
    pub supposed: Vec<(Witness, Spatter)>,
    /// Outcomes after those, the most probable first.
    pub outcomes: Vec<Meaning>,
}

/// Advice on the next welds.
#[derive(Debug, Clone, PartialEq)]
pub struct Advice {
    /// The welds, the most worth making first; each is chosen as if those before it were made. None, though it is not
    /// enough, where hardly a rig welds soundly anywhere in the range.
    pub next: Vec<Next>,
    /// Fewer than asked for: another weld would not move the setting by a step of the dial.
    pub enough: bool,
}

/// What is asked.
#[derive(Debug, Clone, Copy)]
pub struct Question<'a> {
    /// Keys that may be set, each within its range.
    pub vary: &'a [Vary],
    /// Samples of the posterior.
    pub rigs: &'a [&'a [f64]],
    /// Window of each.
    pub windows: &'a [Option<Ends>],
    /// Step of the dial \[SI\].
    pub step: f64,
    /// Most welds.
    pub welds: usize,
}

/// A weld that could be made: values, and rig by rig the probability of each outcome.
struct Candidate {
    values: Vec<f64>,
    outcomes: Vec<[f64; OUTCOMES.len()]>,
}

/// Advises on the next welds; `None` where the caller ends it, who is told of each weld weighed.
pub fn advise(
    problem: &Problem,
    question: &Question,
    step: impl Fn() -> bool + Sync,
) -> Option<Advice> {
    let rigs: Vec<(&[f64], Ends)> = zip(question.rigs, question.windows)
        .filter_map(|(rig, window)| Some((*rig, (*window)?)))
        .collect();
    let mut out = Advice {
        next: Vec::new(),
        enough: false,
    };
    if rigs.len() < 3 {
        return Some(out);
    }
    let points = points(question.vary);
    let candidates = points.into_par_iter().map(|values| {
        let weighed = step().then(|| weigh(problem, question.vary, values, &rigs));
        weighed.ok_or(())
    });
    let candidates: Vec<Candidate> = candidates.collect::<Result<_, ()>>().ok()?;
    let windows: Vec<Ends> = rigs.iter().map(|(_, window)| *window).collect();
    // Weights of the rigs after every course of outcomes of the welds chosen so far, each course with its probability.
    let mut courses = vec![(1.0, vec![1.0 / windows.len() as f64; windows.len()])];
    // Those after the most probable outcome of each.
    let (mut likely, mut supposed) = (courses[0].1.clone(), Vec::new());
    while out.next.len() < question.welds {
        let gains = candidates
            .par_iter()
            .map(|c| gain(c, &courses, &windows, question.step));
        let gains: Vec<f64> = gains.collect();
        let Some(best) = (0..gains.len()).max_by(|a, b| gains[*a].total_cmp(&gains[*b])) else {
            break;
        };
        let candidate = &candidates[best];
        let moves = moves(candidate, &courses, &windows);
        if moves < 0.5 * question.step {
            out.enough = true;
            break;
        }
        let found = meanings(candidate, &likely, &windows);
        let first = found
            .first()
            .map(|(meaning, weights)| (meaning.outcome, weights.clone()));
        out.next.push(Next {
            values: candidate.values.clone(),
            gain: gains[best],
            moves,
            supposed: supposed.clone(),
            outcomes: found.into_iter().map(|(meaning, _)| meaning).collect(),
        });
        if let Some((outcome, weights)) = first {
            likely = weights;
            supposed.push(outcome);
        }
        courses = after(candidate, &courses);
    }
    Some(out)
}

/// The settings that are weighed.
fn points(vary: &[Vary]) -> Vec<Vec<f64>> {
    let count = VALUES[usize::from(vary.len() > 1)];
    let at = |v: &Vary, k: usize| v.from + (v.to - v.from) * k as f64 / (count - 1) as f64;
    vary.iter().fold(vec![Vec::new()], |points, v| {
        let longer =
            |point: Vec<f64>| (0..count).map(move |k| [point.clone(), vec![at(v, k)]].concat());
        points.into_iter().flat_map(longer).collect()
    })
}

fn weigh(problem: &Problem, vary: &[Vary], values: Vec<f64>, rigs: &[(&[f64], Ends)]) -> Candidate {
    let (mut work, settings) = (Workspace::default(), Settings::frozen());
    // What cannot be welded tells nothing: every outcome is as probable.
    let flat = [1.0 / OUTCOMES.len() as f64; OUTCOMES.len()];
    let of_rig = |(scores, _): &(&[f64], Ends)| {
        let turned = zip(vary, values.iter().copied());
        let case = problem.unknowns.set(turned, &problem.base, scores);
        let Some(predicted) = case.and_then(|c| Predicted::of(&c, &settings, &mut work)) else {
            return flat;
        };
        let spreads = problem.spreads.values(problem.of_spreads(scores));
        OUTCOMES.map(|(witness, spatter)| {
            let seen = Seen {
                witness: Some(witness),
                spatter: Some(spatter),
                ..Seen::default()
            };
            fit(&seen, &predicted, &spreads, problem.look).log().exp()
        })
    };
    Candidate {
        outcomes: rigs.iter().map(of_rig).collect(),
        values,
    }
}

/// The courses that each outcome of another weld makes of these.
fn after(candidate: &Candidate, courses: &[(f64, Vec<f64>)]) -> Vec<(f64, Vec<f64>)> {
    let with = |(probability, weights): &(f64, Vec<f64>), outcome: usize| {
        let joint = zip(weights, &candidate.outcomes).map(|(w, p)| w * p[outcome]);
        let joint: Vec<f64> = joint.collect();
        let sum: f64 = joint.iter().sum();
        (sum > LEAST).then(|| (probability * sum, joint.iter().map(|w| w / sum).collect()))
    };
    let courses = courses.iter();
    let found = courses.flat_map(|course| (0..OUTCOMES.len()).filter_map(move |k| with(course, k)));
    // What hardly ever happens is not worth following.
    found
        .filter(|(probability, _)| *probability > 1e-4)
        .collect()
}

/// Mean and covariance of the ends of the window.
fn of_windows(weights: &[f64], windows: &[Ends]) -> (Vector2<f64>, Matrix2<f64>) {
    let mut mean = Vector2::zeros();
    for (w, window) in zip(weights, windows) {
        mean += Vector2::from(*window) * *w;
    }
    let mut covariance = Matrix2::zeros();
    for (w, window) in zip(weights, windows) {
        let off = Vector2::from(*window) - mean;
        covariance += off * off.transpose() * *w;
    }
    (mean, covariance)
}

/// Variance of the middle.
fn of_middle(covariance: &Matrix2<f64>) -> f64 {
    0.25 * covariance.sum()
}

/// Expected gain of a weld after these courses \[nat\].
fn gain(candidate: &Candidate, courses: &[(f64, Vec<f64>)], windows: &[Ends], step: f64) -> f64 {
    let known = |weights: &[f64]| {
        let (_, covariance) = of_windows(weights, windows);
        let blurred = covariance + Matrix2::identity() * (step * step / 12.0);
        -0.5 * blurred.determinant().ln()
    };
    courses
        .iter()
        .map(|course| {
            let now = known(&course.1);
            let one = std::slice::from_ref(course);
            let later = after(candidate, one);
            later.iter().map(|(p, w)| p * (known(w) - now)).sum::<f64>()
        })
        .sum()
}

/// How far the middle of the window is expected to move by a weld (root mean square).
fn moves(candidate: &Candidate, courses: &[(f64, Vec<f64>)], windows: &[Ends]) -> f64 {
    let spread = |courses: &[(f64, Vec<f64>)]| -> f64 {
        let of = |(p, w): &(f64, Vec<f64>)| p * of_middle(&of_windows(w, windows).1);
        courses.iter().map(of).sum()
    };
    let (now, then) = (spread(courses), spread(&after(candidate, courses)));
    (now - then).max(0.0).sqrt()
}

/// What each outcome would say of rigs with these weights, the most probable first, and the weights it would lead to.
fn meanings(candidate: &Candidate, before: &[f64], windows: &[Ends]) -> Vec<(Meaning, Vec<f64>)> {
    let of = |k: usize| {
        let joint = zip(before, &candidate.outcomes).map(|(w, p)| w * p[k]);
        let mut weights: Vec<f64> = joint.collect();
        let probability: f64 = weights.iter().sum();
        if probability < LEAST {
            return None;
        }
        weights.iter_mut().for_each(|w| *w /= probability);
        let (mean, covariance) = of_windows(&weights, windows);
        let meaning = Meaning {
            outcome: OUTCOMES[k],
            probability,
            middle: (middle([mean[0], mean[1]]), of_middle(&covariance).sqrt()),
        };
        Some((meaning, weights))
    };
    let mut found: Vec<_> = (0..OUTCOMES.len()).filter_map(of).collect();
    found.sort_by(|(a, _), (b, _)| b.probability.total_cmp(&a.probability));
    found
}
