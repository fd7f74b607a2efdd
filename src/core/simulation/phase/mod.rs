//! Equations and event functions of the phases with current, for N earth leads.
//!
//! States are scaled to order 1; see [`units`](super::units).

mod branches;
mod equations;
mod linear;
mod scaled;
mod spot;
mod watched;

use std::cell::Cell;

use nalgebra::SVector;

use super::contacts::{Contacts, Lane};
pub use super::event_functions::{EventFunction, Guards};
use super::rig::{MAX_EARTHS, Rig};
use super::units::{AMPERE, HENRY, KILOGRAM, METRE, OHM, PER_METRE};
use crate::physics::pip::{Column, Heated, Pip};
pub use crate::physics::pip::{PipHeat, Spot};
use scaled::scaled;

/// Unit of the bank voltage in the state \[V\].
pub const U_UNIT: f64 = 100.0;

/// A current that is none \[kA\]: a creeping discharge would have no end. The solver cannot tell
/// 1 µA from nothing either.
const NO_CURRENT: f64 = 1e-9;

/// A share of the bank beside the diode that is none \[kA\].
const NO_SHARE: f64 = 1e-4;

/// Share of the largest current noted below which no turn could be a larger one.
const PEAKLESS: f64 = 0.5;

/// Net force, over the push, beyond which a held stud is released: at first nothing but room for
/// rounding, which a pip crushed just to balance before the trigger needs; and at most.
const LEAST_GRIP: f64 = 1e-9;
const MOST_GRIP: f64 = 1e-3;

/// Places of the states: bank voltage \[100 V\], until the diode conducts; see [`Loop::bank_voltage`].
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
    /// The free-wheel diode conducts, and shares the current with the bank.
    pub diode: bool,
    /// When it last began or ceased to \[ms\]: its event function there is none, whatever rounding leaves of it.
    pub switched: f64,
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

/// The loop in scaled units, with the mode that holds now. D = 5 + 2·N + N·(N + 1)/2: four states, N earth currents,
/// and sums, on which no rate depends.
#[derive(Debug, Clone)]
pub struct Loop<const N: usize, const D: usize> {
    /// Which equations hold now.
    pub mode: Mode,
    inverse: [[f64; N]; N],
    inductance: [[f64; N]; N],
    /// Resistance matrix of the branches without their joints \[mΩ\].
    leads: [[f64; N]; N],
    /// The same with them.
    resistance: [[f64; N]; N],
    /// Switch and wiring in series with the stud, and the bank's own \[mΩ\].
    wiring: f64,
    esr: f64,
    /// Wiring and joints in series with the stud \[mΩ\].
    series: f64,
    switch_drop: f64,
    /// Constant drops of switch and series joints \[V\].
    drop: f64,
    diode_drop: f64,
    /// Constant drops of the branches, against their currents \[V\].
    earth_drop: [f64; N],
    /// The joints in series with the stud and those of each branch.
    lanes: [Lane; N],
    whole: Lane,
    /// Currents that the stored energy could drive at most: of each branch, of all \[kA\].
    most: [f64; N],
    most_whole: f64,
    /// Rate of the bank voltage \[100 V/ms\] for 1 kA.
    bank_rate: f64,
    arc_base: f64,
    arc_field: f64,
    arc_resistance: f64,
    pip: Pip,
    /// How far it had been heated when last asked, and its metal then.
    heated: Cell<(PipHeat, f64, Heated)>,
    /// Travel at which the pip's length would be zero, and at which the gap is zero \[mm\].
    pip_end: f64,
    gap_end: f64,
    stub_gap: f64,
    push: f64,
    rate: f64,
    mass: f64,
    /// Net force, over the push, beyond which a held stud is released.
    grip: f64,
}

impl<const N: usize, const D: usize> Loop<N, D> {
    /// Place of the joules in the pip's constriction while it fuses; of ∫i·gap \[C·mm\] while the arc burns.
    pub const AUX: usize = I + N;
    /// Places of ∫i_k·i_j of each pair of earths \[10³ A²s\], see [`Loop::pair`], and of the N charges \[C\].
    const PAIRS: usize = I + N + 1;
    const CHARGES: usize = Self::PAIRS + N * (N + 1) / 2;

    /// Place of ∫i_k·i_j, where j is not below k.
    const fn pair(k: usize, j: usize) -> usize {
        Self::PAIRS + j * (j + 1) / 2 + k
    }

    /// The rig's loop at the trigger.
    pub fn new(rig: &Rig, contacts: &Contacts) -> Self {
        debug_assert!(D == 5 + 2 * N + N * (N + 1) / 2 && N == rig.circuit.earths);
        let s = &rig.stud;
        let c = &rig.circuit;
        let pip = scaled(&s.pip);
        let mut out = Loop {
            mode: Mode {
                path: match c.bolted {
                    Some(r) => Path::Short(r * OHM),
                    None => Path::Pip,
                },
                diode: false,
                switched: f64::NEG_INFINITY,
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
                std::array::from_fn(|j| c.inductance[k][j] * HENRY)
            }),
            leads: std::array::from_fn(|k| {
                std::array::from_fn(|j| {
                    let own = if k == j { c.lead_resistances[k] } else { 0.0 };
                    (own + c.sheet[k][j]) * OHM
                })
            }),
            resistance: [[0.0; N]; N],
            wiring: (c.switch_slope + c.wiring_resistance()) * OHM,
            esr: c.esr * OHM,
            series: 0.0,
            switch_drop: c.switch_drop,
            drop: 0.0,
            diode_drop: c.diode_drop,
            earth_drop: [0.0; N],
            lanes: [contacts.lane(None); N],
            whole: contacts.lane(None),
            most: [0.0; N],
            most_whole: 0.0,
            bank_rate: 1.0 / c.capacitance / U_UNIT,
            arc_base: rig.arc.base,
            arc_field: rig.arc.field * PER_METRE,
            arc_resistance: rig.arc.resistance * OHM,
            heated: Cell::new((PipHeat::Solid, 0.0, pip.heated(PipHeat::Solid, 0.0))),
            pip,
            pip_end: (s.approach + s.pip_length) * METRE,
            gap_end: s.open_travel() * METRE,
            stub_gap: s.stub_gap() * METRE,
            push: s.flight.push,
            rate: s.flight.rate * PER_METRE,
            mass: s.flight.mass * KILOGRAM,
            grip: LEAST_GRIP,
        };
        out.conduct(rig, [true; MAX_EARTHS]);
        // ½·i·𝓛·i is no more than what the bank held; least for a given current where 𝓛·i is the same in all.
        let current = |inverse: f64| (2.0 * c.stored_energy() * inverse).sqrt();
        out.most = std::array::from_fn(|k| current(out.inverse[k][k]));
        out.most_whole = current(out.inverse.iter().flatten().sum());
        out.arrange(contacts);
        out
    }

    /// Total current \[kA\].
    pub fn current(y: &SVector<f64, D>) -> f64 {
        (0..N).map(|k| y[I + k]).sum()
    }

    /// Takes over how the contacts stand.
    pub fn arrange(&mut self, contacts: &Contacts) {
        self.whole = contacts.lane(None);
        self.lanes = std::array::from_fn(|k| contacts.lane(Some(k)));
        self.series = self.wiring + self.whole.resistance * OHM;
        self.drop = self.switch_drop + self.whole.drop;
        self.resistance = self.leads;
        for (k, lane) in self.lanes.iter().enumerate() {
            self.resistance[k][k] += lane.resistance * OHM;
            self.earth_drop[k] = lane.drop;
        }
    }

    /// The joints in series with the stud, or those of an earth lead.
    pub fn lane(&self, earth: Option<usize>) -> &Lane {
        earth.map_or(&self.whole, |k| &self.lanes[k])
    }

    /// Whether a lane's current may ever reach what its joints bear.
    fn may_reach(&self, earth: Option<usize>) -> bool {
        let most = earth.map_or(self.most_whole, |k| self.most[k]);
        self.lane(earth).next * AMPERE <= most
    }

    /// Current of a lane \[kA\], or its rate.
    fn lane_current(y: &SVector<f64, D>, earth: Option<usize>) -> f64 {
        earth.map_or_else(|| Self::current(y), |k| y[I + k])
    }

    /// ∫i_k·i_j \[10³ A²s\] of two earth branches.
    pub fn action(y: &SVector<f64, D>, k: usize, j: usize) -> f64 {
        y[Self::pair(k.min(j), k.max(j))]
    }

    /// ∫i² of the whole current \[10³ A²s\].
    pub fn whole_action(y: &SVector<f64, D>) -> f64 {
        let row = |k| (0..N).map(|j| Self::action(y, k, j)).sum::<f64>();
        (0..N).map(row).sum()
    }

    /// Charge of an earth branch \[C\].
    pub fn branch_charge(y: &SVector<f64, D>, k: usize) -> f64 {
        y[Self::CHARGES + k]
    }

    /// Total charge \[C\].
    pub fn charge(y: &SVector<f64, D>) -> f64 {
        (0..N).map(|k| y[Self::CHARGES + k]).sum()
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
        let source = if self.mode.diode {
            -self.diode_drop
        } else {
            y[U] * U_UNIT - self.esr * i
        };
        source - self.drop - self.series * i - weld
    }

    /// Time in which the bank dies away through its own resistance beside the diode \[ms\].
    fn bank_time(&self) -> f64 {
        self.esr / (self.bank_rate * U_UNIT)
    }

    /// Voltage of the bank \[V\]. Beside the diode it dies away whatever the loop does, so that its state stays as
    /// it was when that began to conduct.
    pub fn bank_voltage(&self, t: f64, y: &SVector<f64, D>) -> f64 {
        let state = y[U] * U_UNIT;
        if self.mode.diode && self.esr > 0.0 {
            let left = (-(t - self.mode.switched) / self.bank_time()).exp();
            (state + self.diode_drop) * left - self.diode_drop
        } else {
            state
        }
    }

    /// Current of the bank while the diode conducts \[kA\]: what its own resistance lets through.
    fn bank_share(&self, t: f64, y: &SVector<f64, D>) -> f64 {
        (self.bank_voltage(t, y) + self.diode_drop) / self.esr
    }

    /// Voltage left of each branch for its inductances \[V\].
    fn left(&self, y: &SVector<f64, D>, e: f64) -> [f64; N] {
        std::array::from_fn(|k| {
            let ohmic: f64 = (0..N).map(|j| self.resistance[k][j] * y[I + j]).sum();
            e - ohmic - self.earth_drop[k]
        })
    }

    /// Pip length, never quite zero \[mm\].
    fn pip_length(&self, y: &SVector<f64, D>) -> f64 {
        (self.pip_end - y[X]).max(1e-9)
    }

    fn column(&self, y: &SVector<f64, D>) -> Column {
        let (l, i) = (self.pip_length(y), Self::current(y));
        self.pip.column(&self.heated(y), l, i, self.mode.spot)
    }

    /// The pip's metal. Rates and event functions ask for it at the same state one after the other.
    #[inline]
    fn heated(&self, y: &SVector<f64, D>) -> Heated {
        let (heat, h) = (self.mode.heat, y[H]);
        let (known_heat, known_h, known) = self.heated.get();
        if known_heat == heat && known_h == h {
            return known;
        }
        let metal = self.pip.heated(heat, h);
        self.heated.set((heat, h, metal));
        metal
    }

    fn arc_voltage(&self, y: &SVector<f64, D>, i: f64) -> f64 {
        self.arc_base + self.arc_field * self.gap(y) + self.arc_resistance * i
    }

    /// Net force that accelerates the stud while the pip holds it, on a spot of the radius `spot` \[N\].
    fn net_force(&self, y: &SVector<f64, D>, spot: f64) -> f64 {
        self.push
            - self.rate * y[X]
            - self.pip.crush_force(&self.heated(y), self.pip_length(y))
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
