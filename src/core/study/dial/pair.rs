//! The pair of values of two keys with the widest margin.
//!
//! The margin of a pair is half the window of one key at that value of the other, or less where the
//! other may be less far off. A grid finds where the weld is sound, halving the ends of the window at each
//! value of the other key, and narrowing the widest of them.

use rayon::prelude::*;

use super::Dial;
use super::nowhere::{Nowhere, nowhere};
use super::search::{Pair, Search};
use crate::simulation::fire::Workspace;
use crate::study::sweep::Outcome;

/// Values tried over the range of each key, and where the question is only about how wide.
const ACROSS: usize = 49;
const FEW: usize = 25;

impl Dial {
    /// The pair of values with the widest margin, and each key's window through it.
    ///
    /// # Errors
    /// Where the weld is sound nowhere: why.
    pub fn pair(&self) -> Result<Pair, Nowhere> {
        self.widest_of(&[0, 1])
    }

    /// The value of key 1 at which the window of key 0 has the widest margin, and key 0 in its middle.
    ///
    /// # Errors
    /// Where the weld is sound nowhere: why.
    pub fn widest(&self) -> Result<Pair, Nowhere> {
        self.widest_of(&[0])
    }

    fn widest_of(&self, mains: &[usize]) -> Result<Pair, Nowhere> {
        let grid = self.grid(ACROSS);
        let search = |main| Search {
            dial: self,
            main,
            grid: &grid,
            across: ACROSS,
        };
        let found: Vec<(f64, Pair)> = mains
            .iter()
            .filter_map(|main| search(*main).widest())
            .collect();
        let best = found.into_iter().max_by(|a, b| a.0.total_cmp(&b.0));
        best.map(|(_, pair)| pair).ok_or_else(|| {
            let filled = search(0).filled();
            let grid = grid
                .iter()
                .enumerate()
                .map(|(k, o)| (self.node(k, ACROSS), o));
            nowhere(grid.chain(filled.iter().map(|(at, o)| (*at, o))))
        })
    }

    /// The widest margin by a coarse search, which may miss a little of it; 0 where nothing is sound.
    pub fn rough_margin(&self) -> f64 {
        let grid = self.grid(FEW);
        let search = Search {
            dial: self,
            main: 0,
            grid: &grid,
            across: FEW,
        };
        search.rough_margin()
    }

    /// Both keys over their ranges, the second varying fastest.
    fn grid(&self, across: usize) -> Vec<Outcome> {
        (0..across * across)
            .into_par_iter()
            .map_init(Workspace::default, |work, k| {
                self.sweep.fire(&self.node(k, across), work)
            })
            .collect()
    }

    fn node(&self, index: usize, across: usize) -> [f64; 2] {
        [
            self.value(0, index / across, across),
            self.value(1, index % across, across),
        ]
    }
}
