//! The shot for programs: one JSON object, SI throughout.

use serde::Serialize;
use serde_json::{Map, Value};

use super::earths::words::witness;
use super::envelope;
use super::reasons::Reasons;
use arcplunge_core::case::Case;
use arcplunge_core::simulation::events::Event;
use arcplunge_core::simulation::holds::Holds;
use arcplunge_core::simulation::joints::{JointHeat, joints};
use arcplunge_core::simulation::remarks::Remark;
use arcplunge_core::simulation::shot::Figures;
use arcplunge_core::simulation::verdict::{Cause, Verdict};
use arcplunge_core::study::assessment::Assessment;
use arcplunge_core::study::band::Band;
use arcplunge_core::study::remedy::Remedies;

#[derive(Serialize)]
#[allow(non_snake_case)] // settled names, units included
struct Document<'a> {
    verdict: Option<Verdict>,
    cause: Cause,
    borderline: Option<bool>,
    /// What the rim will show: whole, one-sided or missing.
    witness: Option<&'static str>,
    reasons: Vec<String>,
    /// What was tried where the weld is not sound.
    remedies: Option<&'a Remedies>,
    figures: &'a Figures,
    holds: &'a Holds,
    remarks: &'a [Remark],
    band: Option<&'a Band>,
    events: &'a [Event],
    phases: Vec<PhaseRow>,
    ledger_J: Map<String, Value>,
    joints: Vec<JointHeat>,
    case: &'a Case,
}

#[derive(Serialize)]
struct PhaseRow {
    name: &'static str,
    start_s: f64,
}

/// The JSON text of a shot, with a closing line feed.
///
/// # Errors
/// When a number cannot be written, which finite figures never bring about.
pub fn json(a: &Assessment) -> serde_json::Result<String> {
    let (shot, band) = (&a.shot, a.band.as_ref());
    let ledger = shot
        .ledger
        .entries()
        .into_iter()
        .map(|(name, j)| (name, Value::from(j)))
        .collect();
    let document = Document {
        verdict: shot.verdict,
        cause: shot.cause,
        borderline: band.map(|b| b.borderline),
        witness: witness(&a.blow),
        reasons: Reasons::of(a).all(),
        remedies: Some(&a.remedies).filter(|r| **r != Remedies::default()),
        figures: &shot.figures,
        holds: &shot.holds,
        remarks: &shot.remarks,
        band,
        events: &shot.events,
        phases: shot
            .phases
            .iter()
            .map(|(phase, start)| PhaseRow {
                name: phase.name(),
                start_s: *start,
            })
            .collect(),
        ledger_J: ledger,
        joints: joints(&a.rig, shot),
        case: &a.case,
    };
    envelope::text(&document)
}
