//! The fastest pace at which all welds of a shift stay sound and no part gets too hot, and what limits it.

use super::charge::Charge;
use super::plan::Plan;
use super::reason::{Reason, reason};
use super::run::{Rules, run};
use super::shots::Shots;
use super::weld::Limit;
use crate::case::Case;
use crate::simulation::integrator::IntegrationError;

/// Fastest pace looked at where no interlock holds it \[welds/s\].
pub const MOST_PACE: f64 = 2.0;

/// Slowest pace looked at, over the fastest.
const SLOWEST: f64 = 1.0 / 128.0;

/// Halvings of the search: to half a per cent of the pace.
const HALVINGS: u32 = 10;

/// What limits the pace.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bound {
    /// The charger: with an interlock no pace is faster.
    Charger,
    /// A part gets too hot.
    Part(Limit),
    /// The weld is not sound any more, and what brings that about.
    Weld(Reason),
    /// Nothing up to [`MOST_PACE`].
    Nothing,
}

/// The fastest pace.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fastest {
    /// Welds a second; `None` where even the slowest looked at is too fast.
    pub pace: Option<f64>,
    /// What limits it.
    pub bound: Bound,
}

/// Looks for it: as many welds and the same breaks as in `plan`; wear goes by welds, not by pace, and is left out.
///
/// # Errors
/// When an integration fails.
pub fn fastest(
    case: &Case,
    plan: &Plan,
    charge: &Charge,
    shots: &mut Shots,
) -> Result<Fastest, IntegrationError> {
    let held = charge.pace().filter(|_| case.charger.interlock);
    let most = held.unwrap_or(MOST_PACE).min(MOST_PACE);
    let mut fails = |pace: f64| -> Result<Option<Bound>, IntegrationError> {
        let rules = Rules {
            wear: false,
            stop: true,
        };
        let run = run(case, &plan.at_pace(pace), rules, shots)?;
        let (Some(weld), Some(state)) = (run.welds.last(), run.states.last()) else {
            return Ok(None);
        };
        if !weld.is_sound() {
            let why = reason(shots, &run.states[0], state, &weld.shot)?;
            return Ok(Some(Bound::Weld(why)));
        }
        Ok(weld.limit(&case.limits).map(Bound::Part))
    };
    let Some(mut bound) = fails(most)? else {
        let bound = match held {
            Some(pace) if pace <= MOST_PACE => Bound::Charger,
            _ => Bound::Nothing,
        };
        return Ok(Fastest {
            pace: Some(most),
            bound,
        });
    };
    let slowest = most * SLOWEST;
    if let Some(bound) = fails(slowest)? {
        return Ok(Fastest { pace: None, bound });
    }
    let (mut low, mut high) = (slowest, most);
    for _ in 0..HALVINGS {
        let pace = (low * high).sqrt();
        match fails(pace)? {
            Some(found) => (high, bound) = (pace, found),
            None => low = pace,
        }
    }
    Ok(Fastest {
        pace: Some(low),
        bound,
    })
}
