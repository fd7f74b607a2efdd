//! The band a prediction comes with: the same weld fired over the spread of the model's own
//! constants.
//!
//! Most of the constants are known from memory only, so a figure without its band would claim more
//! than is known. The spreads are our own estimate.

use serde::Serialize;

use super::allowance::Allowance;
use super::batch::fire_all;
use super::points::{Points, Sampling};
use super::quantiles::nearest_ranks;
use super::scatter::Scatter;
use super::scatter::draw::Draw;
use crate::case::Case;
use crate::case::tolerance::known;
use crate::simulation::fire::{Settings, fire};
use crate::simulation::integrator::IntegrationError;
use crate::simulation::rig::Rig;
use crate::simulation::shot::{Figures, Shot};
use crate::simulation::verdict::Verdict;

/// Most shots in a band; a point that is not a valid case has none.
pub const SHOTS: usize = 128;

/// Share of the band's shots with another verdict above which a verdict is borderline: as many as lie
/// outside of the ranges.
const BORDERLINE: f64 = 0.1;

/// Whether so many of the band's shots with another verdict make a verdict borderline.
pub fn is_borderline(others: usize, shots: usize) -> bool {
    others as f64 > BORDERLINE * shots as f64
}

/// Low and high end of a figure: the 5th and 95th percentile of the band's shots.
pub type Range = [f64; 2];

/// What the spreads of the model's constants do to the prediction.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[allow(non_snake_case)] // named as the figures are
pub struct Band {
    /// Shots fired; a point that is not a valid case has none.
    pub shots: usize,
    /// Shots with each verdict that came.
    pub verdicts: Vec<(Verdict, usize)>,
    /// More than a tenth of the shots have another verdict than the case's own.
    pub borderline: bool,
    /// The weld if the cathode is the hotter pole, and if the anode is.
    pub poles: Option<[Pole; 2]>,
    /// Filler over the space under the cone; 1 just fills it.
    pub fill_ratio: Option<Range>,
    /// Least fill round the rim.
    pub rim_fill_min: Option<Range>,
    /// Share of the arc's energy that boils metal off.
    pub vapour_share: Option<Range>,
    /// From ignition to touchdown or to the arc's end \[s\].
    pub arc_time_s: Option<Range>,
    /// Energy of the arc \[J\].
    pub arc_energy_J: Option<Range>,
    /// Time at which the pip bursts \[s\].
    pub ignition_s: Option<Range>,
    /// Largest current \[A\].
    pub peak_current_A: Option<Range>,
    /// Melt on the sheet's face at touchdown \[m\].
    pub melt_sheet_m: Option<Range>,
    /// Time at which the last melt freezes \[s\].
    pub freeze_s: Option<Range>,
}

/// The weld with all of the spread of the arc's split on one pole.
///
/// The other polarity exchanges the two ends.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[allow(non_snake_case)] // named as the figures are
pub struct Pole {
    /// Share of the arc's power into the stud.
    pub to_stud: f64,
    /// Share of the arc's power into the sheet.
    pub to_sheet: f64,
    /// What comes of it.
    pub verdict: Option<Verdict>,
    /// Filler over the space under the cone.
    pub fill_ratio: Option<f64>,
    /// Melt on the stud's face at touchdown \[m\].
    pub melt_stud_m: Option<f64>,
    /// Melt on the sheet's face at touchdown \[m\].
    pub melt_sheet_m: Option<f64>,
}

/// What polarity would do, if the cathode were the hotter pole by all that is thought possible, or the anode.
///
/// # Errors
/// When an integration gives up.
fn poles(case: &Case) -> Result<Option<[Pole; 2]>, IntegrationError> {
    let spread = known(case)
        .into_iter()
        .find(|t| t.address.to_string() == SPLIT);
    let Some(draw) = spread.and_then(|t| Draw::new(case, t).ok()) else {
        return Ok(None);
    };
    let at = |end: f64| {
        let mut case = case.clone();
        // What the key's bounds let through is a case.
        draw.address().set_number(&mut case, draw.at(end)).ok();
        case
    };
    let ends = [1.0, 0.0].map(at);
    let shares = ends.clone().map(|case| case.heat_shares());
    let mut found = Vec::with_capacity(2);
    for (shot, [to_stud, to_sheet]) in fire_all(ends, Settings::frozen()).zip(shares) {
        let shot = shot?;
        found.push(Pole {
            to_stud,
            to_sheet,
            verdict: shot.verdict,
            fill_ratio: shot.figures.fill_ratio,
            melt_stud_m: shot.figures.melt_stud_m,
            melt_sheet_m: shot.figures.melt_sheet_m,
        });
    }
    Ok(found.try_into().ok())
}

/// Key of the arc's split between the poles.
const SPLIT: &str = "arc.split";

/// Fires the band of a case; `None` for a discharge test, which uses none of these constants.
///
/// # Errors
/// When an integration fails.
pub fn band(case: &Case, shot: &Shot) -> Result<Option<Band>, IntegrationError> {
    band_within(case, shot.verdict, &mut Allowance::beside(&shot.effort))
}

/// The band of a case with this verdict, of as many shots as the allowance bears.
///
/// # Errors
/// When an integration fails.
pub fn band_within(
    case: &Case,
    own: Option<Verdict>,
    allowance: &mut Allowance,
) -> Result<Option<Band>, IntegrationError> {
    let Some(own) = own else { return Ok(None) };
    let mut figures: Vec<Figures> = Vec::with_capacity(SHOTS);
    let mut verdicts: Vec<Verdict> = Vec::with_capacity(SHOTS);
    let shots = allowance.each(cases(case), |work, case| {
        let shot = fire(&Rig::new(&case), &Settings::frozen(), work);
        let work = shot.as_ref().map_or(0, |s| s.effort.work());
        (shot, work)
    });
    for shot in shots {
        let shot = shot?;
        figures.push(shot.figures);
        verdicts.extend(shot.verdict);
    }
    let verdicts = counts(&verdicts);
    let range = |of: fn(&Figures) -> Option<f64>| range(figures.iter().filter_map(of).collect());
    Ok(Some(Band {
        shots: figures.len(),
        borderline: is_borderline(others(&verdicts, own), figures.len()),
        verdicts,
        poles: poles(case)?,
        fill_ratio: range(|f| f.fill_ratio),
        rim_fill_min: range(|f| f.rim_fill_min),
        vapour_share: range(|f| f.vapour_share),
        arc_time_s: range(|f| f.arc_time_s),
        arc_energy_J: range(|f| f.arc_energy_J),
        ignition_s: range(|f| f.ignition_s),
        peak_current_A: range(|f| f.peak_current_A),
        melt_sheet_m: range(|f| f.melt_sheet_m),
        freeze_s: range(|f| f.freeze_s),
    }))
}

/// How often each verdict comes, of those that do.
pub(super) fn counts(verdicts: &[Verdict]) -> Vec<(Verdict, usize)> {
    let count = |v: Verdict| verdicts.iter().filter(|x| **x == v).count();
    let all = Verdict::ALL.map(|v| (v, count(v)));
    all.into_iter().filter(|(_, n)| *n > 0).collect()
}

/// How many of them are another than a weld's own.
pub fn others(verdicts: &[(Verdict, usize)], own: Verdict) -> usize {
    let others = verdicts.iter().filter(|(v, _)| *v != own);
    others.map(|(_, n)| n).sum()
}

/// Every band takes the same points.
pub(super) const POINTS: Points = Points {
    sampling: Sampling::Sobol,
    seed: 1,
};

/// The draws of all figures of the model that play a part in a case.
fn draws(case: &Case) -> Vec<Draw> {
    let spreads = known(case).into_iter();
    spreads.filter_map(|t| Draw::new(case, t).ok()).collect()
}

/// The cases of a band; a point that is not a valid case has none.
pub(super) fn cases(case: &Case) -> impl Iterator<Item = Case> {
    let scatter = Scatter {
        base: case.clone(),
        draws: draws(case),
        dependence: None,
        points: POINTS,
        shots: SHOTS,
        settings: Settings::default(),
    };
    (0..SHOTS).filter_map(move |n| scatter.case(&scatter.values(n)).ok())
}

pub(super) fn range(values: Vec<f64>) -> Option<Range> {
    nearest_ranks(values, [0.05, 0.95])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::tolerance::uncertainties;
    use crate::simulation::fire::{Workspace, fire};
    use crate::simulation::rig::Rig;

    #[test]
    fn every_figure_of_the_model_is_in_the_band() {
        let keys: Vec<String> = draws(&Case::default())
            .iter()
            .map(|d| d.address().to_string())
            .collect();
        for entry in uncertainties() {
            let key = entry.key.replace("metal.*", "metal.\"mild steel\"");
            assert!(keys.contains(&key), "{key} is missing in {keys:?}");
        }
    }

    #[test]
    fn no_constant_leaves_its_bounds() {
        let mut case = Case::default();
        case.model.burst_share = 0.97;
        (case.arc.to_cathode, case.arc.to_anode) = (0.49, 0.49);
        let all: Vec<Case> = cases(&case).collect();
        assert_eq!(all.len(), SHOTS);
        for c in all {
            assert!(c.model.burst_share <= 1.0, "{}", c.model.burst_share);
            assert!(c.arc.to_cathode + c.arc.to_anode <= 1.0 + 1e-12);
            assert!(c.arc.resistance >= 0.0);
        }
    }

    #[test]
    fn each_constant_moves_over_its_spread() {
        let base = Case::default();
        let all: Vec<Case> = cases(&base).collect();
        assert_eq!(all.len(), SHOTS);
        let wide = |of: fn(&Case) -> f64| {
            let values = all.iter().map(of);
            values.fold((f64::MAX, f64::MIN), |(a, b), v| (a.min(v), b.max(v)))
        };
        for (of, half) in [
            (
                (|c| c.arc.to_cathode - c.arc.to_anode) as fn(&Case) -> f64,
                0.16,
            ),
            (|c| c.arc.to_cathode + c.arc.to_anode, 0.06),
            (Case::arc_fall, 2.0),
            (|c| c.arc.field, 1.75e3),
            (|c| c.arc.resistance, 0.4e-3),
            (|c| c.model.burst_share, 0.15),
        ] {
            let (low, high) = wide(of);
            assert!(
                (1.7 * half..=2.0 * half).contains(&(high - low)),
                "{low} {high}"
            );
        }
    }

    #[test]
    fn reported_polarity_moves_melt_from_one_face_to_the_other() {
        let base = Case::default();
        let mut other = base.clone();
        other.stud.polarity = crate::case::model::Polarity::Positive;
        let [cathode, anode] = poles(&base).unwrap().unwrap();
        assert!((cathode.to_stud - 0.46).abs() < 1e-12 && (cathode.to_sheet - 0.30).abs() < 1e-12);
        assert!(cathode.melt_stud_m > anode.melt_stud_m);
        let exchanged = poles(&other).unwrap().unwrap();
        assert_eq!(exchanged[0].melt_stud_m, anode.melt_stud_m);
        assert_eq!(exchanged[1].fill_ratio, cathode.fill_ratio);
    }

    #[test]
    fn a_band_holds_its_own_figure() {
        let case = Case::default();
        let shot = fire(
            &Rig::new(&case),
            &Settings::default(),
            &mut Workspace::default(),
        )
        .unwrap();
        let band = band(&case, &shot).unwrap().unwrap();
        let (Some([low, high]), Some(fill)) = (band.fill_ratio, shot.figures.fill_ratio) else {
            panic!("the demonstration case fills");
        };
        assert!(low < fill && fill < high, "{low} {fill} {high}");
        assert_eq!(band.verdicts.iter().map(|v| v.1).sum::<usize>(), SHOTS);
    }
}
