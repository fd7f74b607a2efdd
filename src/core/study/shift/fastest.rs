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

/// Seconds of a minute and of an hour.
const MINUTE: f64 = 60.0;
const HOUR: f64 = 3600.0;

/// Share by which a pace may lie beside a step and be that step.
const ROUNDING: f64 = 1e-12;

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
    /// Welds a second, in three digits of welds a minute, below one a minute of welds an hour; `None` where even the
    /// slowest looked at is too fast.
    pub pace: Option<f64>,
    /// What limits it.
    pub bound: Bound,
    /// Where there is none: the slowest pace looked at \[welds/s\], and the number, from 0, of the weld that fails at it.
    pub even_at: Option<(f64, usize)>,
}

/// Looks for it: a shift of as many welds with the same breaks and the same wear as `plan` has, without scatter.
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
    let most = step_below(held.unwrap_or(MOST_PACE).min(MOST_PACE));
    let trial = Trial { case, plan };
    let Some((mut bound, _)) = trial.alone(most, shots)? else {
        let bound = match held {
            Some(pace) if pace <= MOST_PACE => Bound::Charger,
            _ => Bound::Nothing,
        };
        return Ok(Fastest {
            pace: Some(most),
            bound,
            even_at: None,
        });
    };
    let slowest = step_below(most * SLOWEST);
    if let Some((bound, weld)) = trial.alone(slowest, shots)? {
        return Ok(Fastest {
            pace: None,
            bound,
            even_at: Some((slowest, weld)),
        });
    }
    let (mut low, mut high) = (slowest, most);
    while step_above(low) < high && !shots.is_cancelled() {
        let pace = step_below((low * high).sqrt()).max(step_above(low));
        match trial.fails(pace, shots)? {
            Some((found, _)) => (high, bound) = (pace, found),
            None => low = pace,
        }
    }
    let (pace, beyond) = trial.settled(low, most, shots)?;
    Ok(Fastest {
        pace: Some(pace),
        bound: beyond.unwrap_or(bound),
        even_at: None,
    })
}

/// A shift to be run at other paces.
struct Trial<'a> {
    case: &'a Case,
    plan: &'a Plan,
}

impl Trial<'_> {
    /// What ends the shift at a pace, and at which weld, from 0; `None` where all of it is sound.
    fn fails(
        &self,
        pace: f64,
        shots: &mut Shots,
    ) -> Result<Option<(Bound, usize)>, IntegrationError> {
        let rules = Rules {
            wear: true,
            stop: true,
        };
        let run = run(self.case, &self.plan.at_pace(pace), rules, shots)?;
        let (Some(weld), Some(state)) = (run.welds.last(), run.states.last()) else {
            return Ok(None);
        };
        let bound = if weld.is_sound() {
            weld.limit(&self.case.limits).map(Bound::Part)
        } else {
            let why = reason(shots, &run.states[0], state, &weld.shot)?;
            Some(Bound::Weld(why))
        };
        Ok(bound.map(|bound| (bound, run.welds.len() - 1)))
    }

    /// The same of a run by itself. A line between shots goes by those fired before, so that another run may differ from
    /// it by a hair, and at the limit by a verdict.
    fn alone(&self, pace: f64, shots: &Shots) -> Result<Option<(Bound, usize)>, IntegrationError> {
        self.fails(pace, &mut shots.afresh())
    }

    /// The pace at or beside `pace` that is sound in a run by itself while a step more is not, and what limits it if that
    /// was found.
    fn settled(
        &self,
        pace: f64,
        most: f64,
        shots: &Shots,
    ) -> Result<(f64, Option<Bound>), IntegrationError> {
        let (mut low, mut bound) = (pace, None);
        while let Some((found, _)) = self.alone(low, shots)? {
            bound = Some(found);
            low = step_below(low * (1.0 - 10.0 * ROUNDING));
        }
        while bound.is_none() && step_above(low) < most && !shots.is_cancelled() {
            match self.alone(step_above(low), shots)? {
                Some((found, _)) => bound = Some(found),
                None => low = step_above(low),
            }
        }
        Ok((low, bound))
    }
}

/// The largest pace not above this one that three digits of welds a minute, below one a minute of welds an hour, can
/// tell \[welds/s\].
pub fn step_below(pace: f64) -> f64 {
    let (count, steps) = counted(pace);
    count.floor() / steps.0 / steps.1
}

/// The next such pace above.
fn step_above(pace: f64) -> f64 {
    let (count, steps) = counted(pace);
    (count.floor() + 1.0) / steps.0 / steps.1
}

/// A pace in steps of its third digit; the steps of one weld per unit of time, and that unit \[s\].
fn counted(pace: f64) -> (f64, (f64, f64)) {
    let pace = pace * (1.0 + ROUNDING);
    let unit = if pace * MINUTE < 1.0 { HOUR } else { MINUTE };
    let steps = 10f64.powi(2 - (pace * unit).log10().floor() as i32);
    (pace * unit * steps, (steps, unit))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::study::shift::plan::read_pace;

    #[test]
    fn steps_are_what_can_be_set() {
        for (pace, below, above) in [
            (10.19, "10.1/min", "10.2/min"),
            (10.1, "10.1/min", "10.2/min"),
            (9.999, "9.99/min", "10/min"),
            (119.6, "119/min", "120/min"),
            (0.999, "59.9/h", "60/h"),
            (1.0, "1/min", "1.01/min"),
        ] {
            let pace = pace / MINUTE;
            assert_eq!(step_below(pace), read_pace(below).unwrap(), "{pace}");
            assert_eq!(step_above(pace), read_pace(above).unwrap(), "{pace}");
        }
    }
}
