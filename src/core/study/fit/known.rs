//! A key that is held, as well as it is known: an unknown that its spread holds.

use super::diode::Growth;
use crate::case::Case;
use crate::case::keys::Address;
use crate::case::tolerance::{Shape, Tolerance, Tolerances};

/// Where u has the middle of the range. Not 0: the search measures its steps by the size of u.
pub(super) const CENTRE: f64 = 1.0;

/// A spread over its value from which on it is gone through by ratios only if no more: a factor of two is no small one.
const BY_RATIOS: f64 = 0.7;

/// Key of a drop that is a constant in the model, and is none.
const DIODE: &str = "bank.diode_drop";

/// A key with its spread: one more unknown, and one more residual that holds it.
#[derive(Debug, Clone)]
pub struct Known {
    /// Where its value stands in a case.
    pub address: Address,
    /// Value in the case \[SI\].
    pub mean: f64,
    /// Standard deviation of what it may be \[SI\].
    pub deviation: f64,
    /// The trace whose shot has a value of its own; `None` where all have the same.
    pub record: Option<usize>,
    /// How the key's value grows with the current, if it is not the value itself.
    pub growth: Option<Growth>,
    /// Bounds of the key \[SI\].
    bounds: (f64, f64),
}

impl Known {
    /// All that a trace depends on and no free key is, for this many traces.
    pub(super) fn all(
        tolerances: &Tolerances,
        case: &Case,
        free: &[&Address],
        records: usize,
    ) -> Vec<Known> {
        let [shot, same] = tolerances.of_trace(case);
        let of = |tolerance: &Tolerance, record| {
            let held = !free.contains(&&tolerance.address);
            held.then(|| Known::of(tolerance, case, record)).flatten()
        };
        let each = shot
            .iter()
            .flat_map(|t| (0..records).filter_map(move |r| of(t, Some(r))));
        let mut all: Vec<Known> = each
            .chain(same.iter().filter_map(|t| of(t, None)))
            .collect();
        // A constant stands for a drop that grows with the current, unless it is exact.
        let drop = same.iter().find(|t| t.address.to_string() == DIODE);
        if let Some(drop) = drop.and_then(|drop| Known::of(drop, case, None)) {
            all.extend(Growth::ALL.map(|growth| Known {
                mean: 0.0,
                deviation: growth.deviation(),
                growth: Some(growth),
                bounds: (f64::NEG_INFINITY, f64::INFINITY),
                ..drop.clone()
            }));
        }
        all
    }

    /// Key, and what of it.
    pub(super) fn name(&self) -> String {
        match self.growth {
            Some(growth) => format!("{} {}", self.address, growth.words()),
            None => self.address.to_string(),
        }
    }

    fn of(tolerance: &Tolerance, case: &Case, record: Option<usize>) -> Option<Known> {
        let mean = tolerance.address.number(case)?;
        let range = tolerance.address.about()?.range;
        let spread = tolerance.spread;
        let wide = spread.amount.of(mean);
        let size = 0.5 * (wide + spread.below.map_or(wide, |below| below.of(mean)));
        let deviation = match spread.shape {
            Shape::Uniform => size / 3f64.sqrt(),
            Shape::Normal | Shape::Truncated => size,
        };
        (deviation > 0.0).then(|| Known {
            address: tolerance.address.clone(),
            mean,
            deviation,
            record,
            growth: None,
            bounds: (range.least, range.most),
        })
    }

    /// Value at `u`, and its rate there: one deviation a unit, by ratios where the value is positive and the spread small.
    pub(super) fn value(&self, u: f64) -> (f64, f64) {
        let away = u - CENTRE;
        let share = self.deviation / self.mean;
        if self.bounds.0 >= 0.0 && (0.0..BY_RATIOS).contains(&share) {
            let value = self.mean * (share * away).exp();
            return (value.clamp(self.bounds.0, self.bounds.1), share * value);
        }
        let value = self.mean + self.deviation * away;
        (value.clamp(self.bounds.0, self.bounds.1), self.deviation)
    }
}
