//! What a fired weld tells the page: one JSON object, SI throughout, with the words for people beside it.

use serde::Serialize;
use serde_json::{Map, Value};

use super::columns::{Columns, short};
use super::controls;
use super::rim::Rim;
use super::session::Done;
use super::spread::Spread;
use arcplunge_core::physics::{ROOM, arc};
use arcplunge_core::simulation::joints::{JointHeat, joints};
use arcplunge_core::simulation::shot::Figures;
use arcplunge_core::simulation::verdict::Verdict;
use arcplunge_core::study::assessment::Assessment;
use arcplunge_report::compare::reserve::{holds, nearer, reserve};
use arcplunge_report::compare::{remedy, sentences};
use arcplunge_report::event_words::{Moment, moments};
use arcplunge_report::format::marked;
use arcplunge_report::reasons::Reasons;
use arcplunge_report::{cautions, figures, title, verdict};

/// A weld as the page shows it, beside its base where there is one.
#[derive(Debug, Serialize)]
#[allow(non_snake_case)] // settled names, units included
pub struct PageResponse {
    title: String,
    /// What was welded, with what.
    what: String,
    verdict: Option<Verdict>,
    /// What is wrong beside the verdict: "but the sheet is too thin".
    but: Option<String>,
    /// "reserve 29 % → 6 %": what is left above fill 1, beside the base.
    reserve: Option<String>,
    /// Less than half of the base's reserve is left, or of its distance to its nearest limit.
    reserve_fell: bool,
    /// What is left of the fill above 1, as a share; none where the fill does not decide.
    reserve_left: Option<f64>,
    /// "1 % to hot": another limit that is nearer than the fill's.
    reserve_near: Option<String>,
    /// "still holds, 62 % of the reserve gone": a changed weld that is sound as its base is.
    holds: Option<String>,
    /// What the spread of the model's constants makes of the verdict; asked for by itself.
    spread: Option<Spread>,
    /// The figure that decides, as a sentence.
    deciding: String,
    reasons: Vec<String>,
    /// What is not judged of these metals.
    remarks: Vec<&'static str>,
    figures: Figures,
    /// The figures of the page, name and value.
    list: Vec<[String; 2]>,
    events: Vec<Moment>,
    phases: Vec<(&'static str, f64)>,
    columns: Columns,
    ledger: Vec<(String, f64)>,
    joints: Vec<JointHeat>,
    rim: Rim,
    stage: Stage,
    values: Map<String, Value>,
    /// Controls that stand for every earth lead, where the leads differ: what each has.
    differ: Map<String, Value>,
    /// What differs from the base, why, what one sees, and what helps; none without a base.
    against: Option<Against>,
    cautions: Vec<&'static str>,
    limits: &'static str,
}

#[derive(Debug, Serialize)]
struct Against {
    changes: Vec<String>,
    why: String,
    seen: Vec<String>,
    remedy: Vec<String>,
}

/// Shape of what is drawn \[m\], and what its metals do \[K\].
#[derive(Debug, Serialize)]
#[allow(non_snake_case)]
struct Stage {
    flange_radius_m: f64,
    cone_rad: f64,
    tilt_rad: f64,
    /// Direction of the low side of a tilted stud, counterclockwise from x.
    low_rad: f64,
    pip_diameter_m: f64,
    /// Length of the pip, and what is left of it when the current starts; how deep it sinks into a mark.
    pip_length_m: f64,
    pip_start_m: f64,
    sink_m: f64,
    sheet_m: f64,
    mark_depth_m: f64,
    mark_angle_rad: f64,
    bolted: bool,
    sheet_metal: String,
    /// What is cold, and how fast an arc spreads.
    room_K: f64,
    arc_spread_m_per_s: f64,
    melting_K: [f64; 2],
    boiling_K: [f64; 2],
    size: String,
}

impl Stage {
    fn of(done: &Done) -> Stage {
        let case = &done.weld.case;
        let mark = case.sheet.centre_mark;
        let metals = [&case.stud.metal, &case.sheet.metal];
        Stage {
            flange_radius_m: 0.5 * case.stud.flange,
            cone_rad: case.stud.cone,
            tilt_rad: case.tool.tilt,
            low_rad: done.weld.rig.stud.rim.low,
            pip_diameter_m: case.stud.pip_diameter,
            pip_length_m: case.stud.pip_length,
            pip_start_m: done.weld.rig.stud.pip_length,
            sink_m: done.weld.rig.stud.sink,
            sheet_m: case.sheet.thickness,
            mark_depth_m: mark.map_or(0.0, |m| m.depth),
            mark_angle_rad: mark.map_or(0.0, |m| m.angle),
            bolted: case.stud.short_resistance.is_some(),
            sheet_metal: metals[1].name.clone(),
            room_K: ROOM,
            arc_spread_m_per_s: arc::SPREAD,
            melting_K: metals.map(|m| m.melting_point),
            boiling_K: metals.map(|m| m.boiling_point),
            size: case.stud.size.clone(),
        }
    }
}

impl PageResponse {
    /// What `done` tells, compared with `base`.
    pub fn of(done: &Done, base: Option<&Assessment>) -> PageResponse {
        let weld = &done.weld;
        let (case, shot) = (&weld.case, &weld.shot);
        // The rim is drawn, faults are ticked, and the band is asked for later.
        let reasons = Reasons::of(weld);
        let reserve = reserve(base, weld);
        PageResponse {
            title: marked(&case.title),
            what: title::what(case),
            verdict: shot.verdict,
            but: verdict::but(shot),
            reserve_fell: reserve.as_ref().is_some_and(|r| r.fell),
            reserve: reserve.map(|r| r.words),
            reserve_left: shot.reserve().map(short),
            reserve_near: nearer(shot),
            holds: base.and_then(|from| holds(from, weld)),
            spread: None,
            deciding: reasons.deciding,
            reasons: reasons.causes.into_iter().chain(reasons.tried).collect(),
            remarks: reasons.remarks,
            figures: shot.figures,
            list: figures::rows(shot, None)
                .into_iter()
                .map(|r| [r.name.to_string(), r.value])
                .collect(),
            events: moments(shot),
            phases: shot.phases.iter().map(|(p, t)| (p.name(), *t)).collect(),
            columns: Columns::of(&done.rows, weld.rig.circuit.earths),
            ledger: shot.ledger.entries(),
            joints: joints(&weld.rig, shot),
            rim: Rim::of(done),
            stage: Stage::of(done),
            values: controls::values(case),
            differ: controls::differ(case),
            against: base.map(|from| Against::of(from, &done.beside(from))),
            cautions: cautions::CAUTIONS.to_vec(),
            limits: cautions::SCREEN,
        }
    }
}

impl PageResponse {
    /// With its band, as a replay carries it.
    pub fn banded(self, spread: Option<Spread>) -> PageResponse {
        PageResponse { spread, ..self }
    }
}

impl Against {
    fn of(from: &Assessment, to: &Assessment) -> Against {
        if to.changes.is_empty() {
            return Against {
                changes: Vec::new(),
                why: String::new(),
                seen: Vec::new(),
                remedy: Vec::new(),
            };
        }
        Against {
            changes: to.changes.iter().map(sentences::change).collect(),
            why: sentences::cause_beside_rim(from, to),
            seen: sentences::seen(from, to),
            remedy: remedy(from, to),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::request::Weld;
    use crate::session::Session;
    use arcplunge_core::case::read::Text;
    use arcplunge_report::pairs;

    #[test]
    fn what_is_not_judged_of_the_metals_is_told_beside_the_reasons() {
        let session = Session::new(Text::default(), Vec::new());
        let answer = |sets: &[&str]| {
            let weld = Weld {
                sets: sets.iter().map(|s| s.to_string()).collect(),
                ..Weld::default()
            };
            PageResponse::of(&session.fire(&weld).unwrap(), None)
        };
        let copper = answer(&["stud.metal=copper"]);
        assert_eq!(copper.remarks, [pairs::UNUSUAL]);
        assert!(!copper.reasons.iter().any(|r| r == pairs::UNUSUAL));
        // The figure that decides is given separately.
        assert!(!copper.reasons.contains(&copper.deciding));
        assert!(answer(&[]).remarks.is_empty());
    }
}
