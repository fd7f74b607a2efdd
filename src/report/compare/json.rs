//! A comparison for programs: one JSON object, SI throughout.

use serde::Serialize;
use serde_json::{Map, Value};

use super::remedies::remedy;
use super::reserve::reserve;
use super::sentences;
use crate::envelope;
use crate::title::deciding;
use arcplunge_core::case::Case;
use arcplunge_core::case::settings::Difference;
use arcplunge_core::simulation::events::Event;
use arcplunge_core::simulation::joints::{JointHeat, joints};
use arcplunge_core::simulation::named::{FIGURES, Read};
use arcplunge_core::simulation::nearest::Near;
use arcplunge_core::simulation::remarks::Remark;
use arcplunge_core::simulation::shot::{Figures, Shot};
use arcplunge_core::simulation::verdict::{Cause, Verdict};
use arcplunge_core::study::assessment::Assessment;
use arcplunge_core::study::band::Band;
use arcplunge_core::study::compare::{Comparison, ledger_moves, relative};

#[derive(Serialize)]
struct Document<'a> {
    base: Weld<'a>,
    variations: Vec<Variation<'a>>,
}

#[derive(Serialize)]
#[allow(non_snake_case)] // settled names, units included
struct Weld<'a> {
    name: &'a str,
    verdict: Option<Verdict>,
    cause: Cause,
    borderline: Option<bool>,
    deciding: String,
    nearest: Option<Near>,
    remarks: &'a [Remark],
    figures: &'a Figures,
    band: Option<&'a Band>,
    events: &'a [Event],
    ledger_J: Map<String, Value>,
    joints: Vec<JointHeat>,
    case: &'a Case,
}

#[derive(Serialize)]
#[allow(non_snake_case)]
struct Variation<'a> {
    #[serde(flatten)]
    weld: Weld<'a>,
    faults: Vec<&'a str>,
    changes: &'a [Difference],
    /// What is left above the fill a weld needs, and another limit that is nearer.
    reserve: Option<String>,
    why: String,
    seen: Vec<String>,
    remedy: Vec<String>,
    /// Relative to the base.
    relative_changes: Map<String, Value>,
    ledger_change_J: Map<String, Value>,
}

/// The JSON text of a compare, with a closing line feed.
///
/// # Errors
/// When a number cannot be written, which finite figures never bring about.
pub fn json(c: &Comparison) -> serde_json::Result<String> {
    let document = Document {
        base: weld(&c.base),
        variations: c.variations.iter().map(|v| variation(&c.base, v)).collect(),
    };
    envelope::text(&document)
}

fn weld(s: &Assessment) -> Weld<'_> {
    let entries = s.shot.ledger.entries().into_iter();
    Weld {
        name: &s.name,
        verdict: s.shot.verdict,
        cause: s.shot.cause,
        borderline: s.band.as_ref().map(|b| b.borderline),
        deciding: deciding(&s.case, &s.shot),
        nearest: s.shot.nearest,
        remarks: &s.shot.remarks,
        figures: &s.shot.figures,
        band: s.band.as_ref(),
        events: &s.shot.events,
        ledger_J: entries.map(|(name, j)| (name, Value::from(j))).collect(),
        joints: joints(&s.rig, &s.shot),
        case: &s.case,
    }
}

fn variation<'a>(base: &Assessment, v: &'a Assessment) -> Variation<'a> {
    let moves = ledger_moves(&base.shot, &v.shot).into_iter();
    Variation {
        weld: weld(v),
        faults: v.faults.iter().map(|f| f.name.as_str()).collect(),
        changes: &v.changes,
        reserve: reserve(Some(base), v).map(|r| r.words),
        why: sentences::cause(base, v),
        seen: sentences::seen(base, v),
        remedy: remedy(base, v),
        relative_changes: changes(&base.shot, &v.shot),
        ledger_change_J: moves
            .map(|m| (m.name.clone(), Value::from(m.gain())))
            .collect(),
    }
}

/// Every figure's change relative to the base; null where there is nothing to compare.
fn changes(base: &Shot, other: &Shot) -> Map<String, Value> {
    let change = |(name, read): &(&str, Read)| {
        let change = relative(read(&base.figures), read(&other.figures));
        ((*name).to_string(), Value::from(change))
    };
    FIGURES.iter().map(change).collect()
}
