//! What a shift asks of a rig: how many welds, how fast, and when nobody welds.

use thiserror::Error;

use crate::case::quantity::{Dimension, parse};

/// Most welds of a shift.
pub const MOST_WELDS: usize = 100_000;

/// Fastest and slowest pace \[welds/s\].
const PACES: [f64; 2] = [1.0 / 3600.0, 10.0];

/// Most breaks of a shift.
const MOST_BREAKS: usize = 100;

/// A pause of the work.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Break {
    /// When it begins, on the clock of the shift \[s\].
    pub at: f64,
    /// How long it lasts \[s\].
    pub length: f64,
}

/// A shift.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// Welds.
    pub welds: usize,
    /// Welds a second that the welder tries to keep.
    pub pace: f64,
    /// Pauses in the order of time.
    pub breaks: Vec<Break>,
}

/// Why a text is no pace or no break.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum PlanError {
    /// It is no number of welds per time.
    #[error("expected welds per time, such as 12/min, 700/h or 0.2/s; found `{0}`")]
    Pace(String),
    /// It is too fast or too slow.
    #[error("{0} is out of bounds; allowed is from 1/h to 10/s")]
    PaceBounds(String),
    /// It is no length and time of a break.
    #[error("expected length and time of a break, such as 30min@2h; found `{0}`")]
    Break(String),
    /// Two breaks lie over each other, or there are too many.
    #[error("at most {MOST_BREAKS} breaks, none of which begins before the one before has ended")]
    Breaks,
}

/// A pace as a user writes it: `12/min`.
///
/// # Errors
/// When it is none, or out of bounds.
pub fn read_pace(text: &str) -> Result<f64, PlanError> {
    let wrong = || PlanError::Pace(text.chars().take(40).collect());
    let (number, unit) = text.split_once('/').ok_or_else(wrong)?;
    let number: f64 = number.trim().parse().map_err(|_| wrong())?;
    let unit = parse(&format!("1 {}", unit.trim()), Dimension::Time).map_err(|_| wrong())?;
    let pace = number / unit;
    if (PACES[0] * (1.0 - 1e-12)..=PACES[1]).contains(&pace) {
        return Ok(pace);
    }
    Err(PlanError::PaceBounds(text.chars().take(40).collect()))
}

/// A break as a user writes it: `30min@2h`.
///
/// # Errors
/// When it is none.
pub fn read_break(text: &str) -> Result<Break, PlanError> {
    let wrong = || PlanError::Break(text.chars().take(40).collect());
    let (length, at) = text.split_once('@').ok_or_else(wrong)?;
    let time = |text: &str| parse(text.trim(), Dimension::Time).map_err(|_| wrong());
    let (length, at) = (time(length)?, time(at)?);
    let day = 86400.0;
    if !(length > 0.0 && length <= day && (0.0..=10.0 * day).contains(&at)) {
        return Err(wrong());
    }
    Ok(Break { at, length })
}

impl Plan {
    /// A plan whose breaks are in order and apart.
    ///
    /// # Errors
    /// When they overlap, or are too many.
    pub fn new(welds: usize, pace: f64, mut breaks: Vec<Break>) -> Result<Plan, PlanError> {
        breaks.sort_by(|a, b| a.at.total_cmp(&b.at));
        let apart = breaks.windows(2).all(|w| w[0].at + w[0].length <= w[1].at);
        if !apart || breaks.len() > MOST_BREAKS {
            return Err(PlanError::Breaks);
        }
        Ok(Plan {
            welds,
            pace,
            breaks,
        })
    }

    /// The same at another pace.
    pub fn at_pace(&self, pace: f64) -> Plan {
        Plan {
            pace,
            ..self.clone()
        }
    }

    /// Breaks that a shift whose last weld is at `end` \[s\] comes to.
    pub fn breaks_until(&self, end: f64) -> impl Iterator<Item = &Break> {
        self.breaks.iter().filter(move |pause| pause.at < end)
    }

    /// When the next weld is due after one at `t` \[s\]: an interval later, breaks that begin by then left out.
    pub fn due(&self, t: f64) -> f64 {
        let mut due = t + 1.0 / self.pace;
        for pause in &self.breaks {
            if t < pause.at + pause.length && pause.at <= due {
                due = due.max(pause.at + pause.length);
            }
        }
        due
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paces_and_breaks_are_read() {
        assert!((read_pace("12/min").unwrap() - 0.2).abs() < 1e-15);
        assert!((read_pace("720 / h").unwrap() - 0.2).abs() < 1e-15);
        assert_eq!(
            read_break("30min@2h"),
            Ok(Break {
                at: 7200.0,
                length: 1800.0
            })
        );
        for bad in ["12", "x/min", "12/kg", "0/min", "-1/min", "1000/s", "nan/s"] {
            assert!(read_pace(bad).is_err(), "{bad}");
        }
        for bad in [
            "30min",
            "@2h",
            "0 s@1h",
            "30min@-1h",
            "3 m@1 h",
            "99999h@1h",
        ] {
            assert!(read_break(bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn a_break_holds_the_next_weld() {
        let breaks = vec![
            read_break("30min@2h").unwrap(),
            read_break("5min@1h").unwrap(),
        ];
        let plan = Plan::new(10, 0.1, breaks.clone()).unwrap();
        assert_eq!(plan.due(0.0), 10.0);
        assert_eq!(plan.due(3595.0), 3900.0);
        assert_eq!(plan.due(7200.0), 9000.0);
        assert_eq!(plan.due(9000.0), 9010.0);
        // A break that begins as the last weld is made, or later, is none of the shift.
        let until = |end| plan.breaks_until(end).count();
        assert_eq!([3600.0, 3900.0, 7200.0, 9000.0].map(until), [0, 1, 1, 2]);
        let twice = vec![breaks[0], breaks[0]];
        assert_eq!(Plan::new(10, 0.1, twice), Err(PlanError::Breaks));
    }
}
