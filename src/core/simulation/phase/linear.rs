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
    pub(super) fn linear_term(&self, terms: &[SVector<f64, D>]) -> SVector<f64, D> {
        let mut out = SVector::zeros();
        let Some(y) = terms.last() else { return out };
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
            Path::Pip => return out,
        };
        let (source, series) = if self.mode.diode {
            (0.0, self.without_bank)
        } else {
            out[U] = -self.bank_rate * i;
            (y[U] * U_UNIT, self.with_bank)
        };
        let e = source - series * i - weld;
        let drive: [f64; N] = std::array::from_fn(|j| e - self.earth[j] * y[I + j]);
        for k in 0..N {
            out[I + k] = (0..N).map(|j| self.inverse[k][j] * drive[j]).sum();
            out[Self::CHARGE_K + k] = y[I + k];
        }
        self.products(terms, &mut out);
        out
    }

    /// Terms of i², of each earth's i² and of i·gap.
    #[inline]
    fn products(&self, terms: &[SVector<f64, D>], out: &mut SVector<f64, D>) {
        let arc = self.mode.path == Path::Arc;
        // From both ends to the middle: a pair of terms counts twice, one in the middle once.
        let power = terms.len() - 1;
        for low in 0..=power / 2 {
            let high = power - low;
            let twice = if low == high { 0.5 } else { 1.0 };
            let (a, b) = (&terms[low], &terms[high]);
            let (ia, ib) = (Self::current(a), Self::current(b));
            out[Self::ACTION] += 2.0 * twice * ia * ib;
            for k in 0..N {
                out[Self::ACTION_K + k] += 2.0 * twice * a[I + k] * b[I + k];
            }
            if arc {
                let gap = |y: &SVector<f64, D>, power: usize| {
                    if power == 0 { self.gap(y) } else { -y[X] }
                };
                out[Self::AUX] += twice * (ia * gap(b, high) + ib * gap(a, low));
            }
        }
    }
}
