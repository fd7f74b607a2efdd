//! Voltages that would do where the ranges searched hold no sound weld.

use std::cmp::Ordering;

use super::range::{REACH, VOLTAGE, around};
use super::{Dial, Limit};
use crate::case::keys::mark_of;
use crate::study::outcome::changed;
use crate::study::range::{Vary, turned};

/// Charging voltages at which the weld is sound.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Voltages {
    /// Ends of the window of `bank.voltage` nearest to its present value \[V\].
    pub range: [f64; 2],
    /// Whether the range searched ends before it does, upwards.
    pub is_open: bool,
    /// Whether it lies above or below all voltages searched, or the present one where none was.
    pub side: Ordering,
    /// Values at which the keys turned are held meanwhile \[SI\]; `None` of the voltage, and where no key is.
    pub held: [Option<f64>; 2],
}

impl Dial {
    /// Scans the voltage as far as the bank can usually give it: the keys held at their present values where those were
    /// searched, else at the best values found, else at the present ones.
    pub(super) fn voltages(&self, best: Option<[f64; 2]>) -> Option<Voltages> {
        let base = self.base();
        let (address, number) = turned(base, VOLTAGE).ok()?;
        let ends = around(base, &address, &number, REACH)?;
        let count = self.turned().len();
        let own = (0..count).find_map(|k| self.volts(k));
        if own.is_some_and(|[from, to]| from <= ends[0] && to >= ends[1]) {
            return None;
        }
        let others: Vec<usize> = (0..count).filter(|k| self.volts(*k).is_none()).collect();
        let present = |k: &usize| self.now(*k).unwrap_or(0.0);
        let within = |k: &usize| {
            let [from, to] = self.ends(*k);
            (from..=to).contains(&present(k))
        };
        let now: Vec<f64> = others.iter().map(present).collect();
        let first = others.iter().all(within).then(|| now.clone());
        let best = best.map(|at| others.iter().map(|k| at[*k]).collect());
        let mut tries: Vec<Vec<f64>> = [first, best, Some(now)].into_iter().flatten().collect();
        tries.dedup();
        tries.into_iter().find_map(|values| {
            let keys = others.iter().map(|k| &self.turned()[*k].address);
            let case = changed(base, keys.zip(values.iter().copied())).ok()?;
            let dial = Dial::new(case, vec![Vary::over(address.clone(), number, ends)]);
            let window = dial.nearest(0, dial.windows(0, None))?;
            let mut held = [None; 2];
            for (k, value) in others.iter().zip(values) {
                held[*k] = Some(value);
            }
            let [least, most] = own.unwrap_or([base.bank.voltage; 2]);
            let side = match (window.low > most, window.high < least) {
                (true, _) => Ordering::Greater,
                (_, true) => Ordering::Less,
                _ => Ordering::Equal,
            };
            Some(Voltages {
                range: [window.low, window.high],
                is_open: window.above == Limit::Range,
                side,
                held,
            })
        })
    }

    /// Lowest and highest voltage searched \[V\], where key `k` is the voltage or its mark.
    fn volts(&self, k: usize) -> Option<[f64; 2]> {
        let path = self.turned()[k].address.to_string();
        let [from, to] = self.ends(k);
        if path == VOLTAGE {
            return Some([from, to]);
        }
        let (_, place) = mark_of(&path).filter(|(_, place)| place.number == VOLTAGE)?;
        let scale = place.scale(self.base())?;
        Some([scale.value(from)?, scale.value(to)?])
    }
}
