//! How many shots beside its own a case is worth: work is bounded, whatever its keys.

use crate::simulation::shot::Effort;

/// Work of the shots of a band, and again of the remedies: about a second of one core. An ordinary weld's hundred shots take a
/// fiftieth of it.
const MOST_WORK: u64 = 4_000_000;

/// Shots that every case is worth.
const LEAST: usize = 16;

/// As many of the shots `wanted` as the work allows, each taken to be as laborious as the case's own.
pub fn shots(own: &Effort, wanted: usize) -> usize {
    let allowed = MOST_WORK / own.work().max(1);
    wanted.min(usize::try_from(allowed).unwrap_or(usize::MAX).max(LEAST))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_ordinary_case_gets_all_its_shots_and_a_laborious_one_fewer() {
        let of = |evaluations| Effort {
            evaluations,
            ..Effort::default()
        };
        let allowed = [0, 2_000, 100_000, 10_000_000].map(|work| shots(&of(work), 128));
        assert_eq!(allowed, [128, 128, 40, 16]);
    }
}
