//! Any number of shots, on all cores, in order, as they come.

use rayon::prelude::*;

use crate::case::Case;
use crate::cycle::fire::{Settings, Workspace, fire};
use crate::cycle::march::MarchError;
use crate::cycle::rig::Rig;
use crate::cycle::shot::Shot;

/// Cases fired at once: enough to keep all cores busy, few enough to hold in memory.
const CHUNK: usize = 512;

/// Fires cases on all cores and hands the shots over in the cases' order.
///
/// Streams: at most a chunk of cases and shots is held, so memory stays flat for any number. Each
/// shot depends on its case alone, so the bits are the same for any number of threads.
pub fn fire_all<I>(cases: I, settings: Settings) -> Batch<I::IntoIter>
where
    I: IntoIterator<Item = Case>,
{
    Batch {
        cases: cases.into_iter(),
        settings,
        done: Vec::new().into_iter(),
    }
}

/// Shots in order; see [`fire_all`].
pub struct Batch<I> {
    cases: I,
    settings: Settings,
    done: std::vec::IntoIter<Result<Shot, MarchError>>,
}

impl<I: Iterator<Item = Case>> Iterator for Batch<I> {
    type Item = Result<Shot, MarchError>;

    fn next(&mut self) -> Option<Self::Item> {
        if let Some(shot) = self.done.next() {
            return Some(shot);
        }
        let chunk: Vec<Case> = self.cases.by_ref().take(CHUNK).collect();
        let settings = self.settings;
        let shots: Vec<_> = chunk
            .par_iter()
            .map_init(Workspace::default, |work, case| {
                fire(&Rig::new(case), &settings, work)
            })
            .collect();
        self.done = shots.into_iter();
        self.done.next()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cycle::heating::Until;

    fn cases(n: usize) -> impl Iterator<Item = Case> {
        (0..n).map(|k| {
            let mut case = Case::default();
            case.bank.voltage = 60.0 + 0.1 * k as f64;
            case
        })
    }

    #[test]
    fn same_bits_and_order_for_any_number_of_threads() {
        let settings = Settings {
            until: Until::Frozen,
            ..Settings::default()
        };
        let run = |threads: usize| -> Vec<Shot> {
            let pool = rayon::ThreadPoolBuilder::new()
                .num_threads(threads)
                .build()
                .unwrap();
            pool.install(|| fire_all(cases(700), settings).map(Result::unwrap).collect())
        };
        let (one, four) = (run(1), run(4));
        assert_eq!(one.len(), 700);
        assert!(one == four, "the shots differ with the number of threads");
        let stored: Vec<f64> = one.iter().map(|s| s.figures.stored_energy_J).collect();
        assert!(stored.windows(2).all(|w| w[0] < w[1]), "out of order");
    }
}
