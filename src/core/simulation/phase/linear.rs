//! The power series of the phases without a pip: arc, closed weld, bolted short.
//!
//! Bank, leads, arc and spring are linear there, so each power follows from the one below it; the sums
//! are products of series (Cauchy).

use nalgebra::SVector;

use super::{I, Loop, Path, U, U_UNIT, W, X};

impl<const N: usize, const D: usize> Loop<N, D> {
    /// Term of the rates at the last power of the state's `terms`, from the first power on; see
    /// [`OdeSystem::rate_term`](crate::simulation::integrator::OdeSystem::rate_term).
    #[inline]
    pub(super) fn linear_term(&self, terms: &[SVector<f64, D>], out: &mut SVector<f64, D>) {
        let Some(y) = terms.last() else { return };
        let i = Self::current(y);
        let weld = match self.mode.path {
            Path::Arc => {
                if self.mode.moving {
                    out[W] = -self.rate * y[X] / self.mass;
                    out[X] = y[W];
                }
                self.arc_resistance * i - self.arc_field * y[X]
            }
            Path::Short(r) => i * r,
            Path::Pip => return,
        };
        // The diode's own drop is a constant, and in no term but the first; the bank beside it is no state.
        if !self.mode.diode {
            out[U] = -self.bank_rate * i;
        }
        let source = if self.mode.diode {
            0.0
        } else {
            y[U] * U_UNIT - self.esr * i
        };
        let e = source - self.series * i - weld;
        let left: [f64; N] = std::array::from_fn(|k| {
            e - (0..N)
                .map(|j| self.resistance[k][j] * y[I + j])
                .sum::<f64>()
        });
        for k in 0..N {
            out[I + k] = (0..N).map(|j| self.inverse[k][j] * left[j]).sum();
            out[Self::CHARGES + k] = y[I + k];
        }
        self.products(terms, out);
    }

    /// Terms of the products of the earths' currents and of i·gap.
    #[inline]
    fn products(&self, terms: &[SVector<f64, D>], out: &mut SVector<f64, D>) {
        let arc = self.mode.path == Path::Arc;
        // From both ends to the middle: a pair of terms counts twice, one in the middle once.
        let power = terms.len() - 1;
        for low in 0..=power / 2 {
            let high = power - low;
            let twice = if low == high { 0.5 } else { 1.0 };
            let (a, b) = (&terms[low], &terms[high]);
            for k in 0..N {
                out[Self::pair(k, k)] += 2.0 * twice * a[I + k] * b[I + k];
                for j in 0..k {
                    let both = a[I + k] * b[I + j] + a[I + j] * b[I + k];
                    out[Self::pair(j, k)] += twice * both;
                }
            }
            if arc {
                let (ia, ib) = (Self::current(a), Self::current(b));
                let gap = |y: &SVector<f64, D>, power: usize| {
                    if power == 0 { self.gap(y) } else { -y[X] }
                };
                out[Self::AUX] += twice * (ia * gap(b, high) + ib * gap(a, low));
            }
        }
    }
}
