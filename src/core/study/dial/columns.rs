//! Where two keys give a sound weld: the windows of the main key at values of the other.

use rayon::prelude::*;

use super::region::{Column, Region};
use super::{Dial, halve, is_sound};
use crate::simulation::fire::Workspace;
use crate::study::runs::runs;
use crate::study::sweep::Outcome;

/// Halvings that find an end of a window to 10⁻⁵ of it, and the value of the other key at which it closes.
const ROUGHLY: usize = 12;
const CLOSING: usize = 6;

/// Half the length of a range whose ends are no edges of the region: what a key is hardly varied over must not decide how
/// far it may be off.
const NARROW: f64 = 0.2;

/// Windows that describe a region.
const FINE: usize = 49;

/// Values tried for a sound one where the columns beside do not tell.
const TRIES: usize = 24;

/// The grid both keys were fired over, seen from the main one.
pub(super) struct Search<'a> {
    pub dial: &'a Dial,
    pub main: usize,
    pub grid: &'a [Outcome],
    /// Values of each key in it.
    pub across: usize,
}

/// The main key's window at a value of the other \[SI\].
#[derive(Debug, Clone, Copy)]
pub(super) struct Slice {
    pub other: f64,
    pub low: f64,
    pub high: f64,
}

/// Sound rows of the grid in column `j`.
#[derive(Debug, Clone, Copy)]
struct Run {
    j: usize,
    first: usize,
    last: usize,
}

impl Search<'_> {
    /// The deepest region on the grid with its depth, by slices a step of the grid apart; `None` where nothing is sound.
    pub fn deepest(&self) -> Option<(Vec<Slice>, f64)> {
        let mut chains = self.chains();
        if chains.is_empty() {
            chains = self.slits();
        }
        let with_depth = chains.into_iter().map(|slices| {
            let depth = self.region(&slices, true).deepest();
            (slices, depth)
        });
        with_depth.max_by(|a, b| a.1.total_cmp(&b.1))
    }

    /// The region these slices describe, in lengths; a `coarse` one ends half a step of the grid beyond them.
    pub fn region(&self, slices: &[Slice], coarse: bool) -> Region {
        let (dial, main, other) = (self.dial, self.main, self.other());
        let ranges = [main, other].map(|key| dial.ends(key).map(|end| dial.length(key, end)));
        let half = |[from, to]: [f64; 2]| 0.5 * (to - from);
        let more = ranges.map(|range| (NARROW - half(range)).max(0.0));
        let column = |s: &Slice| {
            let [from, to] = dial.ends(main);
            let out = |value: f64, end: f64| if value == end { more[0] } else { 0.0 };
            Column {
                at: dial.length(other, s.other),
                low: dial.length(main, s.low) - out(s.low, from),
                high: dial.length(main, s.high) + out(s.high, to),
            }
        };
        let step = half(ranges[1]) / (self.across - 1) as f64;
        let ends = [slices.first(), slices.last()].map(|s| s.map(|s| s.other));
        let beyond = [0, 1].map(|k| match ends[k] == Some(dial.ends(other)[k]) {
            true => more[1],
            false if coarse => step,
            false => 0.0,
        });
        Region {
            columns: slices.iter().map(column).collect(),
            beyond,
            range: ranges,
        }
    }

    fn other(&self) -> usize {
        1 - self.main
    }

    /// Values of both keys in their order.
    pub fn both(&self, main: f64, other: f64) -> [f64; 2] {
        if self.main == 0 {
            [main, other]
        } else {
            [other, main]
        }
    }

    fn fire(&self, main: f64, other: f64, work: &mut Workspace) -> Outcome {
        self.dial.sweep.fire(&self.both(main, other), work)
    }

    fn sound(&self, main: f64, other: f64, work: &mut Workspace) -> bool {
        is_sound(&self.fire(main, other, work))
    }

    /// Value number `i` of the main key on the grid, and number `j` of the other.
    fn row(&self, i: usize) -> f64 {
        self.dial.value(self.main, i, self.across)
    }

    fn at(&self, j: usize) -> f64 {
        self.dial.value(self.other(), j, self.across)
    }

    fn node(&self, i: usize, j: usize) -> &Outcome {
        match self.main {
            0 => &self.grid[i * self.across + j],
            _ => &self.grid[j * self.across + i],
        }
    }

    /// Sound stretches of neighbouring columns that touch, as slices; of a column each stretch belongs to one chain.
    fn chains(&self) -> Vec<Vec<Slice>> {
        let mut open: Vec<Run> = Vec::new();
        for j in 0..self.across {
            let found = runs(self.across, |i| is_sound(self.node(i, j)));
            open.extend(
                found
                    .into_iter()
                    .map(|(first, last)| Run { j, first, last }),
            );
        }
        let mut chains: Vec<Vec<Run>> = Vec::new();
        let long = |r: &Run| r.last - r.first;
        while let Some(widest) = (0..open.len()).max_by_key(|k| long(&open[*k])) {
            let mut chain = vec![open.swap_remove(widest)];
            for up in [true, false] {
                let mut edge = chain[if up { chain.len() - 1 } else { 0 }];
                while let Some(k) = touching(&open, &edge, up) {
                    edge = open.swap_remove(k);
                    chain.insert(if up { chain.len() } else { 0 }, edge);
                }
            }
            chains.push(chain);
        }
        let slices = |chain: Vec<Run>| -> Vec<Slice> {
            let each = |work: &mut Workspace, run: Run| self.of_run(run, work);
            let chain = chain.into_par_iter();
            chain.map_init(Workspace::default, each).collect()
        };
        chains.into_iter().map(slices).collect()
    }

    /// The window round a sound stretch of a column.
    fn of_run(&self, Run { j, first, last }: Run, work: &mut Workspace) -> Slice {
        let last_row = self.across - 1;
        let below = [first, first.saturating_sub(1)].map(|i| self.row(i));
        let above = [last, (last + 1).min(last_row)].map(|i| self.row(i));
        self.slice(self.at(j), below, above, work)
    }

    /// Windows that slipped between two points of the grid: one begins where melt fills the wedge.
    fn slits(&self) -> Vec<Vec<Slice>> {
        let one = |work: &mut Workspace, j: usize| -> Option<(usize, Slice)> {
            let (i, value, outcome) = self.fills(j, work)?;
            let (below, above) = ([value, self.row(i)], [value, self.row(i + 1)]);
            is_sound(&outcome).then(|| (j, self.slice(self.at(j), below, above, work)))
        };
        let all = (0..self.across).into_par_iter();
        let all: Vec<(usize, Slice)> = all.map_init(Workspace::default, one).flatten().collect();
        let beside = all.chunk_by(|a, b| a.0 + 1 == b.0);
        beside
            .map(|chain| chain.iter().map(|(_, slice)| *slice).collect())
            .collect()
    }

    /// The first step of column `j` over which melt comes to fill the wedge, the least value at which it
    /// does, and the shot there.
    fn fills(&self, j: usize, work: &mut Workspace) -> Option<(usize, f64, Outcome)> {
        let full = |o: &Outcome| o.figures().and_then(|f| f.fill_ratio) >= Some(1.0);
        let i =
            (0..self.across - 1).find(|i| !full(self.node(*i, j)) && full(self.node(i + 1, j)))?;
        let mut found = self.node(i + 1, j).clone();
        let value = halve(self.row(i + 1), self.row(i), ROUGHLY, |value| {
            let shot = self.fire(value, self.at(j), work);
            let fills = full(&shot);
            if fills {
                found = shot;
            }
            fills
        });
        Some((i, value, found))
    }

    /// The shots at which melt just fills the wedge, with the values of both keys.
    pub fn filled(&self) -> Vec<([f64; 2], Outcome)> {
        let one = |work: &mut Workspace, j| {
            let (_, value, shot) = self.fills(j, work)?;
            Some((self.both(value, self.at(j)), shot))
        };
        let all = (0..self.across).into_par_iter();
        all.map_init(Workspace::default, one).flatten().collect()
    }

    /// The window whose ends lie between values inside and outside of it.
    fn slice(&self, other: f64, below: [f64; 2], above: [f64; 2], work: &mut Workspace) -> Slice {
        let [low, high] = [below, above].map(|ends| self.end(other, ends, work));
        Slice { other, low, high }
    }

    /// The end of the window on the side of a value outside; one that lies farther out is followed.
    fn end(&self, other: f64, [mut inside, mut outside]: [f64; 2], work: &mut Workspace) -> f64 {
        let step = if outside < inside { -1.0 } else { 1.0 } / (self.across - 1) as f64;
        while inside != outside && self.sound(outside, other, work) {
            inside = outside;
            outside = self.dial.shifted(self.main, outside, step);
        }
        if inside == outside {
            return inside;
        }
        halve(inside, outside, ROUGHLY, |value| {
            self.sound(value, other, work)
        })
    }

    /// The same region by more slices, up to where its windows close.
    pub fn refined(&self, coarse: &[Slice]) -> Vec<Slice> {
        let key = self.other();
        let (Some(first), Some(last)) = (coarse.first(), coarse.last()) else {
            return Vec::new();
        };
        let step = 1.0 / (self.across - 1) as f64;
        let [from, to] = [
            self.dial.shifted(key, first.other, -step),
            self.dial.shifted(key, last.other, step),
        ]
        .map(|end| self.dial.length(key, end));
        let value = |k: usize| match k {
            0 => self.dial.shifted(key, first.other, -step),
            k if k + 1 == FINE => self.dial.shifted(key, last.other, step),
            k => {
                let length = from + (to - from) * k as f64 / (FINE - 1) as f64;
                self.dial.at_length(key, length)
            }
        };
        let each = |work: &mut Workspace, k: usize| self.between(coarse, value(k), work);
        let all = (0..FINE).into_par_iter();
        let all: Vec<Option<Slice>> = all.map_init(Workspace::default, each).collect();
        let (start, end) = runs(FINE, |k| all[k].is_some())
            .into_iter()
            .max_by_key(|(start, end)| end - start)
            .unwrap_or((0, 0));
        let mut found: Vec<Slice> = all[start..=end].iter().copied().flatten().collect();
        let mut work = Workspace::default();
        if start > 0 {
            let tip = self.closing(&found, 0, value(start - 1), &mut work);
            found.splice(0..0, tip);
        }
        if end + 1 < FINE {
            let tip = self.closing(
                &found,
                found.len().saturating_sub(1),
                value(end + 1),
                &mut work,
            );
            found.extend(tip);
        }
        found
    }

    /// The last window before they close, from the last one known towards a value without one.
    fn closing(
        &self,
        known: &[Slice],
        last: usize,
        without: f64,
        work: &mut Workspace,
    ) -> Option<Slice> {
        let mut tip = None;
        halve(known.get(last)?.other, without, CLOSING, |other| {
            let found = self.between(&known[last..=last], other, work);
            tip = found.or(tip);
            found.is_some()
        });
        tip
    }

    /// The window at a value of the other key between known slices, or beside them.
    fn between(&self, known: &[Slice], other: f64, work: &mut Workspace) -> Option<Slice> {
        let next = known.partition_point(|s| s.other < other);
        let (a, b) = (
            known.get(next.saturating_sub(1))?,
            known.get(next.min(known.len() - 1))?,
        );
        let share = if b.other > a.other {
            ((other - a.other) / (b.other - a.other)).clamp(0.0, 1.0)
        } else {
            0.0
        };
        let guess = 0.5 * ((a.low + a.high) * (1.0 - share) + (b.low + b.high) * share);
        let step = 1.0 / (self.across - 1) as f64;
        let below = self.dial.shifted(self.main, a.low.min(b.low), -step);
        let above = self.dial.shifted(self.main, a.high.max(b.high), step);
        let tries = (1..TRIES).map(|k| below + (above - below) * k as f64 / TRIES as f64);
        let inside = std::iter::once(guess)
            .chain(tries)
            .find(|v| self.sound(*v, other, work))?;
        Some(self.slice(other, [inside, below], [inside, above], work))
    }
}

/// The longest of the runs that touches `edge` in the column beside it.
fn touching(open: &[Run], edge: &Run, up: bool) -> Option<usize> {
    let j = if up {
        edge.j + 1
    } else {
        edge.j.checked_sub(1)?
    };
    let touches = |r: &Run| r.j == j && r.first <= edge.last && edge.first <= r.last;
    (0..open.len())
        .filter(|k| touches(&open[*k]))
        .max_by_key(|k| open[*k].last - open[*k].first)
}
