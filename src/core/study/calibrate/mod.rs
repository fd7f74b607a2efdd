//! What test welds say of a rig: the model's figures and the rig's own, by Bayes' rule.

pub mod advice;
pub mod course;
pub mod found;
pub mod likelihood;
pub mod posterior;
pub mod predicted;
pub mod sampler;
pub mod settings;
pub mod spreads;
pub mod suspects;
pub mod unknowns;
pub mod weld;
pub mod words;

#[cfg(test)]
mod tests;

use std::iter::zip;

use crate::case::Case;
use crate::case::tolerance::{Amount, Tolerances};
use crate::simulation::fire::{Settings, Workspace};
use course::{Computed, every};
use likelihood::{Fit, Look, fit, most};
use predicted::Predicted;
use sampler::{Effort, NoSample, Sampled, Way, sample};
use spreads::Spreads;
use unknowns::Unknowns;
use weld::Welds;

/// Unevenness of the fill of a tool that is held square, in its logarithm.
const LEAST_UNEVEN: f64 = 0.05;

/// Test welds beside the case of their rig.
#[derive(Debug, Clone)]
pub struct Problem {
    /// The case as it stands: before any weld the unknowns lie about its values.
    pub base: Case,
    /// What was welded and seen.
    pub welds: Welds,
    /// What is not known.
    pub unknowns: Unknowns,
    /// Spreads that are learnt along.
    pub spreads: Spreads,
    /// How the welds are looked at.
    pub look: Look,
    /// How each is fired.
    pub settings: Settings,
    /// Time between the rows of a computed trace \[s\]; `None` where no weld has a measured one.
    pub every: Option<f64>,
}

impl Problem {
    /// Sets test welds beside a case.
    ///
    /// # Errors
    /// In words, where a spread does not fit its key.
    pub fn new(base: Case, tolerances: &Tolerances, welds: Welds) -> Result<Problem, String> {
        let unknowns = Unknowns::of(tolerances, std::iter::once(&base).chain(&welds.cases))?;
        let traces = welds.welds.iter().filter_map(|weld| weld.seen.course);
        let shortest = traces.map(|course| course.width).min_by(f64::total_cmp);
        let back = welds.welds.iter().any(|weld| weld.seen.back.is_some());
        Ok(Problem {
            look: Look {
                uneven: uneven(&base, tolerances),
            },
            spreads: Spreads::of(welds.welds.iter().map(|weld| &weld.seen)),
            settings: match back {
                true => Settings::default(),
                false => Settings::frozen(),
            },
            every: shortest.map(every),
            unknowns,
            welds,
            base,
        })
    }

    /// Scores of a sample: those of the unknowns, then those of the spreads.
    pub fn dimensions(&self) -> usize {
        self.unknowns.count() + self.spreads.learnt.len()
    }

    /// The scores of the spreads in a sample.
    pub fn of_spreads<'a>(&self, scores: &'a [f64]) -> &'a [f64] {
        &scores[self.unknowns.count()..]
    }

    /// What every setting that was welded should look like; `None` where one cannot be fired.
    pub fn predicted(&self, scores: &[f64], work: &mut Workspace) -> Option<Vec<Predicted>> {
        let cases = self.welds.cases.iter();
        cases
            .map(|case| {
                let case = self.unknowns.case(case, scores)?;
                self.weld(&case, work)
            })
            .collect()
    }

    /// What a weld of this case should look like; `None` where it cannot be fired.
    pub fn weld(&self, case: &Case, work: &mut Workspace) -> Option<Predicted> {
        let mut predicted = Predicted::of(case, &self.settings, work)?;
        predicted.course = self.every.and_then(|every| Computed::of(case, every));
        Some(predicted)
    }

    /// How each weld fits, at these scores; `None` where one cannot be fired.
    pub fn fits(&self, scores: &[f64], work: &mut Workspace) -> Option<Vec<Fit>> {
        let predicted = self.predicted(scores, work)?;
        let spreads = self.spreads.values(self.of_spreads(scores));
        let welds = self.welds.welds.iter();
        Some(
            welds
                .map(|weld| fit(&weld.seen, &predicted[weld.case], &spreads, self.look))
                .collect(),
        )
    }

    /// Logarithm of the likelihood of these scores; −∞ where a weld cannot be fired, and as soon as what is left to be fired
    /// cannot bring it to what is `needed`.
    fn log(&self, scores: &[f64], needed: f64, work: &mut Workspace) -> f64 {
        let spreads = self.spreads.values(self.of_spreads(scores));
        let welds = &self.welds.welds;
        // At first the most each weld can have.
        let mut logs: Vec<f64> = welds.iter().map(|w| most(&w.seen, &spreads)).collect();
        for (number, case) in self.welds.cases.iter().enumerate() {
            if logs.iter().sum::<f64>() < needed {
                return f64::NEG_INFINITY;
            }
            let case = self.unknowns.case(case, scores);
            let Some(predicted) = case.and_then(|case| self.weld(&case, work)) else {
                return f64::NEG_INFINITY;
            };
            for (log, weld) in zip(&mut logs, welds).filter(|(_, w)| w.case == number) {
                *log = fit(&weld.seen, &predicted, &spreads, self.look).log();
            }
        }
        logs.iter().sum()
    }

    /// Whether samples that were kept are those of this problem: they have its shape, and a sample the likelihood it says.
    pub fn knows(&self, way: &Way, effort: Effort) -> bool {
        let (all, mut work) = (way.particles(), Workspace::default());
        let mut ends = all.first().into_iter().chain(all.last());
        way.suits(self.dimensions(), effort)
            && ends.all(|p| self.log(&p.scores, f64::NEG_INFINITY, &mut work) == p.fit)
    }

    /// Samples the posterior, from the prior on or from where another run has been; `step` sees the samples after each
    /// round of moves and says whether to go on.
    ///
    /// # Errors
    /// When the caller ends it, or no start can be fired.
    pub fn sample(
        &self,
        effort: Effort,
        from: Option<Way>,
        step: impl FnMut(&Way) -> bool,
    ) -> Result<Sampled, NoSample> {
        let log =
            |work: &mut Workspace, scores: &[f64], needed: f64| self.log(scores, needed, work);
        sample(self.dimensions(), effort, from, log, step)
    }
}

/// Unevenness that the tilt adds from weld to weld.
fn uneven(case: &Case, tolerances: &Tolerances) -> f64 {
    let all = tolerances.of(case);
    let tilt = all.iter().find(|t| t.address.to_string() == "tool.tilt");
    let tilt = tilt.map_or(0.0, |tilt| match tilt.spread.amount {
        Amount::Absolute(size) => size,
        Amount::Share(share) => share * case.tool.tilt,
    });
    let lean = tilt.tan() / case.stud.cone.tan().max(1e-3);
    lean.ln_1p().max(LEAST_UNEVEN)
}
