//! Which earth branches conduct: a joint that has parted lets a current start only against the drop of its arc.

use nalgebra::SVector;

use super::{EventFunction, Loop, U, U_UNIT};
use crate::simulation::circuit::invert;
use crate::simulation::integrator::{OdeSystem, Point};
use crate::simulation::rig::{MAX_EARTHS, Rig};
use crate::simulation::units::PER_HENRY;

/// Voltage, over the drop or the bank's, that is rounding only where a branch starts to conduct.
const SAME_VOLTAGE: f64 = 1e-9;

impl<const N: usize, const D: usize> Loop<N, D> {
    /// Lets the given branches conduct.
    pub fn conduct(&mut self, rig: &Rig, conducting: [bool; MAX_EARTHS]) {
        let inverse = invert(&rig.circuit.inductance, N, conducting);
        self.mode.conducting = conducting;
        self.inverse = std::array::from_fn(|k| std::array::from_fn(|j| inverse[k][j] * PER_HENRY));
    }

    /// Whether an open branch sees more than the drops of its arcs, and not by rounding alone.
    pub fn starts(&self, k: usize, now: &Point<D>) -> bool {
        let lacks = self.event_function(EventFunction::BranchStart(k), now.t, &now.y, &now.dy);
        lacks < -SAME_VOLTAGE * self.earth_drop[k].abs()
    }

    /// The earth branches that conduct or see the voltage to start but for rounding: equal ones start
    /// together.
    pub fn about_to_conduct(&self, now: &Point<D>) -> [bool; MAX_EARTHS] {
        let mut out = self.mode.conducting;
        for (k, on) in out.iter_mut().enumerate().take(N) {
            let lacks = self.event_function(EventFunction::BranchStart(k), now.t, &now.y, &now.dy);
            *on |= lacks < SAME_VOLTAGE * self.earth_drop[k].abs();
        }
        out
    }

    /// The earth branches that start to conduct at no current, or `None` if none does.
    ///
    /// Branches that arc oppose their own current only: of all sets of them, the one that fits is
    /// the one whose members' currents rise while the others see too little voltage.
    pub fn starting_branches(&self, rig: &Rig, y: &SVector<f64, D>) -> Option<[bool; MAX_EARTHS]> {
        let weld = self.weld_voltage(y);
        let e = self.drive(y, 0.0, weld);
        for set in (0..1u32 << N).rev() {
            let on: [bool; MAX_EARTHS] = std::array::from_fn(|k| k < N && set >> k & 1 == 1);
            if (0..N).any(|k| !on[k] && !self.lanes[k].parted) {
                continue;
            }
            let inverse = invert(&rig.circuit.inductance, N, on);
            let rise: [f64; N] = std::array::from_fn(|k| {
                (0..N)
                    .map(|j| inverse[k][j] * (e - self.earth_drop[j]))
                    .sum()
            });
            let fits = (0..N).all(|k| {
                if on[k] {
                    rise[k] > 0.0 || !self.lanes[k].parted
                } else {
                    let seen: f64 = (0..N).map(|j| rig.circuit.inductance[k][j] * rise[j]).sum();
                    e - seen <= self.earth_drop[k]
                }
            });
            if fits {
                let least = SAME_VOLTAGE * y[U] * U_UNIT;
                let driven = (0..N).any(|k| on[k] && e - self.earth_drop[k] > least);
                return (driven && rise.iter().sum::<f64>() > 0.0).then_some(on);
            }
        }
        None
    }
}
