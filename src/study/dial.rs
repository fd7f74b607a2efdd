//! The value of a key that reaches a goal: a figure's value, or the middle of the sound window.

use rayon::prelude::*;

use super::sweep::{Outcome, Sweep};
use super::vary::Vary;
use crate::case::Case;
use crate::cycle::fire::{Settings, Workspace};
use crate::cycle::named::Read;
use crate::cycle::scheme::Until;
use crate::cycle::verdict::{Cause, Verdict};

/// Values tried over the range of one key, and of each of two.
const ALONG: usize = 161;
const ACROSS: usize = 49;

/// Halvings that find the end of a window or the root of a figure.
const HALVINGS: usize = 44;

/// How often each of two keys is put in the middle of its window in turn.
const TURNS: usize = 4;

/// Keys to turn in a case, each within a range.
#[derive(Debug, Clone)]
pub struct Dial {
    sweep: Sweep,
}

/// What ends a window.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Limit {
    /// The weld beyond has this verdict, for this cause.
    Verdict(Option<Verdict>, Cause),
    /// The values beyond make no case.
    NoCase,
    /// The range that was searched.
    Range,
}

/// Values of one key \[SI\] between which the weld is sound.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Window {
    pub low: f64,
    pub high: f64,
    pub below: Limit,
    pub above: Limit,
}

impl Window {
    pub fn middle(&self) -> f64 {
        0.5 * (self.low + self.high)
    }

    /// Half its width over its middle.
    pub fn margin(&self) -> f64 {
        0.5 * (self.high - self.low) / self.middle().abs()
    }
}

/// Why the weld is sound nowhere.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Nowhere {
    pub why: Why,
    /// Where melt fills most of the wedge: the keys' values \[SI\], fill and share boiled off there.
    pub best: Option<([f64; 2], f64, f64)>,
}

/// What keeps the weld from being sound.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Why {
    /// No arc at any value.
    NoArc,
    /// The arc goes out before the stud is down.
    ArcOut,
    /// The face boils before melt fills the wedge.
    Boils,
    /// Melt still grows at the end of the range.
    RangeEnds,
    /// The sheet melts too deep.
    MeltsThrough,
}

/// A figure's value found, or the values it can have.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Reached {
    /// The key's value \[SI\].
    At(f64),
    /// The figure's least and largest value, each with the key's value where it is met \[SI\].
    Between([(f64, f64); 2]),
    /// The figure has no value anywhere in the range.
    Never,
}

impl Dial {
    /// Keys to turn; of each `Vary` the range counts, its number of values does not.
    pub fn new(base: Case, turn: Vec<Vary>) -> Self {
        let settings = Settings {
            until: Until::Frozen,
            ..Settings::default()
        };
        Dial {
            sweep: Sweep {
                base,
                vary: turn,
                settings,
            },
        }
    }

    pub fn turned(&self) -> &[Vary] {
        &self.sweep.vary
    }

    pub fn base(&self) -> &Case {
        &self.sweep.base
    }

    /// The present value of key `k` \[SI\].
    pub fn now(&self, k: usize) -> Option<f64> {
        self.sweep.vary[k].address.number(&self.sweep.base)
    }

    /// Fires the case with these values of the keys \[SI\].
    pub fn fire(&self, values: &[f64]) -> Outcome {
        self.sweep.fire(values, &mut Workspace::default())
    }

    /// Value number `k` of `n` over the range of key `key`: by equal ratios where both ends are above
    /// zero, else by equal steps.
    fn value(&self, key: usize, k: usize, n: usize) -> f64 {
        let v = &self.sweep.vary[key];
        let (from, to) = (v.from.min(v.to), v.from.max(v.to));
        let share = k as f64 / (n - 1) as f64;
        match k {
            0 => from,
            _ if k + 1 == n => to,
            _ if from > 0.0 => from * (to / from).powf(share),
            _ => from + (to - from) * share,
        }
    }

    /// Fires key `key` over its range, the other held at `other`.
    fn scan(&self, key: usize, other: Option<f64>, n: usize) -> Vec<(f64, Outcome)> {
        (0..n)
            .into_par_iter()
            .map_init(Workspace::default, |work, k| {
                let value = self.value(key, k, n);
                (value, self.sweep.fire(&both(key, value, other), work))
            })
            .collect()
    }

    /// The windows of key `key` in which the weld is sound, the other key held at `other`.
    pub fn windows(&self, key: usize, other: Option<f64>) -> Vec<Window> {
        self.windows_of(key, other, &self.scan(key, other, ALONG))
    }

    fn windows_of(&self, key: usize, other: Option<f64>, scan: &[(f64, Outcome)]) -> Vec<Window> {
        let sound = |k: usize| is_sound(&scan[k].1);
        let mut out = Vec::new();
        let mut k = 0;
        while k < scan.len() {
            if !sound(k) {
                k += 1;
                continue;
            }
            let first = k;
            while k + 1 < scan.len() && sound(k + 1) {
                k += 1;
            }
            let end = |inside: usize, outside: Option<&(f64, Outcome)>| match outside {
                None => (scan[inside].0, Limit::Range),
                Some((value, _)) => self.end(key, other, scan[inside].0, *value),
            };
            let (low, below) = end(first, first.checked_sub(1).map(|o| &scan[o]));
            let (high, above) = end(k, scan.get(k + 1));
            out.push(Window {
                low,
                high,
                below,
                above,
            });
            k += 1;
        }
        out
    }

    /// The end of a window between a sound value and one that is not.
    fn end(&self, key: usize, other: Option<f64>, sound: f64, not: f64) -> (f64, Limit) {
        let mut work = Workspace::default();
        let (mut inside, mut outside) = (sound, not);
        let mut beyond = self.sweep.fire(&both(key, not, other), &mut work);
        for _ in 0..HALVINGS {
            let middle = 0.5 * (inside + outside);
            if middle == inside || middle == outside {
                break;
            }
            let found = self.sweep.fire(&both(key, middle, other), &mut work);
            if is_sound(&found) {
                inside = middle;
            } else {
                outside = middle;
                beyond = found;
            }
        }
        let limit = match beyond {
            Outcome::Shot { verdict, cause, .. } => Limit::Verdict(verdict, cause),
            Outcome::None(_) => Limit::NoCase,
        };
        (inside, limit)
    }

    /// The window that holds the present value of key `key`, or else the nearest.
    ///
    /// # Errors
    /// Where the weld is sound nowhere: why.
    pub fn window(&self, key: usize, other: Option<f64>) -> Result<Window, Nowhere> {
        let now = self.now(key).unwrap_or(0.0);
        let away = |w: &Window| (w.low - now).max(now - w.high).max(0.0);
        let scan = self.scan(key, other, ALONG);
        let windows = self.windows_of(key, other, &scan);
        let nearest = windows
            .into_iter()
            .min_by(|a, b| away(a).total_cmp(&away(b)));
        nearest.ok_or_else(|| nowhere(scan.iter().map(|(v, o)| ([*v, other.unwrap_or(0.0)], o))))
    }

    /// The pair of values with the widest margin, and each key's window through it.
    ///
    /// # Errors
    /// Where the weld is sound nowhere: why.
    pub fn pair(&self) -> Result<([f64; 2], [Window; 2]), Nowhere> {
        let value = |index: usize| {
            [
                self.value(0, index / ACROSS, ACROSS),
                self.value(1, index % ACROSS, ACROSS),
            ]
        };
        let grid: Vec<Outcome> = (0..ACROSS * ACROSS)
            .into_par_iter()
            .map_init(Workspace::default, |work, k| {
                self.sweep.fire(&value(k), work)
            })
            .collect();
        let sound: Vec<bool> = grid.iter().map(is_sound).collect();
        let margin = |index: usize| {
            let at = value(index);
            let away = |other: usize| {
                let to = value(other);
                (to[0] / at[0] - 1.0).abs().max((to[1] / at[1] - 1.0).abs())
            };
            let others = (0..sound.len()).filter(|k| !sound[*k]);
            others.map(away).fold(f64::INFINITY, f64::min)
        };
        let best = (0..sound.len())
            .into_par_iter()
            .filter(|k| sound[*k])
            .map(|k| (margin(k), k))
            .max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.cmp(&a.1)));
        let Some((_, best)) = best else {
            let all = grid.iter().enumerate();
            return Err(nowhere(all.map(|(k, o)| (value(k), o))));
        };
        let mut at = value(best);
        let mut windows = [None, None];
        for turn in 0..TURNS {
            for key in 0..2 {
                let found = self.windows(key, Some(at[1 - key]));
                let here = found
                    .into_iter()
                    .find(|w| (w.low..=w.high).contains(&at[key]));
                if let Some(window) = here {
                    // The last turn only measures.
                    if turn + 1 < TURNS {
                        at[key] = window.middle();
                    }
                    windows[key] = Some(window);
                }
            }
        }
        match windows {
            [Some(a), Some(b)] => Ok((at, [a, b])),
            _ => Err(nowhere(grid.iter().enumerate().map(|(k, o)| (value(k), o)))),
        }
    }

    /// The value of key 0 at which the figure has the value `goal`, the nearest to the present one.
    pub fn reach(&self, read: Read, goal: f64) -> Reached {
        let scan = self.scan(0, None, ALONG);
        let figure = |o: &Outcome| o.figures().and_then(read).filter(|v| v.is_finite());
        let points: Vec<(f64, Option<f64>)> = scan.iter().map(|(v, o)| (*v, figure(o))).collect();
        let now = self.now(0).unwrap_or(0.0);
        let root = points
            .windows(2)
            .filter_map(|pair| {
                let (a, b) = (pair[0].1? - goal, pair[1].1? - goal);
                let crosses = a == 0.0 || b == 0.0 || (a < 0.0) != (b < 0.0);
                crosses.then(|| self.root(read, goal, (pair[0].0, a), (pair[1].0, b)))?
            })
            .min_by(|a, b| (a - now).abs().total_cmp(&(b - now).abs()));
        if let Some(value) = root {
            return Reached::At(value);
        }
        let all = || points.iter().filter_map(|(v, f)| f.map(|f| (f, *v)));
        let least = all().min_by(|a, b| a.0.total_cmp(&b.0));
        let most = all().max_by(|a, b| a.0.total_cmp(&b.0));
        match (least, most) {
            (Some(least), Some(most)) => Reached::Between([least, most]),
            _ => Reached::Never,
        }
    }

    /// Halves the stretch between two values on either side of the goal; `None` at a jump over it.
    fn root(&self, read: Read, goal: f64, a: (f64, f64), b: (f64, f64)) -> Option<f64> {
        let mut work = Workspace::default();
        let ((mut low, mut at_low), (mut high, at_high)) = (a, b);
        let span = (at_high - at_low).abs();
        for _ in 0..HALVINGS {
            let middle = 0.5 * (low + high);
            let found = self.sweep.fire(&[middle], &mut work);
            let at = found.figures().and_then(read)? - goal;
            if (at < 0.0) == (at_low < 0.0) && at != 0.0 {
                (low, at_low) = (middle, at);
            } else {
                high = middle;
            }
        }
        let found = self.sweep.fire(&[high], &mut work);
        let off = (found.figures().and_then(read)? - goal).abs();
        (off <= 1e-3 * span.max(1e-9 * goal.abs())).then_some(high)
    }
}

fn is_sound(outcome: &Outcome) -> bool {
    outcome.verdict() == Some(Verdict::Sound)
}

/// The values of both keys, `key` at `value`.
fn both(key: usize, value: f64, other: Option<f64>) -> Vec<f64> {
    match (key, other) {
        (_, None) => vec![value],
        (0, Some(other)) => vec![value, other],
        (_, Some(other)) => vec![other, value],
    }
}

/// Why none of the shots is sound.
fn nowhere<'a>(all: impl Iterator<Item = ([f64; 2], &'a Outcome)>) -> Nowhere {
    let (mut best, mut boils): (Option<([f64; 2], f64, f64)>, bool) = (None, false);
    let (mut out, mut through, mut landed) = (false, false, false);
    let (mut least, mut most) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
    for (values, outcome) in all {
        for k in 0..2 {
            least[k] = least[k].min(values[k]);
            most[k] = most[k].max(values[k]);
        }
        let Outcome::Shot { figures, cause, .. } = outcome else {
            continue;
        };
        out |= *cause == Cause::ArcOut;
        through |= *cause == Cause::MeltedThrough;
        boils |= *cause == Cause::BoiledOff;
        landed |= figures.touchdown_s.is_some();
        let (Some(fill), Some(vapour)) = (figures.fill_ratio, figures.vapour_share) else {
            continue;
        };
        if best.is_none_or(|(_, most, _)| fill > most) {
            best = Some((values, fill, vapour));
        }
    }
    // A key held has one value only, which is no end.
    let inside = |x: f64, low: f64, high: f64| low == high || (low < x && x < high);
    let why = match best {
        None => Why::NoArc,
        Some(_) if !landed && out => Why::ArcOut,
        Some(_) if through && !boils => Why::MeltsThrough,
        Some((_, _, vapour)) if boils || vapour > 0.0 => Why::Boils,
        Some((at, ..)) if out && (0..2).all(|k| inside(at[k], least[k], most[k])) => Why::ArcOut,
        Some(_) => Why::RangeEnds,
    };
    Nowhere { why, best }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cycle::named::find;
    use crate::study::vary::USUAL;

    fn dial(base: Case, turn: &[&str]) -> Dial {
        let turn = turn
            .iter()
            .map(|t| Vary::read(&base, t, USUAL).unwrap())
            .collect();
        Dial::new(base, turn)
    }

    #[test]
    fn the_window_of_the_demonstration_case_is_sound_inside_and_not_outside() {
        let d = dial(Case::default(), &["bank.voltage=40..250V"]);
        let w = d.window(0, None).unwrap();
        assert!(w.low < 112.0 && 112.0 < w.high, "{w:?}");
        for (value, sound) in [
            (w.low, true),
            (w.high, true),
            (w.low * (1.0 - 1e-6), false),
            (w.high * (1.0 + 1e-6), false),
        ] {
            assert_eq!(is_sound(&d.fire(&[value])), sound, "{value}");
        }
        assert_eq!(
            w.below,
            Limit::Verdict(Some(Verdict::Cold), Cause::Underfilled)
        );
        assert_eq!(
            w.above,
            Limit::Verdict(Some(Verdict::Hot), Cause::BoiledOff)
        );
    }

    #[test]
    fn a_figure_is_reached_or_its_range_is_told() {
        let d = dial(Case::default(), &["bank.voltage=40..250V"]);
        let fill = find("fill_ratio").unwrap();
        let Reached::At(v) = d.reach(fill, 1.2) else {
            panic!("not reached");
        };
        let found = d.fire(&[v]).figures().and_then(fill).unwrap();
        assert!((found - 1.2).abs() < 1e-6, "{found}");
        let Reached::Between([_, (most, _)]) = d.reach(fill, 3.0) else {
            panic!("reached");
        };
        assert!(most > 1.2 && most < 1.5, "{most}");
    }

    #[test]
    fn the_pair_lies_deeper_in_the_window_than_the_case_does() {
        let d = dial(
            Case::default(),
            &["bank.voltage=60..200V", "tool.spring_force=20..200N"],
        );
        let ([voltage, force], windows) = d.pair().unwrap();
        assert!(is_sound(&d.fire(&[voltage, force])));
        assert!(windows.iter().all(|w| w.margin() > 0.09), "{windows:?}");
    }

    #[test]
    fn nowhere_says_why() {
        let mut case = Case::default();
        case.stud.cone = 6f64.to_radians();
        let found = dial(case, &["bank.voltage=40..300V"]).window(0, None);
        assert_eq!(found.map_err(|n| n.why), Err(Why::Boils));
        let mut case = Case::default();
        case.lead.length = 30.0;
        case.bank.capacitance = 10e-3;
        let found = dial(case, &["bank.voltage=40..300V"]).window(0, None);
        assert_eq!(found.map_err(|n| n.why), Err(Why::RangeEnds));
        // Too weak a bank: a corner of the range lets the arc go out, yet what lacks is voltage.
        let mut case = Case::default();
        case.stud.metal = crate::case::catalogue::metal("copper");
        let weak = ["bank.voltage=60..110V", "tool.spring_force=40..120N"];
        let found = dial(case, &weak).pair();
        assert_eq!(found.map_err(|n| n.why), Err(Why::RangeEnds));
    }
}
