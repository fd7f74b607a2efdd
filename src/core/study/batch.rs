//! Any number of shots, on all cores, in order, as they come.

use rayon::prelude::*;

use crate::case::Case;
use crate::simulation::fire::{Settings, Workspace, fire};
use crate::simulation::integrator::IntegrationError;
use crate::simulation::rig::Rig;
use crate::simulation::shot::Shot;

/// Cases fired at once: enough to keep all cores busy, few enough to hold in memory.
const CHUNK: usize = 512;

/// Applies `work` to items on all cores and hands the results over in the items' order.
///
/// Streams: at most a chunk of items and results is held, so memory stays constant for any number. Each
/// result depends on its item alone, so the bits are the same for any number of threads.
pub fn in_order<I, R, F>(items: I, work: F) -> Batch<I::IntoIter, R, F>
where
    I: IntoIterator,
    F: Fn(&mut Workspace, I::Item) -> R,
{
    Batch {
        items: items.into_iter(),
        work,
        done: Vec::new().into_iter(),
    }
}

/// Fires cases on all cores; see [`in_order`].
pub fn fire_all<I>(
    cases: I,
    settings: Settings,
) -> impl Iterator<Item = Result<Shot, IntegrationError>>
where
    I: IntoIterator<Item = Case>,
{
    in_order(cases, move |work, case: Case| {
        fire(&Rig::new(&case), &settings, work)
    })
}

/// Results in order; see [`in_order`].
pub struct Batch<I, R, F> {
    items: I,
    work: F,
    done: std::vec::IntoIter<R>,
}

impl<I, R, F> Iterator for Batch<I, R, F>
where
    I: Iterator,
    I::Item: Send,
    R: Send,
    F: Fn(&mut Workspace, I::Item) -> R + Sync,
{
    type Item = R;

    fn next(&mut self) -> Option<R> {
        if let Some(result) = self.done.next() {
            return Some(result);
        }
        let chunk: Vec<I::Item> = self.items.by_ref().take(CHUNK).collect();
        let work = &self.work;
        let results: Vec<R> = chunk
            .into_par_iter()
            .map_init(Workspace::default, work)
            .collect();
        self.done = results.into_iter();
        self.done.next()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cases(n: usize) -> impl Iterator<Item = Case> {
        (0..n).map(|k| {
            let mut case = Case::default();
            case.bank.voltage = 60.0 + 0.1 * k as f64;
            case
        })
    }

    #[test]
    fn same_bits_and_order_for_any_number_of_threads() {
        let settings = Settings::frozen();
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
