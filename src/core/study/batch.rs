//! Any number of shots, on all cores, in order, as they come.

use std::sync::mpsc::sync_channel;
use std::thread;

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

/// Applies `work` to items on all cores and hands the results to `each` in the items' order, as [`in_order`] does, but goes on
/// working meanwhile: what takes its time with the results, as a file does, keeps no core waiting.
///
/// The work is that of rayon's global pool, whatever pool the caller is in.
///
/// # Errors
/// The first of `each`, which ends it; a chunk that is under way is waited for.
pub fn each_in_order<I, R, E, F>(
    items: I,
    work: F,
    mut each: impl FnMut(R) -> Result<(), E>,
) -> Result<(), E>
where
    I: IntoIterator<IntoIter: Send>,
    I::Item: Send,
    R: Send,
    F: Fn(&mut Workspace, I::Item) -> R + Sync,
{
    let (mut items, work) = (items.into_iter(), &work);
    thread::scope(|scope| {
        // One chunk waits while one is made and one is taken.
        let (send, receive) = sync_channel(1);
        scope.spawn(move || {
            loop {
                let results = chunk(&mut items, work);
                if results.is_empty() || send.send(results).is_err() {
                    return;
                }
            }
        });
        receive.into_iter().flatten().try_for_each(&mut each)
    })
}

/// The next results, in order; none at the end.
fn chunk<I, R, F>(items: &mut I, work: &F) -> Vec<R>
where
    I: Iterator,
    I::Item: Send,
    R: Send,
    F: Fn(&mut Workspace, I::Item) -> R + Sync,
{
    let chunk: Vec<I::Item> = items.take(CHUNK).collect();
    chunk
        .into_par_iter()
        .map_init(Workspace::default, work)
        .collect()
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
        self.done = chunk(&mut self.items, &self.work).into_iter();
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

    #[test]
    fn results_come_in_order_while_others_are_made_until_one_is_refused() {
        let until = |last: usize| {
            let mut taken = Vec::new();
            let ended = each_in_order(
                0..5 * CHUNK,
                |_, n| 2 * n,
                |twice| {
                    taken.push(twice / 2);
                    if twice / 2 == last { Err(()) } else { Ok(()) }
                },
            );
            assert!(taken.iter().copied().eq(0..taken.len()), "out of order");
            (ended, taken.len())
        };
        assert_eq!(until(3 * CHUNK + 7), (Err(()), 3 * CHUNK + 8));
        assert_eq!(until(usize::MAX), (Ok(()), 5 * CHUNK));
    }
}
