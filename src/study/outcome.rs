//! What came of firing a case with some of its numbers changed.

use crate::case::Case;
use crate::case::check::check;
use crate::case::keys::Address;
use crate::cycle::fire::{Settings, Workspace, fire};
use crate::cycle::rig::Rig;
use crate::cycle::shot::Figures;
use crate::cycle::verdict::{Cause, Verdict};

/// A shot's figures and verdict, or why there is none.
#[derive(Debug, Clone, PartialEq)]
pub enum Outcome {
    Shot {
        figures: Box<Figures>,
        verdict: Option<Verdict>,
        cause: Cause,
    },
    /// The values make no case, or it could not be fired; why.
    None(String),
}

impl Outcome {
    /// Fires `base` with these numbers \[SI\] at these addresses.
    pub fn of<'a>(
        base: &Case,
        changes: impl IntoIterator<Item = (&'a Address, f64)>,
        settings: &Settings,
        work: &mut Workspace,
    ) -> Outcome {
        let mut case = base.clone();
        for (address, value) in changes {
            if let Err(e) = address.set_number(&mut case, value) {
                return Outcome::None(e.to_string());
            }
        }
        if let Some(broken) = check(&case).first() {
            return Outcome::None(broken.to_string());
        }
        match fire(&Rig::new(&case), settings, work) {
            Ok(shot) => Outcome::Shot {
                figures: Box::new(shot.figures),
                verdict: shot.verdict,
                cause: shot.cause,
            },
            Err(e) => Outcome::None(e.to_string()),
        }
    }

    pub fn verdict(&self) -> Option<Verdict> {
        match self {
            Outcome::Shot { verdict, .. } => *verdict,
            Outcome::None(_) => None,
        }
    }

    pub fn figures(&self) -> Option<&Figures> {
        match self {
            Outcome::Shot { figures, .. } => Some(figures),
            Outcome::None(_) => None,
        }
    }
}
