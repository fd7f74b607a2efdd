//! What came of the keys that were held as well as they are known.

use nalgebra::DVector;

use super::diode::Growth;
use super::errors::Errors;
use super::problem::Setup;
use crate::case::keys::{Address, Number};

/// A key that was held by its spread.
#[derive(Debug, Clone, PartialEq)]
pub struct Held {
    /// Key, and what of it: `bank.diode_drop per decade` is the growth of a drop over a decade of the current,
    /// `bank.diode_drop per kA` its growth over each kA.
    pub name: String,
    /// The key.
    pub address: Address,
    /// Number of the trace it belongs to, from 0; `None` for one that all share.
    pub record: Option<usize>,
    /// Value in the case \[SI\].
    pub mean: f64,
    /// Standard deviation of what it may be \[SI\].
    pub deviation: f64,
    /// Value that fits best \[SI\].
    pub value: f64,
    /// Standard error of that \[SI\].
    pub error: f64,
    /// What the value is counted over, behind its unit: `/decade` or `/kA` of a growth, else nothing.
    pub over: &'static str,
    /// Share of each value's squared error that is due to it: what would go if it were exact.
    pub shares: Vec<f64>,
}

impl Held {
    /// What is known of the number: unit and bounds.
    pub fn number(&self) -> &Number {
        self.address.about().expect("a spread belongs to a number")
    }

    /// How far the best value lies from that of the case, in deviations.
    pub fn away(&self) -> f64 {
        (self.value - self.mean) / self.deviation
    }
}

/// The keys that are held at the solution `u`.
pub(super) fn held(setup: &Setup, u: &DVector<f64>, found: &Errors) -> Vec<Held> {
    let first = setup.sought();
    let known = setup.known.iter().enumerate();
    let of = known.map(|(n, known)| {
        let k = first + n;
        Held {
            name: known.name(),
            address: known.address.clone(),
            record: known.record,
            over: known.growth.map_or("", Growth::over),
            mean: known.mean,
            deviation: known.deviation,
            value: known.value(u[k]).0,
            error: found.error[k].unwrap_or(known.deviation),
            shares: (0..first)
                .map(|v| found.correlation[(v, k)].powi(2))
                .collect(),
        }
    });
    of.collect()
}
