//! Arc blow for programs: one JSON object, SI throughout, angles counterclockwise from x.

use serde::Serialize;

use super::clock::angle;
use super::words::{LIMITS, headline, name, remedy, settled, witness};
use crate::envelope;
use arcplunge_core::case::Case;
use arcplunge_core::case::model::Joint;
use arcplunge_core::physics::blow::push;
use arcplunge_core::physics::rim::Bare;
use arcplunge_core::simulation::shot::Figures;
use arcplunge_core::simulation::verdict::Verdict;
use arcplunge_core::study::earths::{Blow, Remedy, Trial, polar};

#[derive(Serialize)]
#[allow(non_snake_case)] // settled names, units included
struct Document<'a> {
    witness: Option<&'static str>,
    reason: String,
    verdict: Option<Verdict>,
    #[serde(flatten)]
    drift: Drift,
    missing_from_rad: Option<f64>,
    missing_to_rad: Option<f64>,
    flux_density_time_s: Option<f64>,
    flux_density_x_T: f64,
    flux_density_y_T: f64,
    flux_density_z_T: f64,
    push_x_N_per_m3: f64,
    push_y_N_per_m3: f64,
    earths: Vec<Lead<'a>>,
    sources: Vec<SourceRow>,
    rim: Vec<RimRow>,
    trials: Vec<TrialRow>,
    figures: &'a Figures,
    case: &'a Case,
    limits: &'static str,
}

#[derive(Serialize)]
#[allow(non_snake_case)]
struct Drift {
    drift_m: Option<f64>,
    drift_x_m: Option<f64>,
    drift_y_m: Option<f64>,
    drift_direction_rad: Option<f64>,
    fill_ratio: Option<f64>,
    least_fill_ratio: Option<f64>,
}

impl Drift {
    fn of(blow: &Blow) -> Self {
        let drift = blow.drift();
        Drift {
            drift_m: blow.distance().map(settled),
            drift_x_m: drift.map(|d| settled(d[0])),
            drift_y_m: drift.map(|d| settled(d[1])),
            drift_direction_rad: blow.heading(),
            fill_ratio: blow.shot.figures.fill_ratio,
            least_fill_ratio: blow.weakest(),
        }
    }
}

#[derive(Serialize)]
#[allow(non_snake_case)]
struct Lead<'a> {
    key: String,
    peak_current_A: f64,
    charge_C: f64,
    charge_share: f64,
    distance_m: f64,
    direction_rad: f64,
    clamp: &'a Joint,
}

#[derive(Serialize)]
#[allow(non_snake_case)]
struct SourceRow {
    name: String,
    flux_density_x_T: f64,
    flux_density_y_T: f64,
    flux_density_z_T: f64,
    drift_x_m: Option<f64>,
    drift_y_m: Option<f64>,
}

#[derive(Serialize)]
struct RimRow {
    clock_h: u32,
    angle_rad: f64,
    fill_ratio: f64,
}

#[derive(Serialize)]
struct TrialRow {
    remedy: &'static str,
    words: String,
    x_m: Option<f64>,
    y_m: Option<f64>,
    direction_rad: Option<f64>,
    verdict: Option<Verdict>,
    #[serde(flatten)]
    drift: Drift,
}

/// The JSON text, with a closing line feed.
///
/// # Errors
/// When a number cannot be written, which finite figures never bring about.
pub fn json(case: &Case, blow: &Blow, trials: &[Trial]) -> serde_json::Result<String> {
    let missing = blow.bare().and_then(|bare| match bare {
        Bare::Nowhere => None,
        Bare::Everywhere => Some((0.0, std::f64::consts::TAU)),
        Bare::Within { middle, half } => Some((middle - half, middle + half)),
    });
    let field = blow.field();
    let force = push(blow.current_density, field);
    let document = Document {
        witness: witness(blow),
        reason: headline(case, blow).1,
        verdict: blow.shot.verdict,
        drift: Drift::of(blow),
        missing_from_rad: missing.map(|m| m.0),
        missing_to_rad: missing.map(|m| m.1),
        flux_density_time_s: blow.time,
        flux_density_x_T: field[0],
        flux_density_y_T: field[1],
        flux_density_z_T: field[2],
        push_x_N_per_m3: force[0],
        push_y_N_per_m3: force[1],
        earths: leads(case, blow),
        sources: sources(case, blow),
        rim: rim(blow),
        trials: trials.iter().map(|t| trial(case, t)).collect(),
        figures: &blow.shot.figures,
        case,
        limits: LIMITS,
    };
    envelope::text(&document)
}

fn leads<'a>(case: &'a Case, blow: &Blow) -> Vec<Lead<'a>> {
    let lead = |(k, earth): (usize, &'a arcplunge_core::case::model::Earth)| {
        let (distance_m, direction_rad) = polar(earth.at);
        Lead {
            key: format!("earth.{k}"),
            peak_current_A: blow.shot.peak_earths[k],
            charge_C: blow.charges[k],
            charge_share: blow.share(k),
            distance_m,
            direction_rad,
            clamp: &earth.clamp,
        }
    };
    case.earths.iter().enumerate().map(lead).collect()
}

fn sources(case: &Case, blow: &Blow) -> Vec<SourceRow> {
    let row = |s: &arcplunge_core::study::earths::Source| SourceRow {
        name: name(case, s.place),
        flux_density_x_T: s.field[0],
        flux_density_y_T: s.field[1],
        flux_density_z_T: s.field[2],
        drift_x_m: s.drift.map(|d| settled(d[0])),
        drift_y_m: s.drift.map(|d| settled(d[1])),
    };
    blow.sources.iter().map(row).collect()
}

fn rim(blow: &Blow) -> Vec<RimRow> {
    let row = |clock_h: u32| {
        let angle_rad = angle(f64::from(clock_h));
        Some(RimRow {
            clock_h,
            angle_rad,
            fill_ratio: blow.rim(angle_rad)?,
        })
    };
    (1..=12).filter_map(row).collect()
}

fn trial(case: &Case, trial: &Trial) -> TrialRow {
    let (remedy_name, at, direction_rad) = match trial.remedy {
        Remedy::Squared => ("tool-squared", None, None),
        Remedy::Mirrored { at, .. } => ("mirrored-clamp", Some(at), None),
        Remedy::Added { at, .. } => ("further-clamp", Some(at), None),
        Remedy::Moved { at, .. } => ("clamp-moved", Some(at), None),
        Remedy::Alike => ("equal-leads", None, None),
        Remedy::Tight => ("all-tight", None, None),
        Remedy::LeadUp => ("lead-up", None, None),
        Remedy::Turned { direction } => ("tool-turned", None, Some(direction)),
    };
    TrialRow {
        remedy: remedy_name,
        words: remedy(case, trial.remedy),
        x_m: at.map(|a| a[0]),
        y_m: at.map(|a| a[1]),
        direction_rad,
        verdict: trial.blow.shot.verdict,
        drift: Drift::of(&trial.blow),
    }
}
