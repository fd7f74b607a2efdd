//! Where amid a window most of the welds are sound that the case may stand for.
//!
//! The middle of a window is as far as can be from where the case's own weld is no more sound. Its figures may be off one
//! way more than the other, and so may rig and stud: the weld that is made is sound more often elsewhere. At least half
//! of the room to the ends is kept.

use super::{Dial, Limit, Window, both};
use crate::study::band::SHOTS;
use crate::study::chance::{Chance, chance, of_first};
use crate::study::outcome::changed;

/// Share of the room to the ends of a window, or of a pair's margin, that is kept.
pub(super) const KEPT: f64 = 0.5;

/// Values that are tried, and welds drawn at each.
const TRIED: usize = 15;
const SCOUTS: usize = SHOTS / 2;

/// Share of the largest count above which a value counts.
const NEARLY: f64 = 0.9;

/// What to set a key to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Advice {
    /// The value \[SI\].
    pub value: f64,
    /// The window it lies in.
    pub window: Window,
}

impl Dial {
    /// How many welds are sound at these values \[SI\], model, rig and stud drawn at once; `None` where nothing scatters.
    pub fn chance(&self, values: &[f64]) -> Option<Chance> {
        let keys = self.turned().iter().map(|vary| &vary.address);
        let case = changed(self.base(), keys.zip(values.iter().copied())).ok()?;
        chance(&case, &self.tolerances)
    }

    /// The same at the present values.
    pub fn chance_now(&self) -> Option<Chance> {
        chance(self.base(), &self.tolerances)
    }

    /// The value of key `key` between two \[SI\] at which most welds are sound, the other key held at `other`: the mean of all
    /// at which nearly as many are, each with what it has above that for a weight. `None` where nothing scatters, or nothing is
    /// sound.
    pub(super) fn likeliest(
        &self,
        key: usize,
        [low, high]: [f64; 2],
        other: Option<f64>,
    ) -> Option<f64> {
        let at = |k: usize| low + (high - low) * k as f64 / (TRIED - 1) as f64;
        let keys = || self.turned().iter().map(|vary| &vary.address);
        let sound = |k: usize| {
            let case = changed(self.base(), keys().zip(both(key, at(k), other))).ok()?;
            Some(of_first(SCOUTS, &case, &self.tolerances)?.sound)
        };
        let counts: Vec<f64> = (0..TRIED).map(|k| sound(k).unwrap_or(0) as f64).collect();
        let most = counts.iter().copied().fold(0.0, f64::max);
        // A mean moves by little where the largest count jumps from one value to another.
        let weight = |k: usize| (counts[k] - NEARLY * most).max(0.0);
        let weights: f64 = (0..TRIED).map(weight).sum();
        let middle = (0..TRIED).map(|k| weight(k) * at(k)).sum::<f64>() / weights;
        (most > 0.0).then_some(middle)
    }

    /// What to set key `key` to in a window: where amid it most welds are sound; nothing where the window begins there; without
    /// scatter the middle.
    pub fn advised(&self, key: usize, window: Window) -> Advice {
        // Where the range searched ends there is no end to keep away from.
        let room = |limit: Limit| match limit {
            Limit::Range => 0.0,
            _ => KEPT * window.half(),
        };
        let amid = [
            window.low + room(window.below),
            window.high - room(window.above),
        ];
        let value = match self.is_from_none(key, &window) {
            true => 0.0,
            false => self.likeliest(key, amid, None).unwrap_or(window.middle()),
        };
        Advice { value, window }
    }
}
