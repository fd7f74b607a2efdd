//! One or two keys over a grid of values.

use super::batch::in_order;
pub use super::outcome::Outcome;
use super::range::Vary;
use crate::case::Case;
use crate::simulation::fire::{Settings, Workspace};

/// A base case and the keys varied in it; the last key varies fastest.
#[derive(Debug, Clone)]
pub struct Sweep {
    /// The case the keys are varied in.
    pub base: Case,
    /// Keys with their values, an axis of the grid each.
    pub vary: Vec<Vary>,
    /// How each point is fired.
    pub settings: Settings,
}

/// A point of the grid.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// Values of the varied keys \[SI\].
    pub values: Vec<f64>,
    /// What came of it.
    pub outcome: Outcome,
}

impl Sweep {
    /// Number of points.
    pub fn count(&self) -> usize {
        self.vary.iter().map(|v| v.count).product()
    }

    /// Values of the varied keys at point `index` \[SI\].
    pub fn values(&self, index: usize) -> Vec<f64> {
        let mut rest = index;
        let mut values: Vec<f64> = self
            .vary
            .iter()
            .rev()
            .map(|v| {
                let k = rest % v.count;
                rest /= v.count;
                v.value(k)
            })
            .collect();
        values.reverse();
        values
    }

    /// Fires point `index`.
    pub fn row(&self, index: usize, work: &mut Workspace) -> Row {
        let values = self.values(index);
        let outcome = self.fire(&values, work);
        Row { values, outcome }
    }

    /// Fires the case with these values of the varied keys \[SI\].
    pub fn fire(&self, values: &[f64], work: &mut Workspace) -> Outcome {
        let addresses = self.vary.iter().map(|v| &v.address);
        let changes = addresses.zip(values.iter().copied());
        Outcome::of(&self.base, changes, &self.settings, work)
    }

    /// Fires all points from `first` on, on all cores, in order, streaming.
    pub fn rows(&self, first: usize) -> impl Iterator<Item = Row> {
        in_order(first..self.count(), |work, index| self.row(index, work))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::simulation::fire::fire;
    use crate::simulation::rig::Rig;
    use crate::study::range::USUAL;

    fn sweep(texts: &[&str]) -> Sweep {
        let base = Case::default();
        let vary = texts
            .iter()
            .map(|t| Vary::read(&base, t, USUAL).unwrap())
            .collect();
        Sweep {
            base,
            vary,
            settings: Settings::default(),
        }
    }

    #[test]
    fn the_last_key_varies_fastest_and_rows_start_anywhere() {
        let s = sweep(&["bank.voltage=90..130 V/3", "tool.spring_force=60..100 N/5"]);
        assert_eq!(s.count(), 15);
        assert_eq!(s.values(7), [110.0, 80.0]);
        let all: Vec<Row> = s.rows(0).collect();
        let late: Vec<Row> = s.rows(11).collect();
        assert_eq!(all[11..], late);
        let plain = fire(
            &Rig::new(&{
                let mut case = Case::default();
                case.bank.voltage = 110.0;
                case
            }),
            &s.settings,
            &mut Workspace::default(),
        );
        assert_eq!(all[7].outcome.figures(), Some(&plain.unwrap().figures));
    }

    #[test]
    fn values_that_make_no_case_are_told_not_fired() {
        let s = sweep(&["arc.to_stud=0.3..0.9/3"]);
        let rows: Vec<Row> = s.rows(0).collect();
        assert!(rows[0].outcome.figures().is_some());
        assert!(matches!(&rows[2].outcome, Outcome::None(why) if why.contains("power")));
    }
}
