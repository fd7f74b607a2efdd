//! One weld in one call.

use super::fire::{Settings, Workspace};
use super::rig::Rig;
use super::shot::Shot;
use super::trace::{Trace, trace};
use crate::error::Error;

/// Fires one weld.
///
/// ```
/// use arcplunge_core::{Case, Rig, Settings, fire};
///
/// let mut case = Case::default();
/// case.lead.length = 12.0;
/// let shot = fire(&Rig::try_new(&case)?, &Settings::default())?;
/// assert_eq!(shot.verdict.unwrap().name(), "cold");
/// assert!(shot.figures.peak_current_A.unwrap() < 5000.0);
/// # Ok::<(), arcplunge_core::Error>(())
/// ```
///
/// # Errors
/// When the integration fails, which no checked case is known to cause.
pub fn fire(rig: &Rig, settings: &Settings) -> Result<Shot, Error> {
    Ok(super::fire::fire(rig, settings, &mut Workspace::default())?)
}

/// Fires one weld and records a row of its curves each `interval` \[s\], and one on each side of an event.
///
/// ```
/// use arcplunge_core::{Case, Rig, Settings, simulation::weld::curves};
///
/// let trace = curves(&Rig::try_new(&Case::default())?, &Settings::default(), 2e-6)?;
/// let largest = trace.rows.iter().map(|row| row.current_A).fold(0.0, f64::max);
/// assert!((largest / trace.shot.figures.peak_current_A.unwrap() - 1.0).abs() < 1e-3);
/// # Ok::<(), arcplunge_core::Error>(())
/// ```
///
/// # Errors
/// As [`fire`].
pub fn curves(rig: &Rig, settings: &Settings, interval: f64) -> Result<Trace, Error> {
    Ok(trace(rig, settings, interval, &mut Workspace::default())?)
}
