//! The band a prediction comes with: the same weld fired over the spread of the model's own
//! constants.
//!
//! The constants that decide most are known from memory only, so a figure without its band would
//! claim more than is known. The spreads are our own estimate.

use serde::Serialize;

use super::batch::fire_all;
use crate::case::Case;
use crate::case::tolerance::uncertainties;
use crate::cycle::fire::Settings;
use crate::cycle::scheme::Until;
use crate::cycle::march::MarchError;
use crate::cycle::shot::Figures;
use crate::cycle::verdict::Verdict;

/// Shots in a band.
pub const SHOTS: usize = 48;

/// Low and high end of a figure: the 5th and 95th percentile of the band's shots.
pub type Range = [f64; 2];

/// What the spreads of the model's constants do to the prediction.
#[derive(Debug, Clone, PartialEq, Serialize)]
#[allow(non_snake_case)] // named as the figures are
pub struct Band {
    pub shots: usize,
    /// Shots with each verdict that came.
    pub verdicts: Vec<(Verdict, usize)>,
    /// A verdict other than the case's own came within the band.
    pub borderline: bool,
    pub fill_ratio: Option<Range>,
    pub vapour_share: Option<Range>,
    pub arc_time_s: Option<Range>,
    pub arc_energy_J: Option<Range>,
    pub ignition_s: Option<Range>,
    pub peak_current_A: Option<Range>,
    pub melt_sheet_m: Option<Range>,
    pub freeze_s: Option<Range>,
}

/// Fires the band of a case; `None` for a discharge test, which uses none of these constants.
///
/// # Errors
/// When an integration gives up.
pub fn band(case: &Case, own: Option<Verdict>) -> Result<Option<Band>, MarchError> {
    let Some(own) = own else { return Ok(None) };
    let settings = Settings {
        until: Until::Frozen,
        ..Settings::default()
    };
    let mut figures: Vec<Figures> = Vec::with_capacity(SHOTS);
    let mut verdicts: Vec<(Verdict, usize)> = Vec::new();
    for shot in fire_all((0..SHOTS).map(|n| varied(case, n)), settings) {
        let shot = shot?;
        figures.push(shot.figures);
        if let Some(v) = shot.verdict {
            match verdicts.iter_mut().find(|(name, _)| *name == v) {
                Some((_, count)) => *count += 1,
                None => verdicts.push((v, 1)),
            }
        }
    }
    verdicts.sort();
    let range = |of: fn(&Figures) -> Option<f64>| range(figures.iter().filter_map(of).collect());
    Ok(Some(Band {
        shots: SHOTS,
        borderline: verdicts.iter().any(|(v, _)| *v != own),
        verdicts,
        fill_ratio: range(|f| f.fill_ratio),
        vapour_share: range(|f| f.vapour_share),
        arc_time_s: range(|f| f.arc_time_s),
        arc_energy_J: range(|f| f.arc_energy_J),
        ignition_s: range(|f| f.ignition_s),
        peak_current_A: range(|f| f.peak_current_A),
        melt_sheet_m: range(|f| f.melt_sheet_m),
        freeze_s: range(|f| f.freeze_s),
    }))
}

/// The case with its constants moved to the n-th point of a Halton sequence over the spreads of the
/// catalogue ([`uncertainties`]); of all it lists these four decide most.
fn varied(case: &Case, n: usize) -> Case {
    let off = |key: &str, value: f64, base: u64| {
        let entry = uncertainties().iter().find(|entry| entry.key == key);
        let half = entry.map_or(0.0, |entry| entry.spread.amount.of(value));
        half * (2.0 * radical_inverse(base, n as u64 + 1) - 1.0)
    };
    let mut out = case.clone();
    let a = &mut out.arc;
    a.to_stud = (a.to_stud + off("arc.to_stud", a.to_stud, 2)).clamp(0.0, 1.0);
    a.to_sheet = (a.to_sheet + off("arc.to_sheet", a.to_sheet, 3)).clamp(0.0, 1.0 - a.to_stud);
    a.fall = (a.fall + off("arc.fall", a.fall, 5)).max(0.0);
    let burst = &mut out.model.burst_share;
    *burst = (*burst + off("model.burst_share", *burst, 7)).max(0.0);
    out
}

/// Digits of `n` mirrored at the point (Halton, Numer. Math. 2 (1960) 84).
fn radical_inverse(base: u64, mut n: u64) -> f64 {
    let (mut out, mut place) = (0.0, 1.0 / base as f64);
    while n > 0 {
        out += (n % base) as f64 * place;
        n /= base;
        place /= base as f64;
    }
    out
}

fn range(mut values: Vec<f64>) -> Option<Range> {
    if values.is_empty() {
        return None;
    }
    values.sort_by(f64::total_cmp);
    let at = |share: f64| values[((values.len() - 1) as f64 * share).round() as usize];
    Some([at(0.05), at(0.95)])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cycle::fire::{Workspace, fire};
    use crate::cycle::rig::Rig;

    #[test]
    fn closed_form_halton_points_of_base_two() {
        let points: Vec<f64> = (1..=4).map(|n| radical_inverse(2, n)).collect();
        assert_eq!(points, [0.5, 0.25, 0.75, 0.125]);
    }

    #[test]
    fn each_constant_moves_over_its_spread() {
        let base = Case::default();
        let all: Vec<Case> = (0..SHOTS).map(|n| varied(&base, n)).collect();
        let wide = |of: fn(&Case) -> f64| {
            let values = all.iter().map(of);
            values.fold((f64::MAX, f64::MIN), |(a, b), v| (a.min(v), b.max(v)))
        };
        for (of, half) in [
            ((|c| c.arc.to_stud) as fn(&Case) -> f64, 0.04),
            (|c| c.arc.to_sheet, 0.04),
            (|c| c.arc.fall, 2.0),
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
    fn a_band_holds_its_own_figure() {
        let case = Case::default();
        let shot = fire(
            &Rig::new(&case),
            &Settings::default(),
            &mut Workspace::default(),
        )
        .unwrap();
        let band = band(&case, shot.verdict).unwrap().unwrap();
        let (Some([low, high]), Some(fill)) = (band.fill_ratio, shot.figures.fill_ratio) else {
            panic!("the demonstration case fills");
        };
        assert!(low < fill && fill < high, "{low} {fill} {high}");
        assert_eq!(band.verdicts.iter().map(|v| v.1).sum::<usize>(), SHOTS);
    }
}
