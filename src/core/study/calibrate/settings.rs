//! The setting that a rig should be turned to, as far as it is known: windows of many rigs that may be the true one.

use rayon::prelude::*;

use super::unknowns::Unknowns;
use crate::case::Case;
use crate::simulation::fire::{Settings, Workspace};
use crate::simulation::verdict::Verdict;
use crate::study::dial::halve;
use crate::study::outcome::Outcome;
use crate::study::quantiles::nearest_ranks;
use crate::study::range::Vary;
use crate::study::runs::runs;

/// Values of the key that are tried on each rig.
const TRIED: usize = 41;

/// Values at which the share of the rigs is told.
const TOLD: usize = 345;

/// Halvings of the stretch at either end of a window: a thousandth of the range.
const HALVINGS: usize = 5;

/// Values of a key between which the weld is sound \[SI\].
pub type Ends = [f64; 2];

/// What many rigs that may be the true one make of a key's values.
#[derive(Debug, Clone, PartialEq)]
pub struct Windows {
    /// Values of the key \[SI\], upwards.
    pub values: Vec<f64>,
    /// Share of the rigs in whose widest window each lies.
    pub sound: Vec<f64>,
    /// Rig by rig, the widest window; `None` where the weld is sound nowhere.
    pub windows: Vec<Option<Ends>>,
}

impl Windows {
    /// Those of the rigs at these scores.
    pub fn of(base: &Case, unknowns: &Unknowns, vary: &Vary, rigs: &[&[f64]]) -> Windows {
        let [from, to] = [vary.from.min(vary.to), vary.from.max(vary.to)];
        let spaced = |count: usize| -> Vec<f64> {
            let at = |k: usize| from + (to - from) * k as f64 / (count - 1) as f64;
            (0..count).map(at).collect()
        };
        let tried = spaced(TRIED);
        let windows: Vec<Option<Ends>> = rigs
            .par_iter()
            .map_init(Workspace::default, |work, scores| {
                of_rig(base, unknowns, vary, scores, &tried, work)
            })
            .collect();
        let values = spaced(TOLD);
        let share = |value: &f64| {
            let within = |[low, high]: &&Ends| (*low..=*high).contains(value);
            windows.iter().flatten().filter(within).count() as f64 / rigs.len() as f64
        };
        Windows {
            sound: values.iter().map(share).collect(),
            values,
            windows,
        }
    }

    /// Where most rigs weld soundly: the middle of the stretch with the largest share \[SI\], and that share; `None`
    /// where none does anywhere.
    pub fn best(&self) -> Option<(f64, f64)> {
        let most = self.sound.iter().copied().fold(0.0, f64::max);
        if most == 0.0 {
            return None;
        }
        // A share that differs by one rig in a hundred is the same.
        let high = |share: f64| share >= most - 0.01;
        let longest = runs(self.sound.len(), |k| high(self.sound[k]))
            .into_iter()
            .max_by_key(|(first, last)| last - first);
        longest.map(|(first, last)| (0.5 * (self.values[first] + self.values[last]), most))
    }

    /// Share of the rigs on which the weld is sound at a value \[SI\], between those tried on a straight line; `None` outside
    /// their range.
    pub fn share_at(&self, value: f64) -> Option<f64> {
        let (first, last) = (self.values[0], self.values[self.values.len() - 1]);
        if !(first..=last).contains(&value) {
            return None;
        }
        let n = self.values.partition_point(|v| *v < value).max(1);
        let part = (value - self.values[n - 1]) / (self.values[n] - self.values[n - 1]);
        Some(self.sound[n - 1] + part * (self.sound[n] - self.sound[n - 1]))
    }

    /// Share of the rigs that weld soundly somewhere in the range.
    pub fn with_a_window(&self) -> f64 {
        self.windows.iter().flatten().count() as f64 / self.windows.len() as f64
    }

    /// The 5th, 50th and 95th percentile of the low ends, of the high ends or of the middles; `None` without a window.
    pub fn spread(&self, of: impl Fn(Ends) -> f64) -> Option<[f64; 3]> {
        quantiles(
            self.windows
                .iter()
                .flatten()
                .map(|ends| of(*ends))
                .collect(),
        )
    }
}

/// Midway between the ends \[SI\].
pub fn middle([low, high]: Ends) -> f64 {
    0.5 * (low + high)
}

/// The 5th, 50th and 95th percentile; `None` of nothing.
pub fn quantiles(values: Vec<f64>) -> Option<[f64; 3]> {
    nearest_ranks(values, [0.05, 0.5, 0.95])
}

/// The widest window of one rig.
fn of_rig(
    base: &Case,
    unknowns: &Unknowns,
    vary: &Vary,
    scores: &[f64],
    values: &[f64],
    work: &mut Workspace,
) -> Option<Ends> {
    let settings = Settings::frozen();
    let mut is_sound = |value: f64| {
        let case = unknowns.set([(vary, value)], base, scores);
        case.is_some_and(|case| {
            Outcome::of(&case, [], &settings, work).verdict() == Some(Verdict::Sound)
        })
    };
    // Between two of every other value that agree there is no end of a window, but where none is sound.
    let mut sound: Vec<bool> = Vec::with_capacity(values.len());
    let every_other: Vec<bool> = values.iter().step_by(2).map(|v| is_sound(*v)).collect();
    let any = every_other.contains(&true);
    for (k, value) in values.iter().enumerate() {
        let [below, above] = [every_other[k / 2], every_other[k.div_ceil(2)]];
        let known = k % 2 == 0 || (any && below == above);
        sound.push(if known { below } else { is_sound(*value) });
    }
    let widest = runs(sound.len(), |k| sound[k])
        .into_iter()
        .max_by_key(|(first, last)| last - first);
    widest.map(|(first, last)| {
        let mut end = |inside: usize, outside: Option<usize>| match outside {
            Some(outside) => halve(values[inside], values[outside], HALVINGS, &mut is_sound),
            None => values[inside],
        };
        let low = end(first, first.checked_sub(1));
        let high = end(last, (last + 1 < values.len()).then_some(last + 1));
        [low, high]
    })
}
