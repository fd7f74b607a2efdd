//! Rates and event functions, as the integrator asks for them.

use nalgebra::SVector;

use super::{EventFunction, H, I, Loop, NO_CURRENT, NO_SHARE, PEAKLESS, Path, U, U_UNIT, W, X};
use crate::simulation::integrator::{OdeSystem, Point};
use crate::simulation::units::AMPERE;

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
        let left = self.left(y, e);
        for k in 0..N {
            let ik = y[I + k];
            dy[I + k] = (0..N).map(|j| self.inverse[k][j] * left[j]).sum();
            dy[Self::CHARGES + k] = ik;
            for j in 0..=k {
                dy[Self::pair(j, k)] = ik * y[I + j];
            }
        }
    }

    /// Without a pip in it the loop is linear.
    fn has_series(&self) -> bool {
        self.mode.path != Path::Pip
    }

    #[inline]
    fn rate_term(&self, terms: &[SVector<f64, D>], out: &mut SVector<f64, D>) {
        self.linear_term(terms, out);
    }

    fn looks_at_rates(&self, event: EventFunction) -> bool {
        matches!(
            event,
            EventFunction::Turn | EventFunction::BranchStart(_) | EventFunction::Sets(_)
        )
    }

    fn event_rates(&self, event: EventFunction, a: &Point<D>, b: &Point<D>) -> Option<[f64; 2]> {
        let ends = |of: &dyn Fn(&Point<D>) -> f64| Some([of(a), of(b)]);
        match event {
            EventFunction::CurrentEnd => ends(&|p| Self::current(&p.dy)),
            EventFunction::DiodeConducts => ends(&|p| self.above_diode(&p.dy)),
            EventFunction::DiodeBlocks => {
                ends(&|p| Self::current(&p.dy) + self.bank_share(p.t, &p.y) / self.bank_time())
            }
            EventFunction::Hold => ends(&|p| p.dy[W]),
            EventFunction::BranchStop(k) => ends(&|p| self.lanes[k].sign * p.dy[I + k]),
            EventFunction::Reaches(lane) => {
                let sign = Self::lane_current(&a.y, lane).signum();
                ends(&|p| -sign * Self::lane_current(&p.dy, lane))
            }
            EventFunction::Sets(lane) => {
                let sign = Self::lane_current(&a.y, lane).signum();
                Some(Self::slope_rates(a, b, lane).map(|r| sign * r))
            }
            EventFunction::Turn => {
                let sign = if self.mode.rising { 1.0 } else { -1.0 };
                Some(Self::slope_rates(a, b, None).map(|r| sign * r))
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
            EventFunction::DiodeConducts | EventFunction::DiodeBlocks
                if t == self.mode.switched =>
            {
                0.0
            }
            EventFunction::DiodeConducts => self.above_diode(y) + self.diode_drop,
            EventFunction::DiodeBlocks => match self.bank_share(t, y) {
                // Only the current's end is left then.
                share if share < NO_SHARE => 1.0,
                share => Self::current(y) - share,
            },
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
            EventFunction::Stub => self.gap(y) - self.stub_gap,
            EventFunction::Release => self.release_force() - self.net_force(y, self.spot(y)),
            EventFunction::Hold => y[W],
            EventFunction::Solidus => self.pip.enthalpy.solidus - y[H],
            EventFunction::Liquidus => self.pip.enthalpy.liquidus - y[H],
            EventFunction::FullSpot => -self.spot_spare(y),
            EventFunction::PartSpot => self.spot_spare(y),
            EventFunction::SpotMelts => 1.0 - self.spot_overload(y),
            EventFunction::SpotSets => self.spot_overload(y) - 1.0,
            EventFunction::Reaches(lane) => {
                self.lane(lane).next * AMPERE - Self::lane_current(y, lane).abs()
            }
            EventFunction::Sets(lane) => {
                Self::lane_current(y, lane).signum() * Self::lane_current(dy, lane)
            }
            EventFunction::BranchStop(k) => self.lanes[k].sign * y[I + k],
            EventFunction::BranchStart(k) => {
                let i = Self::current(y);
                let e = self.drive(y, i, self.weld_voltage(y));
                let seen: f64 = (0..N).map(|j| self.inductance[k][j] * dy[I + j]).sum();
                seen - self.left(y, e)[k]
            }
        }
    }
}

impl<const N: usize, const D: usize> Loop<N, D> {
    /// Voltage of the bank's terminals \[V\], or its rate.
    fn above_diode(&self, y: &SVector<f64, D>) -> f64 {
        y[U] * U_UNIT - self.esr * Self::current(y)
    }

    /// Rates of a current's slope at both ends of a step: those of the cubic through its values and slopes.
    fn slope_rates(a: &Point<D>, b: &Point<D>, lane: Option<usize>) -> [f64; 2] {
        let h = b.t - a.t;
        let [from, to] = [a, b].map(|p| Self::lane_current(&p.dy, lane));
        let mean = (Self::lane_current(&b.y, lane) - Self::lane_current(&a.y, lane)) / h;
        [3.0 * mean - 2.0 * from - to, 2.0 * to + from - 3.0 * mean].map(|r| 2.0 * r / h)
    }
}
