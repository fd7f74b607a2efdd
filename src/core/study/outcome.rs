//! What came of firing a case with some of its numbers changed.

use crate::case::Case;
use crate::case::check::check;
use crate::case::keys::Address;
use crate::simulation::fire::{Settings, Workspace, fire};
use crate::simulation::remarks::{Remarks, warn_of_sheet, warn_of_switch};
use crate::simulation::rig::Rig;
use crate::simulation::shot::Figures;
use crate::simulation::verdict::{Cause, Verdict};

/// A shot's figures and verdict, or why there is none.
#[derive(Debug, Clone, PartialEq)]
pub enum Outcome {
    /// It was fired.
    Shot {
        /// The shot's figures, in SI.
        figures: Box<Figures>,
        /// `None` for a discharge test.
        verdict: Option<Verdict>,
        /// What decided the verdict.
        cause: Cause,
        /// What is to be said beside it.
        remarks: Remarks,
    },
    /// The values are not a valid case, or it could not be fired; why.
    None(String),
}

/// `base` with these numbers \[SI\] at these addresses.
///
/// # Errors
/// In words, when the values are not a valid case.
pub fn changed<'a>(
    base: &Case,
    changes: impl IntoIterator<Item = (&'a Address, f64)>,
) -> Result<Case, String> {
    let mut case = base.clone();
    for (address, value) in changes {
        let set = address.set_number(&mut case, value);
        set.map_err(|e| e.to_string())?;
    }
    match check(&case).first() {
        Some(broken) => Err(broken.to_string()),
        None => Ok(case),
    }
}

impl Outcome {
    /// Fires `base` with these numbers \[SI\] at these addresses.
    pub fn of<'a>(
        base: &Case,
        changes: impl IntoIterator<Item = (&'a Address, f64)>,
        settings: &Settings,
        work: &mut Workspace,
    ) -> Outcome {
        let case = match changed(base, changes) {
            Ok(case) => case,
            Err(why) => return Outcome::None(why),
        };
        match fire(&Rig::new(&case), settings, work) {
            Ok(shot) => Outcome::Shot {
                figures: Box::new(shot.figures),
                verdict: shot.verdict,
                cause: shot.cause,
                remarks: shot.remarks,
            },
            Err(e) => Outcome::None(e.to_string()),
        }
    }

    /// The verdict; `None` without a shot, and for a discharge test.
    pub fn verdict(&self) -> Option<Verdict> {
        match self {
            Outcome::Shot { verdict, .. } => *verdict,
            Outcome::None(_) => None,
        }
    }

    /// Remarks of a weld that is sound, but whose sheet is too thin, or its back too hot.
    pub fn sound_but_thin(&self) -> Option<&Remarks> {
        self.remarks_if_sound()
            .filter(|remarks| warn_of_sheet(remarks))
    }

    /// The same, or one that makes the switch too hot.
    pub fn sound_but_warned(&self) -> Option<&Remarks> {
        self.remarks_if_sound()
            .filter(|remarks| warn_of_sheet(remarks) || warn_of_switch(remarks))
    }

    fn remarks_if_sound(&self) -> Option<&Remarks> {
        match self {
            Outcome::Shot {
                verdict: Some(Verdict::Sound),
                remarks,
                ..
            } => Some(remarks),
            _ => None,
        }
    }

    /// The figures; `None` without a shot.
    pub fn figures(&self) -> Option<&Figures> {
        match self {
            Outcome::Shot { figures, .. } => Some(figures),
            Outcome::None(_) => None,
        }
    }
}
