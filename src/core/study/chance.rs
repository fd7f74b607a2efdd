//! The chance that a weld is sound, as far as its rig is known: model, rig and stud drawn at once, each value within its
//! spread.

use rayon::prelude::*;

use super::band::{POINTS, SHOTS};
use super::scatter::Scatter;
use super::scatter::dependence::Dependence;
use super::scatter::draw::draws;
use crate::case::Case;
use crate::case::tolerance::Tolerances;
use crate::simulation::fire::{Settings, Workspace};
use crate::simulation::verdict::Verdict;

/// How many of the welds that a case may stand for are sound.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Chance {
    /// Sound welds.
    pub sound: usize,
    /// Welds drawn that make a valid case.
    pub shots: usize,
}

impl Chance {
    /// Whether fewer than half are sound.
    pub fn is_poor(self) -> bool {
        2 * self.sound < self.shots
    }
}

/// Draws as many welds of a case as a band has shots: figures of the model as well as they are known, rig and stud as they
/// scatter. Every case takes the same points, so that two settings are compared on the same rigs. `None` for a discharge
/// test, and where nothing scatters.
///
/// ```
/// use arcplunge_core::case::{Case, tolerance::Tolerances};
/// use arcplunge_core::study::chance::chance;
///
/// let now = chance(&Case::default(), &Tolerances::default()).expect("a weld");
/// assert!(!now.is_poor() && now.sound < now.shots);
/// ```
pub fn chance(case: &Case, tolerances: &Tolerances) -> Option<Chance> {
    of_first(SHOTS, case, tolerances)
}

/// The same of the first `shots` of them.
pub(super) fn of_first(shots: usize, case: &Case, tolerances: &Tolerances) -> Option<Chance> {
    if case.stud.short_resistance.is_some() {
        return None;
    }
    let draws = draws(case, tolerances, true).ok();
    let draws = draws.filter(|draws| !draws.is_empty())?;
    let scatter = Scatter {
        dependence: Dependence::of(&draws, tolerances).ok()?,
        base: case.clone(),
        draws,
        points: POINTS,
        shots,
        settings: Settings::frozen(),
    };
    let verdict = |work: &mut Workspace, n| scatter.row(n, work).outcome.verdict();
    let all = (0..shots).into_par_iter();
    let verdicts = all.map_init(Workspace::default, verdict).flatten_iter();
    let verdicts: Vec<Verdict> = verdicts.collect();
    let sound = verdicts.iter().filter(|v| **v == Verdict::Sound);
    (!verdicts.is_empty()).then(|| Chance {
        sound: sound.count(),
        shots: verdicts.len(),
    })
}
