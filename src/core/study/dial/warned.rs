//! From where on in a window a sound weld has a but: its sheet is too thin, or its switch gets too hot.

use super::{Dial, halve};
use crate::simulation::fire::{Settings, Workspace};
use crate::study::outcome::Outcome;

/// Halvings between a value without a but and one with it.
const HALVINGS: usize = 20;

impl Dial {
    /// The last value of the one key on the way from `at` to `end` \[SI\] at which there is none; `None` where there is one at
    /// `at`, or none at `end`.
    pub fn without_a_but(&self, at: f64, end: f64) -> Option<f64> {
        let key = &self.turned()[0].address;
        let mut work = Workspace::default();
        // Fired to its end, for the back of the sheet is hottest late.
        let mut is_warned = |value: f64| {
            let shot = Outcome::of(self.base(), [(key, value)], &Settings::default(), &mut work);
            shot.sound_but_warned().is_some()
        };
        if is_warned(at) || !is_warned(end) {
            return None;
        }
        Some(halve(at, end, HALVINGS, |value| !is_warned(value)))
    }
}
