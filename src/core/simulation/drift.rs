//! How far the arc's blow drifts the melt: the moments of the currents over the arc.

use super::integrator::Stretch;
use super::phase::{I, Loop};
use super::rig::{MAX_EARTHS, Rig};
use crate::physics::blow::Plane;

/// One number for each earth lead, and for the gun lead behind them.
pub type Lanes = [f64; MAX_EARTHS + 1];

/// Points and weights of Gauss's rule of three over a stretch from 0 to 1 (Abramowitz & Stegun 25.4.29).
const GAUSS: [(f64, f64); 3] = [
    (0.112_701_665_379_258_3, 5.0 / 18.0),
    (0.5, 4.0 / 9.0),
    (0.887_298_334_620_741_7, 5.0 / 18.0),
];

/// ∫ i·i_k dt and ∬ i·i_k dt² from ignition on, of each lane.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Moments {
    /// \[A²s\]
    once: Lanes,
    /// \[A²s²\]
    pub twice: Lanes,
}

impl Moments {
    /// Goes on over a stretch of the integration.
    pub(super) fn add<const N: usize, const D: usize>(&mut self, stretch: &Stretch<'_, D>) {
        let (from, to) = (stretch.from.t, stretch.to.t);
        let h = to - from;
        let states = stretch.states();
        let (mut once, mut twice) = (Lanes::default(), Lanes::default());
        for (share, weight) in GAUSS {
            let y = states.at(from + share * h);
            let i = Loop::<N, D>::current(&y);
            for lane in 0..=MAX_EARTHS {
                let own = match lane {
                    MAX_EARTHS => i,
                    k if k < N => y[I + k],
                    _ => continue,
                };
                once[lane] += weight * i * own;
                // Twice integrated from rest is once integrated with the time left as weight.
                twice[lane] += weight * (1.0 - share) * i * own;
            }
        }
        // kA² and ms.
        for lane in 0..=MAX_EARTHS {
            self.twice[lane] += self.once[lane] * h * 1e-3 + twice[lane] * h * h;
            self.once[lane] += once[lane] * h * 1e3;
        }
    }

    /// Drift of the melt \[m\].
    pub fn drift(&self, rig: &Rig) -> Plane {
        let mut sum = [0.0; 2];
        for (push, moment) in rig.push.iter().zip(self.twice) {
            sum = [sum[0] + push[0] * moment, sum[1] + push[1] * moment];
        }
        sum
    }
}
