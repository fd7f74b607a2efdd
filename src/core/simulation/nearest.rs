//! How far a weld is from each limit of its verdict, and the nearest of them.

use serde::Serialize;

use super::figures::Figures;
use super::rig::Rig;
use super::verdict::{Cause, Verdict};

/// Distance below which a limit other than the fill's is near (own choice): vapour, melt and depth rise steeply towards
/// their limits, while the current at touchdown is always a small part of its peak.
const NEAR: f64 = 0.25;
const NEAR_OUT: f64 = 0.1;

/// A limit of the verdict, and how far a weld is from it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Near {
    /// What would decide the verdict beyond the limit.
    pub cause: Cause,
    /// The distance as a share of the limit; below zero beyond it.
    pub margin: f64,
}

/// The distances to all limits that apply.
pub fn distances(rig: &Rig, figures: &Figures) -> impl Iterator<Item = Near> {
    let f = figures;
    let below = |value: Option<f64>, bound: f64| value.map(|value| 1.0 - value / bound);
    let over = |value: Option<f64>, of: Option<f64>| value.zip(of).map(|(value, of)| value / of);
    let deepest = rig.burn_share * rig.faces[1].depth;
    let all = [
        (Cause::Underfilled, f.rim_fill_min.map(|fill| fill - 1.0)),
        (Cause::Overfilled, below(f.fill_ratio, rig.overfill)),
        (Cause::BoiledOff, below(f.vapour_share, rig.hot_share)),
        (Cause::MeltedThrough, below(f.melt_sheet_max_m, deepest)),
        (
            Cause::Stub,
            over(f.gap_at_ignition_m, Some(rig.stud.pip_length)),
        ),
        (Cause::ArcOut, over(f.touchdown_current_A, f.peak_current_A)),
    ];
    let near = |(cause, margin): (Cause, Option<f64>)| margin.map(|margin| Near { cause, margin });
    all.into_iter().filter_map(near)
}

/// The limit that a sound weld is nearest to; `None` of any other weld. Limits other than the fill's count where they are
/// near.
pub(super) fn nearest(rig: &Rig, figures: &Figures, verdict: Option<Verdict>) -> Option<Near> {
    if verdict != Some(Verdict::Sound) {
        return None;
    }
    let counts = |near: &Near| match near.cause {
        Cause::Underfilled => true,
        Cause::Stub | Cause::ArcOut => near.margin < NEAR_OUT,
        _ => near.margin < NEAR,
    };
    let all = distances(rig, figures).filter(counts);
    all.min_by(|a, b| a.margin.total_cmp(&b.margin))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::Case;
    use crate::simulation::fire::{Settings, Workspace, fire};
    use crate::simulation::shot::Shot;

    fn at(voltage: f64) -> Shot {
        let mut case = Case::default();
        case.bank.voltage = voltage;
        let (settings, mut work) = (Settings::default(), Workspace::default());
        fire(&Rig::new(&case), &settings, &mut work).unwrap()
    }

    #[test]
    fn the_nearest_limit_of_a_weld_turns_from_too_little_to_too_hot() {
        let near = |voltage| at(voltage).nearest.unwrap();
        let low = near(104.0);
        assert_eq!(low.cause, Cause::Underfilled);
        assert_eq!(Some(low.margin), at(104.0).reserve());
        // Just below the voltage at which it is hot.
        let high = (0..).map(|n| 130.0 + 0.5 * f64::from(n));
        let last = high
            .map(at)
            .take_while(|shot| shot.verdict == Some(Verdict::Sound));
        let last = last.last().unwrap();
        let near = last.nearest.unwrap();
        assert_eq!(near.cause, Cause::BoiledOff);
        assert!(
            near.margin < 0.2 && Some(near.margin) < last.reserve(),
            "{near:?}"
        );
        // What is not sound is near to nothing.
        assert_eq!(at(80.0).nearest, None);
    }
}
