//! What is not known of a rig: the model's own figures, and tolerances that nobody measured.

use crate::case::Case;
use crate::case::check::check;
use crate::case::keys::Address;
use crate::case::tolerance::{Amount, Tolerance, Tolerances};
use crate::study::points::share;
use crate::study::range::Vary;
use crate::study::scatter::draw::Draw;

/// Tolerances that are another value in each shot: they blur the welds and cannot be learnt from them.
const OF_EACH_SHOT: [&str; 2] = ["tool.tilt", "lead.temperature"];

/// An unknown: the value the case has, and how well it is known before any weld.
#[derive(Debug, Clone, PartialEq)]
pub struct Unknown {
    /// Key, value and spread.
    pub draw: Draw,
    /// Whether it belongs to the rig and its studs, and not to the model.
    pub of_rig: bool,
}

impl Unknown {
    /// Value of the key in the base case at a normal score \[SI\].
    pub fn value(&self, score: f64) -> f64 {
        self.draw.at(share(score))
    }

    /// What it makes of a value that a row gives: off by as much as the base's value is, or by the same share.
    fn beside(&self, given: f64, score: f64) -> f64 {
        let (base, drawn) = (self.draw.value, self.value(score));
        match self.draw.tolerance.spread.amount {
            _ if given == base => drawn,
            Amount::Share(_) if base != 0.0 => given * drawn / base,
            _ => given + drawn - base,
        }
    }
}

/// The unknowns of some cases that stand for one rig.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Unknowns {
    /// Each key once, those of the model first.
    pub all: Vec<Unknown>,
}

impl Unknowns {
    /// Those of a base case and of others that were welded.
    ///
    /// # Errors
    /// In words, where a spread does not fit its key.
    pub fn of<'a>(
        tolerances: &Tolerances,
        cases: impl IntoIterator<Item = &'a Case>,
    ) -> Result<Unknowns, String> {
        let mut found: Vec<Unknown> = Vec::new();
        for case in cases {
            let model = tolerances.of_model(case).into_iter().map(|t| (false, t));
            let rig = tolerances.of(case).into_iter().filter(learnt);
            for (of_rig, tolerance) in model.chain(rig.map(|t| (true, t))) {
                let known = |u: &Unknown| *u.draw.address() == tolerance.address;
                if !found.iter().any(known) {
                    let draw = Draw::new(case, tolerance).map_err(|e| e.to_string())?;
                    found.push(Unknown { draw, of_rig });
                }
            }
        }
        found.sort_by_key(|unknown| unknown.of_rig);
        Ok(Unknowns { all: found })
    }

    /// How many.
    pub fn count(&self) -> usize {
        self.all.len()
    }

    /// A case with keys turned to these values, and the unknowns at these scores; `None` where that makes no valid case.
    pub fn set<'a>(
        &self,
        turned: impl IntoIterator<Item = (&'a Vary, f64)>,
        base: &Case,
        scores: &[f64],
    ) -> Option<Case> {
        let mut set = base.clone();
        for (vary, value) in turned {
            vary.address.set_number(&mut set, value).ok()?;
        }
        self.case(&set, scores)
    }

    /// A case with the unknowns at these scores; `None` where they make no valid case.
    pub fn case(&self, base: &Case, scores: &[f64]) -> Option<Case> {
        let mut case = base.clone();
        // What the bank really has may lie above what it may be set to.
        case.bank.voltage_max = None;
        for (unknown, score) in self.all.iter().zip(scores) {
            let address: &Address = unknown.draw.address();
            // A metal or a size of another weld plays no part here.
            let Some(given) = address.number(base) else {
                continue;
            };
            let value = unknown.beside(given, *score);
            let range = &unknown.draw.number.range;
            address
                .set_number(&mut case, value.clamp(range.least, range.most))
                .ok()?;
        }
        check(&case).is_empty().then_some(case)
    }
}

fn learnt(tolerance: &Tolerance) -> bool {
    let key = tolerance.address.to_string();
    !OF_EACH_SHOT.contains(&key.as_str())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn unknowns(cases: &[Case]) -> Unknowns {
        Unknowns::of(&Tolerances::default(), cases).unwrap()
    }

    #[test]
    fn figures_of_the_model_and_of_the_rig_are_unknown_once_each() {
        let mut small = Case::default();
        small.set("stud.size", "M3").unwrap();
        let all = unknowns(&[Case::default(), small]);
        let keys: Vec<String> = all
            .all
            .iter()
            .map(|u| u.draw.address().to_string())
            .collect();
        assert!(keys.contains(&"arc.fall".into()) && keys.contains(&"stud.cone".into()));
        assert!(!keys.contains(&"tool.tilt".into()));
        let mut once = keys.clone();
        once.sort();
        once.dedup();
        assert_eq!(once.len(), keys.len());
    }

    #[test]
    fn the_median_leaves_a_case_as_it_is_and_shares_go_with_what_a_row_gives() {
        let all = unknowns(&[Case::default()]);
        let mut row = Case::default();
        row.tool.spring_force = 100.0;
        row.stud.flange *= 1.2;
        let place = |key: &str| {
            let at = |u: &Unknown| u.draw.address().to_string() == key;
            all.all.iter().position(at).unwrap()
        };
        let mut scores = vec![0.0; all.count()];
        scores[place("tool.spring_force")] = 1.0;
        scores[place("stud.flange")] = 1.0;
        let case = all.case(&row, &scores).unwrap();
        // A spring of 3 % is off by as many newtons more as it is stronger, a flange of 0.1 mm by the same.
        assert!((case.tool.spring_force - 103.0).abs() < 1e-9);
        let base = all.case(&Case::default(), &scores).unwrap();
        let off = base.stud.flange - Case::default().stud.flange;
        assert!(off > 0.0 && (case.stud.flange - row.stud.flange - off).abs() < 1e-12);
        assert!((case.stud.cone - row.stud.cone).abs() < 1e-9);
    }
}
