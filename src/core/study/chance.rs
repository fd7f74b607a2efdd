//! The chance that a weld is sound, as far as its rig is known: model, rig and stud drawn at once, each value within its
//! spread.

use rayon::prelude::*;

use super::points::{Points, Sampling};
use super::scatter::Scatter;
use super::scatter::dependence::Dependence;
use super::scatter::draw::draws;
use crate::case::Case;
use crate::case::tolerance::Tolerances;
use crate::simulation::fire::{Settings, Workspace};
use crate::simulation::verdict::Verdict;

/// Welds drawn.
pub const SHOTS: usize = 128;

/// How many of the welds that a case may stand for are sound.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Chance {
    /// Sound welds.
    pub sound: usize,
    /// Welds drawn that make a valid case.
    pub shots: usize,
}

impl Chance {
    /// Sound welds as a share of all.
    pub fn share(self) -> f64 {
        self.sound as f64 / self.shots as f64
    }

    /// Whether fewer than half are sound.
    pub fn is_poor(self) -> bool {
        2 * self.sound < self.shots
    }
}

/// Draws [`SHOTS`] welds of a case: figures of the model as well as they are known, rig and stud as they scatter. Every case
/// takes the same points, so that two settings are compared on the same rigs. `None` for a discharge test, and where nothing
/// scatters.
///
/// ```
/// use arcplunge_core::case::{Case, tolerance::Tolerances};
/// use arcplunge_core::study::chance::chance;
///
/// let now = chance(&Case::default(), &Tolerances::default()).expect("a weld");
/// assert!(now.share() > 0.5 && now.sound < now.shots);
/// ```
pub fn chance(case: &Case, tolerances: &Tolerances) -> Option<Chance> {
    of_first(SHOTS, case, tolerances)
}

/// The same of the first `shots` of them.
pub(super) fn of_first(shots: usize, case: &Case, tolerances: &Tolerances) -> Option<Chance> {
    if case.stud.short_resistance.is_some() {
        return None;
    }
    let draws = draws(case, tolerances, true).ok()?;
    let scatter = Scatter {
        dependence: Dependence::of(&draws, tolerances).ok()?,
        base: case.clone(),
        draws,
        points: Points {
            sampling: Sampling::Sobol,
            seed: 1,
        },
        shots,
        settings: Settings::frozen(),
    };
    let verdict = |work: &mut Workspace, n| {
        let row = scatter.row(n, work);
        row.outcome.figures().map(|_| row.outcome.verdict())
    };
    let all = (0..shots).into_par_iter();
    let verdicts: Vec<Option<Verdict>> = all
        .map_init(Workspace::default, verdict)
        .flatten_iter()
        .collect();
    let sound = verdicts.iter().filter(|v| **v == Some(Verdict::Sound));
    Some(Chance {
        sound: sound.count(),
        shots: verdicts.len(),
    })
    .filter(|chance| chance.shots > 0)
}
