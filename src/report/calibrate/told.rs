//! What a calibration found, in words: for a reader who looks at the picture of its windows beside them.

use serde::Serialize;

use super::document::{doubtful, settings};
use super::next::enough;
use super::words::{about, doubt, outcome, range};
use crate::format::percent;
use arcplunge_core::study::calibrate::found::Found;

/// Most figures that are told.
const MOST: usize = 6;

/// A calibration in words.
#[derive(Debug, Serialize)]
pub struct Told {
    /// What the window is: name, before the welds, after them.
    setting: Vec<[String; 3]>,
    /// Welds that do not fit: line of the table, counted from 1, and why.
    suspects: Vec<(u64, String)>,
    /// Figures the welds say most of: name, before, after, share of the spread that is left.
    learnt: Vec<[String; 4]>,
    /// Welds worth making next, the best first.
    next: Vec<Advised>,
    /// That a further weld would hardly move the setting; none where it would.
    enough: Option<String>,
    /// Why the samples may not be trusted; none where they may.
    doubt: Option<String>,
}

/// A weld worth making.
#[derive(Debug, Serialize)]
struct Advised {
    /// Its setting: key, value with its unit, and the value rounded for people.
    values: Vec<[String; 3]>,
    /// What may come out and how probable it is.
    outcomes: Vec<[String; 2]>,
}

/// Tells it.
pub fn told(found: &Found) -> Told {
    let vary = &found.asked.vary;
    let learnt = found.posterior.learnt(found.problem.unknowns.count());
    let figure = |m: &&arcplunge_core::study::calibrate::posterior::Marginal| {
        [
            about(found, m.place),
            range(found, m.place, m.before),
            range(found, m.place, m.after),
            percent(m.narrowed.min(1.0)),
        ]
    };
    let advice = found.advice.as_ref();
    let advised = advice.into_iter().flat_map(|advice| &advice.next);
    let advised = advised.map(|weld| Advised {
        values: vary
            .iter()
            .zip(&weld.values)
            .map(|(v, value)| [v.address.to_string(), v.text(*value), v.short(*value)])
            .collect(),
        outcomes: weld
            .outcomes
            .iter()
            .map(|m| [outcome(m.outcome), percent(m.probability)])
            .collect(),
    });
    Told {
        setting: settings(found),
        suspects: doubtful(found),
        learnt: learnt.iter().take(MOST).map(figure).collect(),
        next: advised.collect(),
        enough: advice.and_then(|advice| enough(found, advice)),
        doubt: doubt(found),
    }
}
