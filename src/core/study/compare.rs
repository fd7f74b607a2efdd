//! A base weld and variations of it, side by side: what each moves, and where the joules go instead.

use super::assessment::{Assessment, Depth, assess_shot};
use super::batch::fire_all;
use crate::case::Case;
use crate::case::faults::Fault;
use crate::case::settings::differences;
use crate::simulation::fire::Settings;
use crate::simulation::integrator::IntegrationError;
use crate::simulation::shot::Shot;

/// A case to be compared with the base.
#[derive(Debug, Clone, PartialEq)]
pub struct Variation {
    /// As it was asked for: `loose-tool-terminal`, `lead.length=12m`.
    pub name: String,
    /// Faults it is made of; none for changed keys.
    pub faults: Vec<&'static Fault>,
    /// The changed case, whole.
    pub case: Case,
}

/// Base and variations, fired.
#[derive(Debug, Clone, PartialEq)]
pub struct Comparison {
    /// What the others are compared with.
    pub base: Assessment,
    /// In the order asked for.
    pub variations: Vec<Assessment>,
}

/// An element of the ledger and what it took in both shots \[J\].
#[derive(Debug, Clone, PartialEq)]
pub struct LedgerMove {
    /// Name in the ledger: `tool terminal`.
    pub name: String,
    /// In the base \[J\]; 0 where it has no such element.
    pub from: f64,
    /// In the other shot \[J\]; 0 where it has no such element.
    pub to: f64,
}

impl LedgerMove {
    /// What it took more than in the base \[J\].
    pub fn gain(&self) -> f64 {
        self.to - self.from
    }
}

/// Fires the base and every variation, in order, each with its band and its arc blow.
///
/// # Errors
/// When an integration fails.
pub fn compare(base: Case, variations: Vec<Variation>) -> Result<Comparison, IntegrationError> {
    let cases = std::iter::once(&base).chain(variations.iter().map(|v| &v.case));
    let cases: Vec<Case> = cases.cloned().collect();
    let mut shots = fire_all(cases, Settings::default());
    let mut next = |name, faults, case: Case| -> Result<Assessment, IntegrationError> {
        let shot = shots.next().expect("as many shots as cases")?;
        Ok(Assessment {
            name,
            changes: differences(&base, &case),
            ..assess_shot(case, faults, shot, Depth::FULL)?
        })
    };
    let first = next("base".to_string(), Vec::new(), base.clone())?;
    let others = variations.into_iter();
    Ok(Comparison {
        base: first,
        variations: others
            .map(|v| next(v.name, v.faults, v.case))
            .collect::<Result<_, _>>()?,
    })
}

/// Change relative to the base; `None` where there is nothing to compare or the base is zero.
pub fn relative(from: Option<f64>, to: Option<f64>) -> Option<f64> {
    let (from, to) = (from?, to?);
    (from != 0.0).then(|| (to - from) / from.abs())
}

/// Joules that make no difference between two changes.
const SAME_JOULES: f64 = 1e-6;

/// Where the joules moved, largest change first.
pub fn ledger_moves(base: &Shot, other: &Shot) -> Vec<LedgerMove> {
    let (before, after) = (base.ledger.entries(), other.ledger.entries());
    let find = |list: &[(String, f64)], name: &str| {
        let found = list.iter().find(|e| e.0 == name);
        found.map_or(0.0, |e| e.1)
    };
    let mut names: Vec<String> = before.iter().map(|e| e.0.clone()).collect();
    let new = after.iter().filter(|e| before.iter().all(|b| b.0 != e.0));
    names.extend(new.map(|e| e.0.clone()));
    let mut moves: Vec<LedgerMove> = names
        .into_iter()
        .map(|name| LedgerMove {
            from: find(&before, &name),
            to: find(&after, &name),
            name,
        })
        .collect();
    // What differs by rounding only keeps the order of the ledger, but for a rare pair astride a border.
    let size = |m: &LedgerMove| (m.gain().abs() / SAME_JOULES).round();
    moves.sort_by(|a, b| size(b).total_cmp(&size(a)));
    moves
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::case::faults::{Move, apply, faults};
    use crate::simulation::named::find;
    use crate::simulation::remarks::Remark;
    use crate::simulation::verdict::Verdict;

    fn with(names: &[&str]) -> Comparison {
        let base = Case::default();
        let variations = faults()
            .iter()
            .filter(|f| names.is_empty() || names.contains(&f.name.as_str()))
            .map(|fault| Variation {
                name: fault.name.clone(),
                faults: vec![fault],
                case: apply(&base, &[fault]).unwrap(),
            });
        let variations = variations.collect();
        compare(base, variations).unwrap()
    }

    /// Whether a figure or element moves as claimed, by more than the solver's noise: a thousandth.
    fn holds(claim: &Move, base: &Shot, other: &Shot) -> bool {
        let figure = |s: &Shot| {
            let known = find(&claim.what).map(|read| read(&s.figures));
            known.unwrap_or_else(|| {
                let entries = s.ledger.entries();
                entries.iter().find(|e| e.0 == claim.what).map(|e| e.1)
            })
        };
        let (Some(from), Some(to)) = (figure(base), figure(other)) else {
            panic!("no {} in both shots", claim.what);
        };
        let moved = (to - from) / from.abs();
        if claim.rises {
            moved > 1e-3
        } else {
            moved < -1e-3
        }
    }

    #[test]
    fn practice_every_fault_moves_what_its_text_says() {
        let contrast = with(&[]);
        let base = &contrast.base.shot;
        for v in &contrast.variations {
            for claim in v.faults.iter().flat_map(|f| &f.moves) {
                assert!(holds(claim, base, &v.shot), "{}: {claim:?}", v.name);
                // The control: the other way, and no fault at all, are not taken for it.
                let other = Move {
                    rises: !claim.rises,
                    ..claim.clone()
                };
                assert!(!holds(&other, base, &v.shot), "{}: {other:?}", v.name);
            }
        }
        let claim = &contrast.variations[0].faults[0].moves[0];
        assert!(!holds(claim, base, base));
    }

    #[test]
    fn practice_a_fault_of_the_rig_moves_the_verdict() {
        let found = with(&[
            "arcing-chuck",
            "long-leads",
            "weak-spring",
            "tool-not-square",
            "centre-mark-deep",
            "wrong-metal-setting",
            "sheet-too-thin",
        ]);
        assert_eq!(found.base.shot.verdict, Some(Verdict::Sound));
        assert!(found.base.shot.remarks.is_empty());
        assert_eq!(found.variations.len(), 7);
        for v in &found.variations {
            // A sheet that dents is no plain sound weld.
            let warned = v
                .shot
                .remarks
                .iter()
                .any(|r| matches!(r, Remark::ThinSheet { .. }));
            assert!(
                v.shot.verdict != Some(Verdict::Sound) || warned,
                "{}: {:?}",
                v.name,
                v.shot.cause
            );
        }
    }

    #[test]
    fn conserves_what_the_ledgers_differ_by_is_what_the_banks_differ_by() {
        let contrast = with(&["loose-tool-terminal", "one-earth-lead-off", "tired-bank"]);
        let base = &contrast.base.shot;
        for v in &contrast.variations {
            let moves = ledger_moves(base, &v.shot);
            let gained: f64 = moves.iter().map(LedgerMove::gain).sum();
            let stored = v.shot.figures.stored_energy_J - base.figures.stored_energy_J;
            // Each ledger closes to 1e-6 of the bank.
            assert!(
                (gained - stored).abs() < 1e-3,
                "{}: {gained} {stored}",
                v.name
            );
            assert!(
                moves
                    .windows(2)
                    .all(|m| m[0].gain().abs() >= m[1].gain().abs() - 1e-6)
            );
        }
    }

    #[test]
    fn a_base_of_zero_has_no_per_cent() {
        assert_eq!(relative(Some(0.0), Some(1.0)), None);
        assert_eq!(relative(Some(-2.0), Some(-1.0)), Some(0.5));
        assert_eq!(relative(None, Some(1.0)), None);
    }
}
