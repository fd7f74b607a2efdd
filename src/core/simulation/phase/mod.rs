//! Equations and event functions of the phases with current, for N earth leads.
//!
//! States are scaled to order 1 by the consistent units ms, kA, mΩ, µH, mF, mm, mg and J:
//! then V = kA·mΩ, kA/ms = V/µH, J/ms = kA²·mΩ, and MJ/kg = J/mg.

mod branches;
mod linear;
mod units;
mod watched;

use nalgebra::SVector;

pub use super::event_functions::{EventFunction, Guards};
use super::integrator::{OdeSystem, Point};
use super::rig::{MAX_EARTHS, Rig};
pub use crate::physics::pip::{PipHeat, Spot};
use crate::physics::pip::{Column, Pip};
use units::scaled;

/// Unit of the bank voltage in the state \[V\].
pub const U_UNIT: f64 = 100.0;

/// A current that is none \[kA\]: a creeping discharge would have no end. The solver cannot tell
/// 1 µA from nothing either.
const NO_CURRENT: f64 = 1e-9;

/// Share of the largest current noted below which no turn could be a larger one.
const PEAKLESS: f64 = 0.5;

/// Net force, over the push, beyond which a held stud is released: at first nothing but room for
/// rounding, which a pip crushed just to balance before the trigger needs; and at most.
const LEAST_GRIP: f64 = 1e-9;
const MOST_GRIP: f64 = 1e-3;

/// Places of the states: bank voltage \[100 V\].
pub const U: usize = 0;
/// Pip enthalpy \[MJ/kg\].
pub const H: usize = 1;
/// Speed \[m/s\].
pub const W: usize = 2;
/// Travel \[mm\].
pub const X: usize = 3;
/// First of N earth currents \[kA\]; sums follow, see [`Loop`].
pub const I: usize = 4;

/// What the current flows through.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Path {
    /// The pip and its contact spot.
    Pip,
    /// The arc.
    Arc,
    /// A fixed resistance \[mΩ\]: the closed weld, or a bolted short.
    Short(f64),
}

/// Discrete part of the state: which equations hold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mode {
    /// What the current flows through.
    pub path: Path,
    /// The bank is empty and the diode conducts.
    pub diode: bool,
    /// The stud moves; else it is held.
    pub moving: bool,
    /// How far the pip has been heated.
    pub heat: PipHeat,
    /// What sets the radius of the pip's contact spot.
    pub spot: Spot,
    /// The current still rises.
    pub rising: bool,
    /// Largest current noted so far \[kA\].
    pub peak: f64,
    /// When it last turned \[ms\]: its slope there is none, whatever rounding leaves of it.
    pub turned: f64,
    /// Earth branches that conduct.
    pub conducting: [bool; MAX_EARTHS],
}

/// The loop in scaled units, with the mode that holds now. D = 6 + 3·N: four states, N earth currents,
/// and sums, on which no rate depends.
#[derive(Debug, Clone)]
pub struct Loop<const N: usize, const D: usize> {
    /// Which equations hold now.
    pub mode: Mode,
    inverse: [[f64; N]; N],
    inductance: [[f64; N]; N],
    /// Series resistance with and without the bank's ESR \[mΩ\].
    with_bank: f64,
    without_bank: f64,
    earth: [f64; N],
    /// Constant drops of switch and series joints \[V\].
    drop: f64,
    diode_drop: f64,
    earth_drop: [f64; N],
    /// Rate of the bank voltage \[100 V/ms\] for 1 kA.
    bank_rate: f64,
    arc_base: f64,
    arc_field: f64,
    arc_resistance: f64,
    pip: Pip,
    /// Travel at which the pip's length would be zero, and at which the gap is zero \[mm\].
    pip_end: f64,
    gap_end: f64,
    touch_gap: f64,
    push: f64,
    rate: f64,
    mass: f64,
    /// Net force, over the push, beyond which a held stud is released.
    grip: f64,
}

impl<const N: usize, const D: usize> Loop<N, D> {
    /// Place of the joules in the pip's constriction while it fuses; of ∫i·gap \[C·mm\] while the arc burns.
    pub const AUX: usize = I + N;
    /// Place of the action ∫i² \[10³ A²s\].
    pub const ACTION: usize = I + N + 1;
    /// Places of the N earths' actions \[10³ A²s\], and charges \[C\].
    const ACTION_K: usize = I + N + 2;
    const CHARGE_K: usize = I + 2 * N + 2;

    /// The rig's loop at the trigger.
    pub fn new(rig: &Rig) -> Self {
        debug_assert!(D == 6 + 3 * N && N == rig.earths);
        let s = &rig.stud;
        let series = (rig.switch_slope + rig.series_resistance()) * 1e3;
        let mut out = Loop {
            mode: Mode {
                path: match rig.bolted {
                    Some(r) => Path::Short(r * 1e3),
                    None => Path::Pip,
                },
                diode: false,
                moving: false,
                heat: PipHeat::Solid,
                spot: Spot::Plastic,
                rising: true,
                peak: 0.0,
                turned: f64::NEG_INFINITY,
                conducting: [true; MAX_EARTHS],
            },
            inverse: [[0.0; N]; N],
            inductance: std::array::from_fn(|k| {
                std::array::from_fn(|j| rig.inductance[k][j] * 1e6)
            }),
            with_bank: series + rig.esr * 1e3,
            without_bank: series,
            earth: std::array::from_fn(|k| rig.earth_resistance(k) * 1e3),
            drop: rig.switch_drop + rig.series_drop(),
            diode_drop: rig.diode_drop,
            earth_drop: std::array::from_fn(|k| rig.earth_drop(k)),
            bank_rate: 1e3 / (rig.capacitance * 1e3) / U_UNIT,
            arc_base: rig.arc.base,
            arc_field: rig.arc.field * 1e-3,
            arc_resistance: rig.arc.resistance * 1e3,
            pip: scaled(&s.pip),
            pip_end: (s.approach + s.pip_length) * 1e3,
            gap_end: s.open_travel() * 1e3,
            touch_gap: s.touch_gap * 1e3,
            push: s.flight.push,
            rate: s.flight.rate * 1e-3,
            mass: s.flight.mass * 1e3,
            grip: LEAST_GRIP,
        };
        out.conduct(rig, [true; MAX_EARTHS]);
        out
    }

    /// Total current \[kA\].
    pub fn current(y: &SVector<f64, D>) -> f64 {
        (0..N).map(|k| y[I + k]).sum()
    }

    /// Action \[10³ A²s\] and charge \[C\] of earth branch `k`.
    pub fn branch(y: &SVector<f64, D>, k: usize) -> (f64, f64) {
        (y[Self::ACTION_K + k], y[Self::CHARGE_K + k])
    }

    /// Total charge \[C\].
    pub fn charge(y: &SVector<f64, D>) -> f64 {
        (0..N).map(|k| y[Self::CHARGE_K + k]).sum()
    }

    /// Gap between flange and sheet \[mm\].
    pub fn gap(&self, y: &SVector<f64, D>) -> f64 {
        self.gap_end - y[X]
    }

    /// Voltage across the weld \[V\].
    pub fn weld_voltage(&self, y: &SVector<f64, D>) -> f64 {
        let i = Self::current(y);
        match self.mode.path {
            Path::Pip => {
                let column = self.column(y);
                i * (column.resistance + column.constriction)
            }
            Path::Arc => self.arc_voltage(y, i),
            Path::Short(r) => i * r,
        }
    }

    /// Voltage that drives the earth branches before their own drops \[V\].
    fn drive(&self, y: &SVector<f64, D>, i: f64, weld: f64) -> f64 {
        let (source, series) = if self.mode.diode {
            (-self.diode_drop, self.without_bank)
        } else {
            (y[U] * U_UNIT, self.with_bank)
        };
        source - self.drop - series * i - weld
    }

    /// Pip length, never quite zero \[mm\].
    fn pip_length(&self, y: &SVector<f64, D>) -> f64 {
        (self.pip_end - y[X]).max(1e-9)
    }

    /// Area the contact spot could have beyond the pip's own section, softened \[mm²\].
    fn spot_spare(&self, y: &SVector<f64, D>) -> f64 {
        let (l, i) = (self.pip_length(y), Self::current(y));
        self.pip.spare_area(self.mode.heat, y[H], l, i)
    }

    /// Voltage of the plastic spot over that at which it melts.
    fn spot_overload(&self, y: &SVector<f64, D>) -> f64 {
        let (l, i) = (self.pip_length(y), Self::current(y));
        self.pip.overload(self.mode.heat, y[H], l, i)
    }

    fn column(&self, y: &SVector<f64, D>) -> Column {
        let (l, i) = (self.pip_length(y), Self::current(y));
        self.pip.column(self.mode.heat, y[H], l, i, self.mode.spot)
    }

    /// The contact spot no longer fills the pip's section: what sets its radius now.
    pub fn narrow_spot(&mut self, y: &SVector<f64, D>) {
        self.mode.spot = if self.spot_overload(y) > 1.0 {
            Spot::Molten
        } else {
            Spot::Plastic
        };
    }

    /// Radius of the contact spot \[mm\].
    fn spot(&self, y: &SVector<f64, D>) -> f64 {
        let (l, i) = (self.pip_length(y), Self::current(y));
        self.pip
            .spot_radius(self.mode.heat, y[H], l, i, self.mode.spot)
    }

    fn arc_voltage(&self, y: &SVector<f64, D>, i: f64) -> f64 {
        self.arc_base + self.arc_field * self.gap(y) + self.arc_resistance * i
    }

    /// Net force that accelerates the stud while the pip holds it, on a spot of the radius `spot` \[N\].
    fn net_force(&self, y: &SVector<f64, D>, spot: f64) -> f64 {
        self.push
            - self.rate * y[X]
            - self
                .pip
                .crush_force(self.mode.heat, y[H], self.pip_length(y))
            - self.pip.blow_off_force(Self::current(y), spot)
    }

    /// Net force beyond which a held stud is released \[N\].
    fn release_force(&self) -> f64 {
        self.grip * self.push.abs()
    }

    /// Holds the stud. A pip may stick and slip for as long as it is heated, each time by less: each
    /// hold doubles the force that ends it, up to a thousandth of the push, which moves nothing.
    pub fn hold(&mut self) {
        self.mode.moving = false;
        self.grip = (self.grip * 2.0).min(MOST_GRIP);
    }

    /// Whether the stud moves as soon as the pip takes its load.
    pub fn released(&self, y: &SVector<f64, D>) -> bool {
        self.net_force(y, self.spot(y)) > self.release_force()
    }
}

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

    fn looks_at_rates(&self, event_function: EventFunction) -> bool {
        matches!(
            event_function,
            EventFunction::Turn | EventFunction::BranchStart(_)
        )
    }

    fn event_rates(
        &self,
        event_function: EventFunction,
        a: &Point<D>,
        b: &Point<D>,
    ) -> Option<[f64; 2]> {
        let ends = |of: &dyn Fn(&Point<D>) -> f64| Some([of(a), of(b)]);
        match event_function {
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
        event_function: EventFunction,
        t: f64,
        y: &SVector<f64, D>,
        dy: &SVector<f64, D>,
    ) -> f64 {
        match event_function {
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
