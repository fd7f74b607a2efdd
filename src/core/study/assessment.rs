//! A case assessed: its shot, and all that is computed from it.

use super::allowance::Allowance;
use super::band::{Band, band_within};
use super::earths::{Blow, blow_of};
use super::remedy::{Remedies, remedies};
use crate::case::Case;
use crate::case::faults::Fault;
use crate::case::settings::Difference;
use crate::simulation::fire::{Settings, Workspace, fire};
use crate::simulation::integrator::IntegrationError;
use crate::simulation::rig::Rig;
use crate::simulation::shot::Shot;

/// A case, its shot at the usual settings, and what they come to.
#[derive(Debug, Clone, PartialEq)]
pub struct Assessment {
    /// What a comparison calls it; empty for a case alone.
    pub name: String,
    /// Faults that were put on the case.
    pub faults: Vec<&'static Fault>,
    /// The case that was fired, faults included.
    pub case: Case,
    /// Its lumped numbers.
    pub rig: Rig,
    /// Its shot.
    pub shot: Shot,
    /// Keys that differ from the case it is compared with; none for a case alone.
    pub changes: Vec<Difference>,
    /// What the spread of the model's own constants makes of it; none for a discharge test, or where it
    /// was not asked for.
    pub band: Option<Band>,
    /// What the leads do to the melt.
    pub blow: Blow,
    /// What would help it; nothing for a sound weld, or where it was not asked for.
    pub remedies: Remedies,
}

/// What takes further shots and may be left out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Depth {
    /// The band: some hundred shots.
    pub band: bool,
    /// The remedies, where the weld is not sound: some hundred shots.
    pub remedies: bool,
}

impl Depth {
    /// All there is.
    pub const FULL: Depth = Depth {
        band: true,
        remedies: true,
    };
}

/// Fires a case and assesses it.
///
/// # Errors
/// When an integration fails.
pub fn assess(
    case: Case,
    faults: Vec<&'static Fault>,
    depth: Depth,
) -> Result<Assessment, IntegrationError> {
    let shot = fire(
        &Rig::new(&case),
        &Settings::default(),
        &mut Workspace::default(),
    )?;
    assess_shot(case, faults, shot, depth)
}

/// Assesses a case that was fired at the usual settings.
///
/// # Errors
/// As [`assess`].
pub fn assess_shot(
    case: Case,
    faults: Vec<&'static Fault>,
    shot: Shot,
    depth: Depth,
) -> Result<Assessment, IntegrationError> {
    let allowance = Allowance::beside(&shot.effort);
    assess_within(case, faults, shot, depth, allowance)
}

/// The same with as many further shots as the allowance bears.
///
/// # Errors
/// As [`assess`].
pub fn assess_within(
    case: Case,
    faults: Vec<&'static Fault>,
    shot: Shot,
    depth: Depth,
    mut allowance: Allowance,
) -> Result<Assessment, IntegrationError> {
    let rig = Rig::new(&case);
    let (settings, mut work) = (Settings::default(), Workspace::default());
    let (mut spread, mut help) = (None, Remedies::default());
    if depth.band {
        spread = allowance.with_half(|half| band_within(&case, shot.verdict, half))?;
    }
    if depth.remedies {
        help = remedies(&case, &shot, &mut allowance);
    }
    Ok(Assessment {
        name: String::new(),
        faults,
        band: spread,
        blow: blow_of(&case, &rig, shot.clone(), &settings, &mut work)?,
        remedies: help,
        changes: Vec::new(),
        case,
        rig,
        shot,
    })
}
