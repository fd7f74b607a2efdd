//! Where on a grid of two keys something changes: found between neighbours that differ, by halving.

use rayon::prelude::*;

use super::sweep::{Outcome, Row, Sweep};
use crate::simulation::fire::Workspace;

/// Halvings of the stretch between two neighbours: to a 250th of it.
const HALVINGS: usize = 8;

/// Places between neighbours of a grid, each as a share of the way from the lower one.
#[derive(Debug, Clone)]
pub struct Edges {
    wide: usize,
    across: Vec<Option<f64>>,
    up: Vec<Option<f64>>,
}

impl Edges {
    /// Between value `k` of the second key and the next one, at value `j` of the first; `None` where both are alike.
    pub fn across(&self, k: usize, j: usize) -> Option<f64> {
        self.across[j * self.wide + k]
    }

    /// Between value `j` of the first key and the next one, at value `k` of the second.
    pub fn up(&self, k: usize, j: usize) -> Option<f64> {
        self.up[j * self.wide + k]
    }
}

/// Finds where `label` changes between neighbours of the grid of a sweep of two keys.
pub fn edges<L: PartialEq + Send + Sync>(
    sweep: &Sweep,
    rows: &[Row],
    label: impl Fn(&Outcome) -> L + Sync,
) -> Edges {
    let (tall, wide) = (sweep.vary[0].count, sweep.vary[1].count);
    let labels: Vec<L> = rows.iter().map(|row| label(&row.outcome)).collect();
    let between = |work: &mut Workspace, one: usize, other: usize| -> Option<f64> {
        if labels[one] == labels[other] {
            return None;
        }
        let (a, b) = (&rows[one].values, &rows[other].values);
        let (mut from, mut to) = (0.0, 1.0);
        for _ in 0..HALVINGS {
            let share = 0.5 * (from + to);
            let values = [0, 1].map(|k| a[k] + (b[k] - a[k]) * share);
            if label(&sweep.fire(&values, work)) == labels[one] {
                from = share;
            } else {
                to = share;
            }
        }
        Some(0.5 * (from + to))
    };
    let each = |step: usize, last: fn(usize, usize, usize, usize) -> bool| {
        let all = (0..rows.len()).into_par_iter();
        let found = all.map_init(Workspace::default, |work, at| {
            let (j, k) = (at / wide, at % wide);
            (!last(k, j, wide, tall)).then(|| between(work, at, at + step))?
        });
        found.collect()
    };
    Edges {
        wide,
        across: each(1, |k, _, wide, _| k + 1 == wide),
        up: each(wide, |_, j, _, tall| j + 1 == tall),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::Case;
    use crate::simulation::fire::Settings;
    use crate::study::range::Vary;

    #[test]
    fn an_edge_lies_where_the_label_changes() {
        let base = Case::default();
        let vary = ["bank.voltage=90..130V/3", "tool.spring_force=40..120N/3"];
        let sweep = Sweep {
            vary: vary
                .map(|text| Vary::read(&base, text, 2).unwrap())
                .to_vec(),
            settings: Settings::frozen(),
            base,
        };
        let rows: Vec<Row> = sweep.rows(0).collect();
        // The stored energy is known in closed form: 72 mF store 450 J at 111.803 V.
        let found = edges(&sweep, &rows, |outcome| {
            outcome.figures().is_some_and(|f| f.stored_energy_J > 450.0)
        });
        let volts = (2.0 * 450.0 / 72e-3_f64).sqrt();
        for k in 0..3 {
            assert_eq!(found.up(k, 0), None);
            let share = found.up(k, 1).unwrap();
            assert!((110.0 + 20.0 * share - volts).abs() < 0.05, "{share}");
            assert!((0..3).all(|j| found.across(k, j).is_none()));
        }
    }
}
