//! The pair of values of two keys in the middle of where the weld is sound.
//!
//! A grid finds where that is, the windows of one key at values of the other find its edges, `region` its middle, and
//! `likely` where the first key by name is sound most often. Which key is given first does not matter.

use rayon::prelude::*;

use super::columns::{Search, Slice};
use super::likely::KEPT;
use super::nowhere::Nowhere;
use super::region::Region;
use super::{Dial, Limit, Window, is_sound};
use crate::simulation::fire::Workspace;
use crate::study::sweep::Outcome;

/// Values tried over the range of each key, and where the question is only about how wide.
const ACROSS: usize = 49;
const FEW: usize = 25;

/// A pair of values, and how far each may be off.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pair {
    /// Values of both keys \[SI\].
    pub at: [f64; 2],
    /// The window of each key through it, the other held.
    pub windows: [Window; 2],
    /// Both keys may be off by this share at once, either way: of the value where ratios mean something, else of
    /// the range searched. 0 where a window is too narrow to tell.
    pub margin: f64,
}

impl Pair {
    /// How far key `key` may be off while the other is off by its own margin \[SI\].
    pub fn off(&self, dial: &Dial, key: usize) -> f64 {
        self.margin * dial.measure(key, self.at[key])
    }

    /// Whether the margin reaches an end of the range searched beyond which the window goes on: it is more, or could
    /// be.
    pub fn at_least(&self, dial: &Dial) -> bool {
        (0..2).any(|key| {
            let (w, value) = (&self.windows[key], self.at[key]);
            let near =
                |end: f64| (value - end).abs() <= 1.1 * self.margin * dial.measure(key, value);
            (w.below == Limit::Range && near(w.low)) || (w.above == Limit::Range && near(w.high))
        })
    }
}

/// A pair, and what else is known of the sound region round it.
#[derive(Debug, Clone)]
pub struct Middle {
    /// The pair in its middle.
    pub pair: Pair,
    region: Region,
    /// The key whose windows describe the region.
    main: usize,
}

impl Middle {
    /// The pair with the widest margin whose key has this value, the key being the second one by name.
    pub fn at_other(&self, dial: &Dial, value: f64) -> Option<([f64; 2], f64)> {
        let (main, other) = (self.main, 1 - self.main);
        let (length, depth) = self.region.deepest_at(dial.length(other, value))?;
        let mut at = [value; 2];
        at[main] = dial.at_length(main, length);
        Some((at, share(depth)))
    }

    /// The pair at these values with the main key moved to where most welds are sound, as far as half of the margin is left.
    pub fn likeliest(&self, dial: &Dial, at: [f64; 2], margin: f64) -> Option<Pair> {
        dial.settled(&self.region, self.main, at, margin)
    }
}

impl Dial {
    /// The pair of values in the middle of where the weld is sound.
    ///
    /// # Errors
    /// Where the weld is sound nowhere: why.
    pub fn pair(&self) -> Result<Pair, Nowhere> {
        self.whole().map(|middle| middle.pair)
    }

    /// The same, with what else is known of the sound region.
    ///
    /// # Errors
    /// Where the weld is sound nowhere: why.
    pub fn whole(&self) -> Result<Middle, Nowhere> {
        let grid = self.grid(ACROSS);
        let search = self.search(&grid, ACROSS);
        let found = search
            .deepest()
            .and_then(|(slices, _)| self.middle(&search, &slices));
        found.ok_or_else(|| {
            let filled = search.filled();
            let grid = grid
                .iter()
                .enumerate()
                .map(|(k, o)| (self.node(k, ACROSS), o));
            self.nowhere(grid.chain(filled.iter().map(|(at, o)| (*at, o))))
        })
    }

    /// The pair at these values of a region with the main key moved to where most welds are sound, as far as half of the
    /// margin is left; `None` where the weld is not sound at them.
    fn settled(&self, region: &Region, main: usize, at: [f64; 2], margin: f64) -> Option<Pair> {
        if !is_sound(&self.fire(&at)) {
            return None;
        }
        let moved = self.moved(region, main, at);
        let through = self.windows_at(moved).filter(|_| moved != at);
        Some(match through {
            Some(windows) => {
                let lengths = [main, 1 - main].map(|key| self.length(key, moved[key]));
                Pair {
                    at: moved,
                    windows,
                    margin: share(region.depth(lengths)).min(margin),
                }
            }
            None => Pair {
                at,
                windows: self.windows_at(at)?,
                margin,
            },
        })
    }

    /// A pair of values in a region, the main key moved to where most welds are sound, as far as half of the depth is left.
    fn moved(&self, region: &Region, main: usize, mut at: [f64; 2]) -> [f64; 2] {
        let other = 1 - main;
        let [place, beside] = [main, other].map(|key| self.length(key, at[key]));
        let amid = region.inner(beside, KEPT * region.depth([place, beside]));
        let amid = amid.map(|ends| ends.map(|end| self.at_length(main, end)));
        let value = amid.and_then(|amid| self.likeliest(main, amid, Some(at[other])));
        at[main] = value.unwrap_or(at[main]);
        at
    }

    /// The pair and the margin of the middle by a coarse search, which may miss a little of it; `None` where nothing is sound.
    pub fn roughly(&self) -> Option<([f64; 2], f64)> {
        let grid = self.grid(FEW);
        let search = self.search(&grid, FEW);
        let (slices, _) = search.deepest()?;
        let region = search.region(&slices, true);
        let (at, depth) = region.middle()?;
        let (main, other) = (search.main, 1 - search.main);
        let [a, b] = [self.at_length(main, at[0]), self.at_length(other, at[1])];
        Some((self.moved(&region, main, search.both(a, b)), share(depth)))
    }

    /// The main key is the first by name, so that the order of the keys does not matter.
    fn search<'a>(&'a self, grid: &'a [Outcome], across: usize) -> Search<'a> {
        let name = |k: usize| self.turned()[k].address.to_string();
        Search {
            dial: self,
            main: usize::from(name(1) < name(0)),
            grid,
            across,
        }
    }

    fn middle(&self, search: &Search, slices: &[Slice]) -> Option<Middle> {
        let fine = search.refined(slices);
        let (main, other) = (search.main, 1 - search.main);
        let region = search.region(&fine, false);
        let middle = region.middle().map(|(at, depth)| {
            let at = [self.at_length(main, at[0]), self.at_length(other, at[1])];
            (search.both(at[0], at[1]), share(depth))
        });
        // Where the region is too narrow for a middle, that of its widest window.
        let all = fine.iter().chain(slices);
        let widest = all.max_by(|a, b| (a.high - a.low).total_cmp(&(b.high - b.low)))?;
        let widest = search.both(0.5 * (widest.low + widest.high), widest.other);
        let sound = middle.filter(|(at, _)| is_sound(&self.fire(at)));
        let (at, margin) = sound.unwrap_or((widest, 0.0));
        let pair = self.settled(&region, main, at, margin)?;
        Some(Middle { pair, region, main })
    }

    /// The window of each key through a pair of values, the other held; `None` where the weld is not sound there.
    pub fn windows_at(&self, at: [f64; 2]) -> Option<[Window; 2]> {
        let through = |key: usize| {
            let mut windows = self.windows_near(key, at[1 - key], at[key]).into_iter();
            windows.find(|w| (w.low..=w.high).contains(&at[key]))
        };
        Some([through(0)?, through(1)?])
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

/// A depth as a share of the value, which it is the logarithm of a ratio to; for lengths that are shares themselves
/// as good as the depth.
fn share(depth: f64) -> f64 {
    1.0 - (-depth).exp()
}
