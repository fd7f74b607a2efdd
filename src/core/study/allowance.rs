//! How much work beside its own shot a case is worth: bounded, whatever its keys, and given up once nobody waits for it.

use std::sync::atomic::{AtomicBool, Ordering};

use rayon::prelude::*;

use crate::simulation::fire::Workspace;
use crate::simulation::shot::Effort;

/// Work of all shots beside a case's own: about a second of one core. An ordinary weld's three hundred take a tenth
/// of it.
const MOST_WORK: u64 = 8_000_000;

/// Work of the shots fired together: others get their turn after it.
const WAVE: u64 = 400_000;

/// Most shots fired together.
const MOST_SHOTS: usize = 512;

/// What is never given up.
pub(super) static NEVER: AtomicBool = AtomicBool::new(false);

/// What is left of the work that a case is worth.
///
/// Work is counted, not timed, so that the same shots are fired on every machine.
#[derive(Debug)]
pub struct Allowance<'a> {
    left: u64,
    /// Work of the most laborious shot so far.
    dearest: u64,
    cancelled: &'a AtomicBool,
}

impl Allowance<'static> {
    /// All that a case is worth whose own shot took this effort.
    pub fn beside(own: &Effort) -> Self {
        Allowance {
            left: MOST_WORK,
            dearest: own.work().max(1),
            cancelled: &NEVER,
        }
    }
}

impl Allowance<'_> {
    /// The same, void as soon as `cancelled` is set.
    pub fn until(self, cancelled: &AtomicBool) -> Allowance<'_> {
        Allowance { cancelled, ..self }
    }

    /// Does something with half of what is left; what it does not need is kept.
    pub fn with_half<R>(&mut self, does: impl FnOnce(&mut Allowance) -> R) -> R {
        let kept = self.left / 2;
        self.left -= kept;
        let result = does(self);
        self.left += kept;
        result
    }

    /// Whether nothing more is to be fired.
    pub fn is_spent(&self) -> bool {
        self.left == 0 || self.cancelled.load(Ordering::Relaxed)
    }

    /// Fires shots on all cores until the allowance is spent; the results are in order, those at the end missing then.
    ///
    /// `shoot` gives a result and its work. The bits are the same for any number of threads.
    pub fn each<I, R>(
        &mut self,
        items: impl IntoIterator<Item = I>,
        shoot: impl Fn(&mut Workspace, I) -> (R, u64) + Sync,
    ) -> Vec<R>
    where
        I: Send,
        R: Send,
    {
        let mut items = items.into_iter();
        let mut out = Vec::new();
        while !self.is_spent() {
            let wave: Vec<I> = items.by_ref().take(self.wave()).collect();
            if wave.is_empty() {
                break;
            }
            let shots: Vec<(R, u64)> = wave
                .into_par_iter()
                .map_init(Workspace::default, &shoot)
                .collect();
            for (result, work) in shots {
                self.spend(work);
                out.push(result);
            }
        }
        out
    }

    /// Fires one shot; `None` where the allowance is spent.
    pub fn one<R>(&mut self, shoot: impl FnOnce() -> (R, u64)) -> Option<R> {
        if self.is_spent() {
            return None;
        }
        let (result, work) = shoot();
        self.spend(work);
        Some(result)
    }

    fn spend(&mut self, work: u64) {
        self.left = self.left.saturating_sub(work);
        self.dearest = self.dearest.max(work);
    }

    /// Shots that may be fired together, each taken to be as laborious as the most laborious so far.
    fn wave(&self) -> usize {
        let shots = WAVE.min(self.left) / self.dearest;
        usize::try_from(shots).map_or(MOST_SHOTS, |n| n.clamp(1, MOST_SHOTS))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn beside(evaluations: u64) -> Allowance<'static> {
        Allowance::beside(&Effort {
            evaluations,
            ..Effort::default()
        })
    }

    fn fired(allowance: &mut Allowance, shots: usize, work: u64) -> usize {
        let all = allowance.each(0..shots, |_, k| (k, work));
        assert!(all.iter().copied().eq(0..all.len()));
        all.len()
    }

    #[test]
    fn an_ordinary_case_gets_all_its_shots_and_a_laborious_one_fewer() {
        let shots = [0, 2_000, 100_000, 10_000_000].map(|w| fired(&mut beside(w), 400, w));
        assert_eq!(shots, [400, 400, 80, 1]);
        // Neighbours far more laborious than the shot itself: no more than the first wave of them.
        assert_eq!(fired(&mut beside(2_000), 400, 200_000), 200);
    }

    #[test]
    fn half_is_kept_for_what_follows() {
        let mut purse = beside(100_000);
        assert_eq!(purse.with_half(|half| fired(half, 400, 100_000)), 40);
        assert_eq!(fired(&mut purse, 400, 100_000), 40);
        assert!(purse.is_spent() && purse.one(|| ((), 1)).is_none());
    }

    #[test]
    fn nothing_more_is_fired_once_nobody_waits() {
        let cancelled = AtomicBool::new(false);
        let mut purse = beside(200_000).until(&cancelled);
        let all = purse.each(0..9, |_, k| {
            cancelled.fetch_or(k == 2, Ordering::Relaxed);
            (k, 0)
        });
        assert!(all.len() < 9 && purse.is_spent());
    }
}
