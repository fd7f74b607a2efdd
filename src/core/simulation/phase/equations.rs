//! Rates and event functions, as the integrator asks for them.

use nalgebra::SVector;

use super::{EventFunction, H, I, Loop, NO_CURRENT, PEAKLESS, Path, U, W, X};
use crate::simulation::integrator::{OdeSystem, Point};

impl<const N: usize, const D: usize> OdeSystem<D> for Loop<N, D> {
    type EventFunction = EventFunction;

    const CORE: usize = I + N;

    #[inline]
    fn rates(&self, _t: f64, y: &SVector<f64, D>, dy: &mut SVector<f64, D>) {
        let i = Self::current(y);
        let (mut dh, mut dw, mut dx, mut aux) = (0.0, 0.0, 0.0, 0.0);
        let weld = match self.mode.path {
            Path::Pip => {
                let column = self.column(y);
                dh = i * i * column.resistance / self.pip.mass;
                aux = i * i * column.constriction;
                if self.mode.moving {
                    dw = self.net_force(y, column.spot) / self.mass;
                    dx = y[W];
                }
                i * (column.resistance + column.constriction)
            }
            Path::Arc => {
                aux = i * self.gap(y);
                if self.mode.moving {
                    dw = (self.push - self.rate * y[X]) / self.mass;
                    dx = y[W];
                }
                self.arc_voltage(y, i)
            }
            Path::Short(r) => i * r,
        };
        let e = self.drive(y, i, weld);
        dy[U] = if self.mode.diode {
            0.0
        } else {
            -self.bank_rate * i
        };
        dy[H] = dh;
        dy[W] = dw;
        dy[X] = dx;
        dy[Self::AUX] = aux;
        dy[Self::ACTION] = i * i;
        let drive: [f64; N] =
            std::array::from_fn(|j| e - self.earth[j] * y[I + j] - self.earth_drop[j]);
        for k in 0..N {
            let ik = y[I + k];
            dy[I + k] = (0..N).map(|j| self.inverse[k][j] * drive[j]).sum();
            dy[Self::ACTION_K + k] = ik * ik;
            dy[Self::CHARGE_K + k] = ik;
        }
    }

    /// Without a pip in it the loop is linear.
    fn has_series(&self) -> bool {
        self.mode.path != Path::Pip
    }

    #[inline]
    fn rate_term(&self, terms: &[SVector<f64, D>]) -> SVector<f64, D> {
        self.linear_term(terms)
    }

    fn looks_at_rates(&self, event: EventFunction) -> bool {
        matches!(event, EventFunction::Turn | EventFunction::BranchStart(_))
    }

    fn event_rates(&self, event: EventFunction, a: &Point<D>, b: &Point<D>) -> Option<[f64; 2]> {
        let ends = |of: &dyn Fn(&Point<D>) -> f64| Some([of(a), of(b)]);
        match event {
            EventFunction::CurrentEnd => ends(&|p| Self::current(&p.dy)),
            EventFunction::BankEmpty => ends(&|p| p.dy[U]),
            EventFunction::Hold => ends(&|p| p.dy[W]),
            EventFunction::BranchStop(k) => ends(&|p| p.dy[I + k]),
            EventFunction::Turn => {
                // The slope's own rates are those of the cubic through the currents.
                let h = b.t - a.t;
                let [from, to] = [a, b].map(|p| Self::current(&p.dy));
                let mean = (Self::current(&b.y) - Self::current(&a.y)) / h;
                let sign = if self.mode.rising { 1.0 } else { -1.0 };
                Some(
                    [3.0 * mean - 2.0 * from - to, 2.0 * to + from - 3.0 * mean]
                        .map(|r| sign * 2.0 * r / h),
                )
            }
            _ => None,
        }
    }

    fn event_function(
        &self,
        event: EventFunction,
        t: f64,
        y: &SVector<f64, D>,
        dy: &SVector<f64, D>,
    ) -> f64 {
        match event {
            EventFunction::CurrentEnd => Self::current(y) - NO_CURRENT,
            EventFunction::BankEmpty => y[U],
            EventFunction::Turn => {
                let slope = Self::current(dy);
                match self.mode.rising {
                    _ if t == self.mode.turned => 0.0,
                    // What creeps turns by the solver's error alone.
                    _ if Self::current(y) < PEAKLESS * self.mode.peak => 1.0,
                    true => slope,
                    false => -slope,
                }
            }
            EventFunction::Burst => self.pip.burst - y[H],
            EventFunction::Stub => self.gap(y) - self.touch_gap,
            EventFunction::Release => self.release_force() - self.net_force(y, self.spot(y)),
            EventFunction::Hold => y[W],
            EventFunction::Solidus => self.pip.enthalpy.solidus - y[H],
            EventFunction::Liquidus => self.pip.enthalpy.liquidus - y[H],
            EventFunction::FullSpot => -self.spot_spare(y),
            EventFunction::PartSpot => self.spot_spare(y),
            EventFunction::SpotMelts => 1.0 - self.spot_overload(y),
            EventFunction::SpotSets => self.spot_overload(y) - 1.0,
            EventFunction::BranchStop(k) => y[I + k],
            EventFunction::BranchStart(k) => {
                let i = Self::current(y);
                let seen: f64 = (0..N).map(|j| self.inductance[k][j] * dy[I + j]).sum();
                self.earth_drop[k] + seen - self.drive(y, i, self.weld_voltage(y))
            }
        }
    }
}
