//! How long the chuck lasts, and what the bank needs as it ages.

use super::run::Run;
use crate::case::Case;
use crate::case::joint_id::JointId;
use crate::physics::joint::BLOW_OFF;
use crate::physics::wear::{aging, sliding, welds_to};
use crate::simulation::fire::{Settings, Workspace, fire};
use crate::simulation::integrator::IntegrationError;
use crate::simulation::rig::Rig;

/// Shots after which the bank is looked at.
pub const SHOTS: [f64; 4] = [0.5e6, 1e6, 2e6, 5e6];

/// Voltage looked at most, over the one set.
const MOST: f64 = 1.5;

/// Steps in which voltages are looked at where that one does not fill: beyond some voltage the melt boils off.
const STEPS: usize = 100;

/// Welds until the chuck parts under the current: 95 of 100 chucks lie between the ends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChuckLife {
    /// Early end.
    pub low: f64,
    /// Half of the chucks last longer.
    pub median: f64,
    /// Late end.
    pub high: f64,
}

/// Life of the chuck of a case at this peak current \[A\]; `None` where it is held by no force that could wear off.
pub fn chuck(case: &Case, peak: f64) -> Option<ChuckLife> {
    let force = JointId::Chuck.of(case)?.contact().force;
    let w = &case.wear;
    let first = sliding(w.coefficient, force, w.stroke, w.hardness);
    let parts_at = BLOW_OFF * peak * peak;
    if !force.is_finite() || force <= 0.0 || first <= 0.0 || parts_at <= 0.0 {
        return None;
    }
    let median = if parts_at >= force {
        0.0
    } else {
        welds_to(parts_at / force, first, w.allowance)
    };
    Some(ChuckLife {
        low: median / w.spread,
        median,
        high: median * w.spread,
    })
}

/// The bank after some shots.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Aged {
    /// Shots it has given.
    pub shots: f64,
    /// Share of its life used up.
    pub used: f64,
    /// Capacitance \[F\].
    pub capacitance: f64,
    /// Equivalent series resistance \[Ω\].
    pub esr: f64,
    /// Voltage that brings the fill of the new bank (without a fill, its energy) \[V\]; `None` past its life, or where no voltage
    /// up to [`highest`] does.
    pub voltage: Option<f64>,
}

/// The bank of a case as it ages at the pace and the temperature in which a run ends.
///
/// # Errors
/// When an integration fails.
pub fn bank(case: &Case, run: &Run) -> Result<Vec<Aged>, IntegrationError> {
    let (Some(first), Some(last)) = (run.welds.first(), run.welds.last()) else {
        return Ok(Vec::new());
    };
    let w = &case.wear;
    let between = (last.time - first.time) / (run.welds.len().max(2) - 1) as f64;
    let mut work = Workspace::default();
    let mut out = Vec::new();
    let mut fill = |case: &Case| {
        let shot = fire(&Rig::new(case), &Settings::frozen(), &mut work)?;
        Ok::<_, IntegrationError>(shot.figures.fill_ratio)
    };
    let wanted = fill(case)?;
    for shots in SHOTS {
        let used = aging(shots * between, last.core, w.life, w.life_temperature);
        let mut aged = case.clone();
        aged.bank.capacitance *= 1.0 - w.capacitance_loss * used.min(1.0);
        aged.bank.esr *= 1.0 + (w.esr_rise - 1.0) * used.min(1.0);
        let voltage = match wanted {
            _ if used > 1.0 => None,
            Some(wanted) => restore(&aged, wanted, &mut fill)?,
            None => {
                let risen = (case.bank.capacitance / aged.bank.capacitance).sqrt();
                Some(case.bank.voltage * risen).filter(|volts| *volts <= highest(case))
            }
        };
        out.push(Aged {
            shots,
            used,
            capacitance: aged.bank.capacitance,
            esr: aged.bank.esr,
            voltage,
        });
    }
    Ok(out)
}

/// Highest voltage that an aged bank is looked at with \[V\].
pub fn highest(case: &Case) -> f64 {
    let most = case.bank.voltage_max.unwrap_or(f64::INFINITY);
    most.min(MOST * case.bank.voltage)
}

/// Lowest voltage at which an aged bank brings a fill \[V\], by bisection.
fn restore(
    aged: &Case,
    wanted: f64,
    fill: &mut impl FnMut(&Case) -> Result<Option<f64>, IntegrationError>,
) -> Result<Option<f64>, IntegrationError> {
    let mut at = |voltage: f64| {
        let mut case = aged.clone();
        case.bank.voltage = voltage;
        Ok::<bool, IntegrationError>(fill(&case)?.is_some_and(|f| f >= wanted))
    };
    let (mut low, mut high) = (aged.bank.voltage, highest(aged));
    if !at(high)? {
        let step = (high - low) / STEPS as f64;
        let mut voltages = (0..STEPS).map(|k| low + k as f64 * step);
        let first = voltages.find_map(|volts| match at(volts) {
            Ok(true) => Some(Ok(volts)),
            Ok(false) => None,
            Err(e) => Some(Err(e)),
        });
        let Some(first) = first.transpose()? else {
            return Ok(None);
        };
        (low, high) = ((first - step).max(low), first);
    }
    while high - low > 1e-3 * aged.bank.voltage {
        let middle = 0.5 * (low + high);
        if at(middle)? {
            high = middle;
        } else {
            low = middle;
        }
    }
    Ok(Some(0.5 * (low + high)))
}
