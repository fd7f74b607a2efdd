//! Whether the current of a trace can be that of the case at all: its peak beside those of the starts of the search.

use super::problem::{FitError, Record, Setup};
use super::search::starts;
use crate::case::check::check;
use crate::simulation::discharge::{Discharge, discharge};
use crate::simulation::integrator::Tolerance;
use crate::simulation::rig::Rig;

/// Ratio of the peaks from which on the scale is doubted.
const APART: f64 = 3.0;

/// Key that makes up for any scale.
const GAIN: &str = "probe.gain";

fn apart(trace: f64, computed: f64) -> bool {
    !(1.0 / APART..=APART).contains(&(trace / computed))
}

impl Record {
    /// Whether the peaks of trace and case are so far apart that the scale is doubted.
    pub fn apart(&self) -> bool {
        let [trace, computed] = self.peaks;
        apart(trace, computed)
    }
}

impl Setup {
    /// Looks for a start from which the search could reach each trace whose peak is far from the case's.
    ///
    /// # Errors
    /// Of the first for which there is none: its scale is wrong.
    pub(super) fn within_reach(&self) -> Result<(), FitError> {
        let fits_gain = |r: usize| {
            let of = |f: &super::Free| f.record.is_none_or(|own| own == r);
            let mut free = self.free.iter().filter(|f| of(f));
            free.any(|f| f.address.to_string() == GAIN)
        };
        let records = self.records.iter().enumerate();
        let mut doubted = records.filter(|(r, record)| record.apart() && !fits_gain(*r));
        match doubted.find(|(r, _)| !self.reaches(*r)) {
            None => Ok(()),
            Some((r, record)) => {
                let [trace, current] = record.peaks;
                Err(FitError::Scale { trace, current }.of(r))
            }
        }
    }

    /// Whether some start has a peak like that of trace `r`.
    fn reaches(&self, r: usize) -> bool {
        let mut found = Discharge::default();
        starts(self).any(|u| {
            let cases = self.at(&u).cases.unwrap_or_default();
            let valid = cases.get(r).filter(|case| check(case).is_empty());
            valid.is_some_and(|case| {
                let ran = discharge(&Rig::new(case), Tolerance::default(), &mut found, None);
                let read = found.peak.0 * case.probe.gain;
                ran.is_ok() && !apart(self.records[r].peaks[0], read)
            })
        })
    }
}
