//! A key that a fit may turn, and the range it stays in.

use thiserror::Error;

use crate::case::Case;
use crate::case::keys::{Address, KeyError, Number, find};
use crate::study::range::{Vary, VaryError, meant, turned};

/// Range of a joint's resistance if none is given \[Ω\]: from better than any contact to hardly one.
const JOINT: (f64, f64) = (1e-6, 30e-3);

/// Range of any other key over its present value.
const REACH: f64 = 20.0;

/// Key of what every trace has fitted.
pub(super) const ZERO: &str = "probe.offset";

/// A free key.
#[derive(Debug, Clone)]
pub struct Free {
    /// Where its value stands in a case.
    pub address: Address,
    /// What is known of the number: unit and bounds.
    pub number: Number,
    /// As it was asked for: `joints.tool`.
    pub name: String,
    /// Number of the trace that has a value of its own, from 0; `None` where all share it.
    pub record: Option<usize>,
    /// Value in the case \[SI\].
    pub given: f64,
    /// Value at the start, that of the case or else the middle of the range \[SI\].
    pub start: f64,
    /// Least and largest value \[SI\].
    pub range: (f64, f64),
}

/// Why a key cannot be fitted.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum FreeError {
    /// No such key, or no number there in this case.
    #[error(transparent)]
    Key(#[from] KeyError),
    /// The range asked for is none.
    #[error(transparent)]
    Vary(#[from] VaryError),
    /// A key that is fitted in any case.
    #[error("`{0}` is fitted to every trace anyway; give it a [tolerance] if it is known")]
    Always(String),
    /// The same key again; as it was asked for.
    #[error("`{0}` is given twice")]
    Twice(String),
}

impl FreeError {
    /// Nearest right name, if a name is what was wrong.
    pub fn nearest(&self) -> Option<String> {
        match self {
            FreeError::Key(e) => meant(e),
            FreeError::Vary(e) => e.nearest(),
            _ => None,
        }
    }
}

impl Free {
    /// Reads `KEY` or `KEY=FROM..TO`. A joint's name stands for its resistance.
    ///
    /// # Errors
    /// When there is no such number in the case.
    pub fn read(case: &Case, text: &str) -> Result<Free, FreeError> {
        let (path, range) = match text.split_once('=') {
            Some((path, range)) => (path.trim(), Some(range.trim())),
            None => (text.trim(), None),
        };
        let full = resistance(path);
        let (address, number) = turned(case, &full)?;
        if address.to_string() == ZERO {
            return Err(FreeError::Always(ZERO.to_string()));
        }
        let given = address.number(case).unwrap_or(0.0);
        let range = match range {
            Some(range) => {
                let vary = Vary::read(case, &format!("{full}={range}"), 2)?;
                (vary.from.min(vary.to), vary.from.max(vary.to))
            }
            None => usual(&number, given, full != path),
        };
        let inside = (range.0..=range.1).contains(&given);
        let start = if inside { given } else { middle(range) };
        Ok(Free {
            address,
            number,
            name: path.to_string(),
            record: None,
            given,
            start,
            range,
        })
    }

    /// Reads several, each once.
    ///
    /// # Errors
    /// When one of them cannot be fitted.
    pub fn all(case: &Case, texts: &[String]) -> Result<Vec<Free>, FreeError> {
        let all: Vec<Free> = texts
            .iter()
            .map(|t| Free::read(case, t))
            .collect::<Result<_, _>>()?;
        for (k, free) in all.iter().enumerate() {
            let name = free.address.to_string();
            if all[..k]
                .iter()
                .any(|other| other.address.to_string() == name)
            {
                return Err(FreeError::Twice(free.name.clone()));
            }
        }
        Ok(all)
    }

    /// The keys that all of so many traces share, then those of `each`, with a value of their own in each trace.
    pub fn of_traces(shared: Vec<Free>, each: Vec<Free>, traces: usize) -> Vec<Free> {
        let own = each.into_iter().flat_map(|key| {
            (0..traces).map(move |record| Free {
                record: (traces > 1).then_some(record),
                ..key.clone()
            })
        });
        shared.into_iter().chain(own).collect()
    }

    /// Whether the range is gone through by ratios.
    pub(super) fn by_ratios(&self) -> bool {
        self.range.0 > 0.0
    }

    /// A value as people read it.
    pub fn text(&self, value: f64) -> String {
        self.number.text(value)
    }
}

/// The middle of a range: by ratios where it is positive.
fn middle((from, to): (f64, f64)) -> f64 {
    if from > 0.0 {
        (from * to).sqrt()
    } else {
        0.5 * (from + to)
    }
}

/// The key of a joint's resistance where `path` is a joint.
fn resistance(path: &str) -> String {
    let part = format!("{path}.resistance");
    match find(&part) {
        Ok(_) => part,
        Err(_) => path.to_string(),
    }
}

/// The range of a key that is given none: by ratios, within what the key allows.
fn usual(number: &Number, start: f64, joint: bool) -> (f64, f64) {
    let (least, most) = (number.range.least, number.range.most);
    if joint {
        return (JOINT.0.min(start), JOINT.1.max(start));
    }
    if start > 0.0 {
        (least.max(start / REACH), most.min(start * REACH))
    } else {
        (least, most)
    }
}
