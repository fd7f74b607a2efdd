//! What is noted on the way: moments, rows, the arc's energy.

use nalgebra::SVector;

use super::Runner;
use crate::simulation::heat_solver::ArcKnot;
use crate::simulation::moment::{Integrals, Moment};
use crate::simulation::phase::{H, I, Loop, W, X};
use crate::simulation::rig::{MAX_EARTHS, Rig};
use crate::simulation::sample::Sample;
use crate::simulation::units::{
    AMPERE, KILOAMPERE, KILOAMPERE_SQUARED_MILLISECOND, MEGAJOULE_PER_KILOGRAM, MILLIMETRE,
    MILLISECOND,
};

impl<const N: usize, const D: usize> Runner<'_, '_, N, D> {
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
            action: Loop::<N, D>::whole_action(y) * KILOAMPERE_SQUARED_MILLISECOND,
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
            earths[k] = y[I + k] * KILOAMPERE;
            sums.earth_charge[k] = Loop::<N, D>::branch_charge(y, k);
            for j in 0..N {
                let product = Loop::<N, D>::action(y, k, j);
                sums.products[k][j] = product * KILOAMPERE_SQUARED_MILLISECOND;
            }
        }
        Moment {
            t: self.now.t * MILLISECOND,
            bank: self.field.bank_voltage(self.now.t, y),
            current: Loop::<N, D>::current(y) * KILOAMPERE,
            earths,
            pip_enthalpy: y[H] * MEGAJOULE_PER_KILOGRAM,
            speed: y[W],
            travel: y[X] * MILLIMETRE,
            sums,
        }
    }

    /// Counts what the bank gave since the diode last began or ceased to conduct.
    pub(super) fn count_supply(&mut self, now: &Moment) {
        let (circuit, since) = (&self.rig.circuit, &self.switched);
        let supply = &mut self.out.supply;
        if self.field.mode.diode {
            // u + V_D dies away over ESR·C, whatever the loop does.
            let [from, to] = [since, now].map(|m| m.bank + circuit.diode_drop);
            supply.charge += circuit.capacitance * (from - to);
            if circuit.esr > 0.0 {
                supply.action += 0.5 * circuit.capacitance / circuit.esr * (from * from - to * to);
            }
        } else {
            supply.action += now.sums.action - since.sums.action;
            supply.charge += now.sums.charge - since.sums.charge;
        }
        self.switched = *now;
    }

    /// The record's end: everything is counted up to it.
    pub(super) fn finish(&mut self) {
        let now = self.moment();
        self.count_supply(&now);
        self.out.joints = self.contacts.records(&now);
        self.out.end = now;
    }

    pub(super) fn sample_now(&mut self) {
        if let Some(sampler) = self.sampler.as_deref_mut() {
            let sample = Sample::of(
                self.phase,
                &self.field,
                &self.contacts,
                self.now.t,
                &self.now.y,
            );
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
    let action = Loop::<N, D>::whole_action(y) * KILOAMPERE_SQUARED_MILLISECOND - struck.action;
    ArcKnot {
        t: t * MILLISECOND,
        energy: rig.arc.base * charge
            + rig.arc.field * y[Loop::<N, D>::AUX] * MILLIMETRE
            + rig.arc.resistance * action,
        power: field.weld_voltage(y) * Loop::<N, D>::current(y) * KILOAMPERE,
    }
}
