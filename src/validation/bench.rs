//! Rigs set up like the published examples, and short ways to run them.

use super::{Allowed, Check, Source};
use arcplunge_core::case::Case;
use arcplunge_core::case::model::Joint;
use arcplunge_core::simulation::discharge::{Discharge, discharge};
use arcplunge_core::simulation::fire::{Settings, Workspace, fire};
use arcplunge_core::simulation::integrator::Tolerance;
use arcplunge_core::simulation::rig::Rig;
use arcplunge_core::simulation::shot::Shot;

/// The demonstration case with one earth lead and joints that cost nothing.
pub fn plain() -> Case {
    let mut case = Case::default();
    let none = Joint::of_resistance(0.0);
    case.joints.bank = none.clone();
    case.joints.tool = none.clone();
    case.joints.chuck = none.clone();
    case.earths.truncate(1);
    case.earths[0].terminal = none.clone();
    case.earths[0].clamp = none;
    case
}

/// A capacitor discharged through a resistance, an inductance and a constant opposing voltage.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Series {
    /// Charging voltage \[V\].
    pub voltage: f64,
    /// Whole resistance of the loop \[Ω\].
    pub resistance: f64,
    /// Whole inductance of the loop \[H\].
    pub inductance: f64,
    /// Capacitance \[F\].
    pub capacitance: f64,
    /// Constant drop that opposes the current \[V\].
    pub opposing: f64,
    /// Drop of the free-wheel diode \[V\].
    pub diode: f64,
    /// When the record ends \[s\].
    pub until: f64,
}

impl Series {
    /// A bolted case on short leads whose internal wiring makes up the loop's resistance and
    /// inductance.
    pub fn rig(&self) -> Rig {
        let mut case = plain();
        case.stud.short_resistance = Some(0.0);
        case.bank.voltage = self.voltage;
        case.bank.capacitance = self.capacitance;
        case.bank.switch_drop = self.opposing;
        case.bank.diode_drop = self.diode;
        (case.bank.esr, case.bank.switch_slope) = (0.0, 0.0);
        (case.bank.internal_resistance, case.bank.internal_inductance) = (0.0, 0.0);
        (case.lead.length, case.earths[0].length) = (1.0, 1.0);
        case.model.end_time = self.until;
        let bare = Rig::new(&case);
        case.bank.internal_resistance = self.resistance - bare.circuit.loop_resistance();
        case.bank.internal_inductance = self.inductance - bare.circuit.loop_inductance();
        Rig::new(&case)
    }

    /// Integrates the discharge; empty if the solver failed.
    pub fn run(&self) -> Discharge {
        run(&self.rig())
    }
}

/// Integrates a rig's discharge at the default tolerance; empty if the solver failed.
pub fn run(rig: &Rig) -> Discharge {
    let mut out = Discharge::default();
    match discharge(rig, Tolerance::default(), &mut out, None) {
        Ok(()) => out,
        Err(_) => Discharge::default(),
    }
}

/// Fires a case as the program does; `None` if the solver failed.
pub fn shot(case: &Case) -> Option<Shot> {
    let mut work = Workspace::default();
    fire(&Rig::new(case), &Settings::default(), &mut work).ok()
}

/// A figure of a shot, or no number.
pub fn or_none(value: Option<f64>) -> f64 {
    value.unwrap_or(f64::NAN)
}

/// The under-damped example: 100 V, 10 mΩ, 5 µH, 66 mF.
pub const UNDER_DAMPED: Series = Series {
    voltage: 100.0,
    resistance: 10e-3,
    inductance: 5e-6,
    capacitance: 66e-3,
    opposing: 0.0,
    diode: 0.0,
    until: 0.02,
};

/// The over-damped example: 120 V, 25 mΩ, 3 µH, 90 mF.
pub const OVER_DAMPED: Series = Series {
    voltage: 120.0,
    resistance: 25e-3,
    inductance: 3e-6,
    capacitance: 90e-3,
    ..UNDER_DAMPED
};

/// The critically damped example: 90 V, 12.649 mΩ, 4 µH, 100 mF.
pub const CRITICAL: Series = Series {
    voltage: 90.0,
    resistance: 12.6491106407e-3,
    inductance: 4e-6,
    capacitance: 0.1,
    ..UNDER_DAMPED
};

/// A row whose value was evaluated to many digits.
pub(super) fn discharge_check(
    id: &str,
    quantity: &str,
    source: Source,
    unit: &'static str,
    published: f64,
    computed: f64,
) -> Check {
    Check::new(
        format!("discharge.{id}"),
        quantity,
        source,
        unit,
        published,
        computed,
        Allowed::Relative(1e-6),
    )
}
