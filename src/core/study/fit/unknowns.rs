//! The unknowns of a fit: the free keys; of each trace the offset that is left, the trigger, the drift of the baseline
//! and the offset of a voltage; then the keys that their spreads hold.
//!
//! Bounds are kept by a change of variable, x = ½(a + b) + ½(b − a)·sin(u − 1) in the logarithm of a positive
//! range: the search itself has none.

use nalgebra::DVector;

use super::diode::Growths;
use super::free::Free;
use super::known::{CENTRE, Known};
use super::problem::Setup;
use crate::case::Case;

/// Shift of the trigger that the search may make, over the width of the measured current.
const SHIFT: f64 = 0.5;

/// Cosine below which a value lies at an end of its range.
const AT_END: f64 = 0.02;

/// Sine of the point inside of an end at which the rates of a value at that end are taken: at the end itself
/// they vanish with the change of variable.
const INSIDE: f64 = 0.98;

/// One unknown; those of a trace with its number.
#[derive(Debug, Clone, Copy)]
enum Unknown<'a> {
    Key(&'a Free),
    /// \[A\]
    Offset(usize),
    /// \[s\]
    Trigger(usize),
    /// \[A/s\]
    Drift(usize),
    /// \[V\]
    Volts(usize),
    Known(&'a Known),
}

/// A value that a fit seeks.
#[derive(Debug, Clone, PartialEq)]
pub struct Sought {
    /// A key as it was asked for, or `offset` \[A\], `trigger` \[s\], `drift` \[A/s\], `voltage_offset` \[V\].
    pub name: String,
    /// Number of the trace it belongs to, from 0; `None` for what is the same in all.
    pub record: Option<usize>,
    /// Value at the start \[SI\].
    pub start: f64,
    /// Least and largest value \[SI\].
    pub range: (f64, f64),
}

/// What the unknowns stand for.
pub(super) struct Point {
    /// The case of each trace; `None` where the values are not a valid case.
    pub cases: Option<Vec<Case>>,
    pub base: Vec<Base>,
    /// How the diode's drop grows.
    pub growths: Growths,
}

/// Baseline and trigger of a trace.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Base {
    /// Offset at the rise \[A\].
    pub offset: f64,
    /// Place of the trigger \[s\].
    pub trigger: f64,
    /// Slope of the baseline \[A/s\].
    pub drift: f64,
    /// Offset of the voltage \[V\].
    pub volts: f64,
}

impl Setup {
    fn all(&self) -> impl Iterator<Item = Unknown<'_>> {
        let more = self.records.iter().enumerate().flat_map(|(r, record)| {
            let more = [
                (true, Unknown::Offset(r)),
                (self.shift, Unknown::Trigger(r)),
                (record.drift, Unknown::Drift(r)),
                (record.trace.voltage.is_some(), Unknown::Volts(r)),
            ];
            more.into_iter().filter(|(there, _)| *there).map(|m| m.1)
        });
        let keys = self.free.iter().map(Unknown::Key);
        keys.chain(more)
            .chain(self.known.iter().map(Unknown::Known))
    }

    fn unknown(&self, k: usize) -> Unknown<'_> {
        self.all().nth(k).unwrap_or(Unknown::Offset(0))
    }

    /// Number of unknowns.
    pub(super) fn unknowns(&self) -> usize {
        self.all().count()
    }

    /// Number of those before the keys that are held by their spreads.
    pub(super) fn sought(&self) -> usize {
        self.unknowns() - self.known.len()
    }

    /// Names of the unknowns, and the trace that each belongs to; `None` for what is the same in all.
    pub(super) fn names(&self) -> Vec<(String, Option<usize>)> {
        let name = |unknown| match unknown {
            Unknown::Key(free) => (free.name.clone(), free.record),
            Unknown::Offset(r) => ("offset".to_string(), Some(r)),
            Unknown::Trigger(r) => ("trigger".to_string(), Some(r)),
            Unknown::Drift(r) => ("drift".to_string(), Some(r)),
            Unknown::Volts(r) => ("voltage_offset".to_string(), Some(r)),
            Unknown::Known(known) => (known.name(), known.record),
        };
        self.all().map(name).collect()
    }

    /// Value of unknown `k` at the start \[SI\].
    pub(super) fn start(&self, k: usize) -> f64 {
        match self.unknown(k) {
            Unknown::Key(free) => free.start,
            Unknown::Known(known) => known.mean,
            Unknown::Trigger(r) => self.records[r].trace.rise - self.lag,
            Unknown::Offset(_) | Unknown::Drift(_) | Unknown::Volts(_) => 0.0,
        }
    }

    /// Every unknown but those that their spreads hold: name, trace, value at the start and range \[SI\].
    pub fn sought_values(&self) -> Vec<Sought> {
        let names = self.names().into_iter().take(self.sought());
        let of = |(k, (name, record)): (usize, (String, Option<usize>))| {
            let (low, high, _) = self.range(k).ok()?;
            Some(Sought {
                name,
                record,
                start: self.start(k),
                range: (low, high),
            })
        };
        names.enumerate().filter_map(of).collect()
    }

    /// Range of unknown `k`, and whether it is logarithmic; one that its spread holds has none.
    fn range(&self, k: usize) -> Result<(f64, f64, bool), &Known> {
        let even = |most: f64| (-most, most, false);
        Ok(match self.unknown(k) {
            Unknown::Key(free) => (free.range.0, free.range.1, free.by_ratios()),
            Unknown::Offset(r) => even(self.records[r].offset),
            Unknown::Drift(r) => even(self.records[r].offset / self.records[r].trace.width),
            Unknown::Volts(r) => even(self.records[r].volts),
            Unknown::Trigger(r) => {
                let (at, far) = (self.start(k), SHIFT * self.records[r].trace.width);
                (at - far, at + far, false)
            }
            Unknown::Known(known) => return Err(known),
        })
    }

    /// Value of unknown `k` \[SI\] at `u`, and its rate there.
    pub(super) fn value(&self, k: usize, u: f64) -> (f64, f64) {
        let (low, high, log) = match self.range(k) {
            Ok(range) => range,
            Err(known) => return known.value(u),
        };
        let (a, b) = if log {
            (low.ln(), high.ln())
        } else {
            (low, high)
        };
        let x = 0.5 * (a + b) + 0.5 * (b - a) * (u - CENTRE).sin();
        let rate = 0.5 * (b - a) * (u - CENTRE).cos();
        if log {
            (x.exp(), x.exp() * rate)
        } else {
            (x, rate)
        }
    }

    /// The end of its range that unknown `k` lies at, if it does \[SI\].
    pub(super) fn end(&self, k: usize, u: f64) -> Option<f64> {
        let (low, high, _) = self.range(k).ok()?;
        let end = if (u - CENTRE).sin() < 0.0 { low } else { high };
        ((u - CENTRE).cos().abs() < AT_END).then_some(end)
    }

    /// `u` of unknown `k`, a little inside of the end where it lies at one.
    pub(super) fn inside(&self, k: usize, u: f64) -> f64 {
        match self.end(k, u) {
            Some(_) => (INSIDE * (u - CENTRE).sin().signum()).asin() + CENTRE,
            None => u,
        }
    }

    /// Where unknown `k` has the value `x`; the middle for what its spread holds.
    pub(super) fn place(&self, k: usize, x: f64) -> f64 {
        let Ok((low, high, log)) = self.range(k) else {
            return CENTRE;
        };
        let (a, b, x) = if log {
            (low.ln(), high.ln(), x.ln())
        } else {
            (low, high, x)
        };
        // Never on a bound itself, where the search would stand still.
        ((2.0 * x - a - b) / (b - a)).clamp(-0.995, 0.995).asin() + CENTRE
    }

    /// Where an unknown lies a `share` of the way through its range.
    pub(super) fn share(share: f64) -> f64 {
        (2.0 * share - 1.0).clamp(-0.995, 0.995).asin() + CENTRE
    }

    /// Step of a difference in `u` of unknown `k`: the current's own error is some 1e-7 of it. A spread may do little,
    /// and is straight over more than its size.
    pub(super) fn difference(&self, k: usize) -> f64 {
        match self.unknown(k) {
            Unknown::Known(_) => 0.1,
            _ => 1e-3,
        }
    }

    /// What the unknowns are at `u`.
    pub(super) fn at(&self, u: &DVector<f64>) -> Point {
        self.with(|k| self.value(k, u[k]).0)
    }

    /// What the unknowns are at these values \[SI\].
    pub(super) fn with(&self, value: impl Fn(usize) -> f64) -> Point {
        let mut cases: Vec<Case> = self.records.iter().map(|r| r.case.clone()).collect();
        let mut base = vec![Base::default(); self.records.len()];
        let (mut valid, mut growths) = (true, Growths::default());
        for (k, unknown) in self.all().enumerate() {
            let value = value(k);
            let (address, record) = match unknown {
                Unknown::Key(free) => (&free.address, free.record),
                Unknown::Known(known) => match known.growth {
                    Some(growth) => {
                        growths[growth as usize] = value;
                        continue;
                    }
                    None => (&known.address, known.record),
                },
                Unknown::Offset(r) => {
                    base[r].offset = value;
                    continue;
                }
                Unknown::Trigger(r) => {
                    base[r].trigger = value;
                    continue;
                }
                Unknown::Drift(r) => {
                    base[r].drift = value;
                    continue;
                }
                Unknown::Volts(r) => {
                    base[r].volts = value;
                    continue;
                }
            };
            for (r, case) in cases.iter_mut().enumerate() {
                if record.is_none_or(|own| own == r) {
                    valid &= address.set_number(case, value).is_ok();
                }
            }
        }
        Point {
            cases: valid.then_some(cases),
            base,
            growths,
        }
    }

    /// How far each key that its spread holds lies from its value, in deviations.
    pub(super) fn held<'a>(&'a self, u: &'a DVector<f64>) -> impl Iterator<Item = f64> + 'a {
        let first = self.sought();
        (0..self.known.len()).map(move |k| u[first + k] - CENTRE)
    }
}
