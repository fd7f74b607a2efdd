//! What is noted on the way: moments, rows, the arc's energy.

use nalgebra::SVector;

use super::Runner;
use crate::simulation::discharge_record::{Integrals, Moment};
use crate::simulation::heat_solver::ArcKnot;
use crate::simulation::phase::{H, I, Loop, U, U_UNIT, W, X};
use crate::simulation::rig::{MAX_EARTHS, Rig};
use crate::simulation::sample::Sample;
use crate::simulation::units::{
    AMPERE, KILOAMPERE, KILOAMPERE_SQUARED_MILLISECOND, MEGAJOULE_PER_KILOGRAM, MILLIMETRE,
    MILLISECOND,
};

impl<const N: usize, const D: usize> Runner<'_, N, D> {
    /// A maximum of the current, or its value at a kink.
    pub(super) fn note_peak(&mut self) {
        let i = Loop::<N, D>::current(&self.now.y) * KILOAMPERE;
        if i > self.out.peak.0 {
            self.out.peak = (i, self.now.t * MILLISECOND);
            self.field.mode.peak = i * AMPERE;
        }
    }

    pub(super) fn moment(&self) -> Moment {
        let y = &self.now.y;
        let mut sums = Integrals {
            action: y[Loop::<N, D>::ACTION] * KILOAMPERE_SQUARED_MILLISECOND,
            charge: Loop::<N, D>::charge(y),
            aux: if self.struck.is_some() {
                y[Loop::<N, D>::AUX] * MILLIMETRE
            } else {
                y[Loop::<N, D>::AUX]
            },
            ..Integrals::default()
        };
        let mut earths = [0.0; MAX_EARTHS];
        for k in 0..N {
            let (action, charge) = Loop::<N, D>::branch(y, k);
            sums.earth_action[k] = action * KILOAMPERE_SQUARED_MILLISECOND;
            sums.earth_charge[k] = charge;
            earths[k] = y[I + k] * KILOAMPERE;
        }
        Moment {
            t: self.now.t * MILLISECOND,
            bank: y[U] * U_UNIT,
            current: Loop::<N, D>::current(y) * KILOAMPERE,
            earths,
            pip_enthalpy: y[H] * MEGAJOULE_PER_KILOGRAM,
            speed: y[W],
            travel: y[X] * MILLIMETRE,
            sums,
        }
    }

    pub(super) fn sample_now(&mut self) {
        if let Some(sampler) = self.sampler.as_deref_mut() {
            let sample = Sample::of(self.phase, &self.field, self.now.t, &self.now.y);
            sampler.push(sample);
        }
    }

    /// Before and after an event that leaves the state as it is.
    pub(super) fn sample_pair(&mut self) {
        self.sample_now();
        self.sample_now();
    }
}

/// Energy and power of the arc at a time \[ms\] and state.
pub(super) fn arc_knot<const N: usize, const D: usize>(
    rig: &Rig,
    field: &Loop<N, D>,
    t: f64,
    y: &SVector<f64, D>,
    struck: &Integrals,
) -> ArcKnot {
    let charge = Loop::<N, D>::charge(y) - struck.charge;
    let action = y[Loop::<N, D>::ACTION] * KILOAMPERE_SQUARED_MILLISECOND - struck.action;
    ArcKnot {
        t: t * MILLISECOND,
        energy: rig.arc.base * charge
            + rig.arc.field * y[Loop::<N, D>::AUX] * MILLIMETRE
            + rig.arc.resistance * action,
        power: field.weld_voltage(y) * Loop::<N, D>::current(y) * KILOAMPERE,
    }
}
