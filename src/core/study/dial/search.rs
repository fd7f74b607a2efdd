//! Looks for the value of one key at which the window of the other is widest.

use rayon::prelude::*;

use super::{Dial, Window, halve, is_sound};
use crate::simulation::fire::Workspace;
use crate::study::runs::runs;
use crate::study::sweep::Outcome;

/// Halvings that find an end of a window to 10⁻⁵, where margins are only compared.
const ROUGHLY: usize = 12;

/// Steps of the golden section, which take two steps of the grid to a thousandth.
const NARROWINGS: usize = 12;

/// Local maxima of the grid from this share of the largest on are looked into.
const RIVAL: f64 = 0.97;

/// Share of the widest margin that is as good as it: of such pairs the one nearest the case is taken.
pub const FLAT: f64 = 0.995;

/// Values of both keys \[SI\], and the window of each through them.
pub type Pair = ([f64; 2], [Window; 2]);

/// Looks for the value of one key at which the window of the other, the main one, is widest.
pub(super) struct Search<'a> {
    pub dial: &'a Dial,
    pub main: usize,
    pub grid: &'a [Outcome],
    /// Values of each key in it.
    pub across: usize,
}

/// The main key's window at a value of the other, and its margin, to compare.
#[derive(Debug, Clone, Copy)]
struct Rough {
    other: f64,
    low: f64,
    high: f64,
    margin: f64,
}

impl Search<'_> {
    /// The widest window at each value of the other key on the grid.
    fn columns(&self) -> Vec<Option<Rough>> {
        let each = |of: fn(&Self, usize, &mut Workspace) -> Option<Rough>| -> Vec<Option<Rough>> {
            (0..self.across)
                .into_par_iter()
                .map_init(Workspace::default, |work, j| of(self, j, work))
                .collect()
        };
        let columns = each(Self::column);
        if columns.iter().any(Option::is_some) {
            columns
        } else {
            each(Self::slit)
        }
    }

    /// The widest margin on the grid; 0 where nothing is sound.
    pub fn rough_margin(&self) -> f64 {
        let columns = self.columns();
        let margins = columns.iter().flatten().map(|r| r.margin);
        margins.fold(0.0, f64::max)
    }

    /// The widest margin, with its pair and the windows through it.
    pub fn widest(&self) -> Option<(f64, Pair)> {
        let columns = self.columns();
        let margin = |j: usize| columns.get(j)?.map(|r| r.margin);
        let most = (0..self.across).filter_map(margin).max_by(f64::total_cmp)?;
        let mut work = Workspace::default();
        let peak = |j: &usize| {
            let beside = [j.checked_sub(1).and_then(margin), margin(j + 1)];
            margin(*j).is_some_and(|m| {
                m >= RIVAL * most && beside.into_iter().flatten().all(|other| other <= m)
            })
        };
        let best = (0..self.across)
            .filter(peak)
            .filter_map(|j| self.narrow(&columns, j, &mut work))
            .max_by(|a, b| a.margin.total_cmp(&b.margin))?;
        let best = self.nearest(&columns, best, &mut work);
        Some((best.margin, self.exact(&best)?))
    }

    fn other(&self) -> usize {
        1 - self.main
    }

    /// Values of both keys in their order.
    fn both(&self, main: f64, other: f64) -> [f64; 2] {
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

    /// The widest window of the main key at column `j` of the grid.
    fn column(&self, j: usize, work: &mut Workspace) -> Option<Rough> {
        let sound = runs(self.across, |i| is_sound(self.node(i, j)));
        let mut found: Option<Rough> = None;
        for (first, last) in sound {
            let below = [first, first.saturating_sub(1)].map(|i| self.row(i));
            let above = [last, (last + 1).min(self.across - 1)].map(|i| self.row(i));
            let one = self.rough(self.at(j), below, above, work);
            if found.is_none_or(|best| one.margin > best.margin) {
                found = Some(one);
            }
        }
        found
    }

    /// A window that slipped between two points of the grid: it begins where melt fills the wedge.
    fn slit(&self, j: usize, work: &mut Workspace) -> Option<Rough> {
        let (i, value, outcome) = self.fills(j, work)?;
        let (below, above) = ([value, self.row(i)], [value, self.row(i + 1)]);
        is_sound(&outcome).then(|| self.rough(self.at(j), below, above, work))
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
    fn rough(&self, other: f64, below: [f64; 2], above: [f64; 2], work: &mut Workspace) -> Rough {
        let [low, high] = [below, above].map(|ends| self.end(other, ends, work));
        let middle = 0.5 * (low + high);
        let wide = 0.5 * (high - low) / self.dial.measure(self.main, middle);
        Rough {
            other,
            low,
            high,
            margin: self.clear(middle, other, wide, work),
        }
    }

    fn end(&self, other: f64, [inside, outside]: [f64; 2], work: &mut Workspace) -> f64 {
        if inside == outside || self.sound(outside, other, work) {
            return outside;
        }
        halve(inside, outside, ROUGHLY, |value| {
            self.sound(value, other, work)
        })
    }

    /// `wide`, or as much of it as the other key may be off; beyond its range nothing is asked.
    fn clear(&self, middle: f64, other: f64, wide: f64, work: &mut Workspace) -> f64 {
        let [from, to] = self.dial.ends(self.other());
        let by = self.dial.measure(self.other(), other);
        let mut may = |off: f64| {
            let values = [other - off * by, other + off * by].into_iter();
            let mut asked = values.filter(|v| (from..=to).contains(v));
            asked.all(|v| self.sound(middle, v, work))
        };
        if may(wide) {
            return wide;
        }
        halve(0.0, wide, ROUGHLY, may)
    }

    /// The window at a value of the other key between the columns, by those beside it.
    fn between(
        &self,
        columns: &[Option<Rough>],
        other: f64,
        work: &mut Workspace,
    ) -> Option<Rough> {
        let next = (0..self.across)
            .find(|j| self.at(*j) >= other)
            .unwrap_or(self.across - 1);
        let beside = [next.saturating_sub(1), next].map(|j| columns[j]);
        let known: Vec<Rough> = beside.into_iter().flatten().collect();
        let low = known.iter().map(|r| r.low).min_by(f64::total_cmp)?;
        let high = known.iter().map(|r| r.high).max_by(f64::total_cmp)?;
        let below = self
            .dial
            .shifted(self.main, low, -1.0 / (self.across - 1) as f64);
        let above = self
            .dial
            .shifted(self.main, high, 1.0 / (self.across - 1) as f64);
        let guess = match known[..] {
            [a, b] if b.other > a.other => {
                let share = ((other - a.other) / (b.other - a.other)).clamp(0.0, 1.0);
                0.5 * ((a.low + a.high) * (1.0 - share) + (b.low + b.high) * share)
            }
            _ => 0.5 * (low + high),
        };
        // Beside a column without a window it may lie anywhere.
        let tries = (1..24).map(|k| below + (above - below) * f64::from(k) / 24.0);
        let inside = std::iter::once(guess)
            .chain(tries)
            .find(|v| self.sound(*v, other, work))?;
        Some(self.rough(other, [inside, below], [inside, above], work))
    }

    /// The widest window between the columns beside column `j`, by golden section.
    fn narrow(&self, columns: &[Option<Rough>], j: usize, work: &mut Workspace) -> Option<Rough> {
        const GOLDEN: f64 = 0.618_033_988_749_895;
        let mut best = columns[j]?;
        let mut look = |other: f64| {
            let found = self.between(columns, other, work);
            if let Some(r) = found.filter(|r| r.margin > best.margin) {
                best = r;
            }
            found.map_or(0.0, |r| r.margin)
        };
        let (mut a, mut b) = (
            self.at(j.saturating_sub(1)),
            self.at((j + 1).min(self.across - 1)),
        );
        let (mut c, mut d) = (b - GOLDEN * (b - a), a + GOLDEN * (b - a));
        let (mut at_c, mut at_d) = (look(c), look(d));
        for _ in 2..NARROWINGS {
            if at_c >= at_d {
                (b, d, at_d) = (d, c, at_c);
                c = b - GOLDEN * (b - a);
                at_c = look(c);
            } else {
                (a, c, at_c) = (c, d, at_d);
                d = a + GOLDEN * (b - a);
                at_d = look(d);
            }
        }
        Some(best)
    }

    /// Of the windows as good as the widest the one nearest the case's own value of the other key.
    fn nearest(&self, columns: &[Option<Rough>], best: Rough, work: &mut Workspace) -> Rough {
        let [from, to] = self.dial.ends(self.other());
        let Some(now) = self.dial.now(self.other()) else {
            return best;
        };
        let mut good = |other: f64| {
            let found = self.between(columns, other, work);
            found.filter(|r| r.margin >= FLAT * best.margin)
        };
        let there = now.clamp(from, to);
        if let Some(found) = good(there) {
            return found;
        }
        let mut near = best;
        halve(best.other, there, ROUGHLY, |other| {
            let found = good(other);
            near = found.unwrap_or(near);
            found.is_some()
        });
        near
    }

    /// The pair, the main key in the middle of its window, and both windows in full.
    fn exact(&self, rough: &Rough) -> Option<Pair> {
        let holds = |windows: Vec<Window>, value: f64| {
            let mut windows = windows.into_iter();
            windows.find(|w| (w.low..=w.high).contains(&value))
        };
        let middle = 0.5 * (rough.low + rough.high);
        let main = holds(
            self.dial.windows_near(self.main, rough.other, middle),
            middle,
        )?;
        let middle = main.middle();
        let other = self.dial.windows_near(self.other(), middle, rough.other);
        let other = holds(other, rough.other)?;
        let windows = match self.main {
            0 => [main, other],
            _ => [other, main],
        };
        Some((self.both(middle, rough.other), windows))
    }
}
