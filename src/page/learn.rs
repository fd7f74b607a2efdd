//! What the test welds on the page say of the rig.

use serde::Serialize;
use serde_json::Value;
use std::sync::atomic::Ordering;

use super::request::{PageRequest, Weld};
use super::session::Session;
use arcplunge_core::case::Case;
use arcplunge_core::study::calibrate::Problem;
use arcplunge_core::study::calibrate::found::{Asked, Found, Stage, calibrate};
use arcplunge_core::study::calibrate::sampler::{Effort, ISLANDS, PARTICLES};
use arcplunge_core::study::calibrate::weld::Welds;
use arcplunge_core::study::design::DesignError;
use arcplunge_core::study::dial::asked::usual_step;
use arcplunge_core::study::dial::range::{REACH, around};
use arcplunge_core::study::range::{Vary, turned};
use arcplunge_report::calibrate::{Told, calibrated, told, value};
use arcplunge_report::provenance::sha256;
use arcplunge_report::today::today;

/// Most test welds on the page, and most settings among them: each is fired some ten thousand times.
const MOST: usize = 60;
const MOST_SETTINGS: usize = 30;

const SEED: u64 = 1;

/// What is set on a dial.
const DIAL: &str = "bank.voltage";

/// A calibration as the page shows it.
#[derive(Debug, Serialize)]
pub struct LearnResponse {
    told: Told,
    /// The calibration for programs, as the command line writes it.
    found: Value,
    /// Number of welds.
    welds: usize,
    /// Charging voltage of each weld, and of the case \[V\].
    at: Vec<f64>,
    set: f64,
    /// Overrides that make the page's case the calibrated one; or why it is no valid case.
    sets: Result<Vec<String>, String>,
}

/// What is wrong with a table, and where.
#[derive(Debug, Serialize)]
pub struct WrongTable {
    /// Line of the table, counted from 1; none where it is not about the table.
    line: Option<u64>,
    /// Head of the column.
    column: Option<String>,
    /// What is wrong, in words.
    error: String,
    /// The nearest right word.
    nearest: Option<String>,
}

impl From<String> for WrongTable {
    fn from(error: String) -> Self {
        WrongTable {
            line: None,
            column: None,
            error,
            nearest: None,
        }
    }
}

impl From<DesignError> for WrongTable {
    fn from(e: DesignError) -> Self {
        WrongTable {
            line: Some(e.line),
            column: e.column,
            error: e.why,
            nearest: e.nearest,
        }
    }
}

impl LearnResponse {
    /// Of the table that is asked about.
    ///
    /// # Errors
    /// By line and column where the table is wrong; in words when the case does not fit, or nobody waits any more.
    pub fn of(session: &Session, asked: &PageRequest) -> Result<LearnResponse, WrongTable> {
        let table = asked.study.table.as_deref().unwrap_or("");
        let problem = problem(session, &asked.weld, table)?;
        let question = question(&problem.base)?;
        let go_on = |_: Stage<'_>| !session.cancelled().load(Ordering::Relaxed);
        let found = calibrate(problem, question, go_on).map_err(|why| format!("error: {why}"))?;
        let hash = sha256(table.as_bytes());
        Ok(LearnResponse::new(&found, &hash).map_err(|e| format!("error: {e}"))?)
    }

    fn new(found: &Found, hash: &str) -> serde_json::Result<LearnResponse> {
        let Welds { cases, welds, .. } = &found.problem.welds;
        let title = calibrated(&found.problem.base.title, welds.len(), &today(), hash);
        let title = format!("title={title}");
        let sets = found.overrides();
        Ok(LearnResponse {
            told: told(found),
            found: value(found, None, hash)?,
            welds: welds.len(),
            at: welds.iter().map(|w| cases[w.case].bank.voltage).collect(),
            set: found.problem.base.bank.voltage,
            sets: sets.map(|sets| sets.into_iter().chain([title]).collect()),
        })
    }
}

/// The table beside the page's weld.
fn problem(session: &Session, weld: &Weld, table: &str) -> Result<Problem, WrongTable> {
    // They act on top of the overrides: what is learnt with them on would have them twice.
    if !weld.faults.is_empty() {
        let why = "error: switch the faults off before you learn from welds: a fault acts on top of the rig, and what it does \
                   would be learnt as the rig's own";
        return Err(why.to_string().into());
    }
    let resolved = session.case(weld)?.0;
    if resolved.case.stud.short_resistance.is_some() {
        let why = "error: a discharge test (stud.short_resistance) has no weld to learn from";
        return Err(why.to_string().into());
    }
    let case = |words: &[String]| {
        let mut weld = weld.clone();
        weld.sets.extend_from_slice(words);
        session.case(&weld).map(|(resolved, _)| resolved.case)
    };
    let welds = Welds::read(table.as_bytes(), resolved.case.clone(), case, |_| {
        Err("the page reads no files: leave this column out here".into())
    })?;
    if welds.welds.len() > MOST || welds.cases.len() > MOST_SETTINGS {
        let why = format!(
            "error: more than {MOST} welds or {MOST_SETTINGS} settings; `arcplunge calibrate` has no such limit"
        );
        return Err(why.into());
    }
    welds
        .cases
        .iter()
        .try_for_each(|case| session.is_quick(case))?;
    let problem = Problem::new(resolved.case, &resolved.tolerances, welds);
    Ok(problem.map_err(|e| format!("error: {e}"))?)
}

/// The window of the charging voltage, and one weld worth making next.
fn question(base: &Case) -> Result<Asked, String> {
    let words = |e: &dyn std::fmt::Display| format!("error: {DIAL}: {e}");
    let (address, number) = turned(base, DIAL).map_err(|e| words(&e))?;
    let ends = around(base, &address, &number, REACH)
        .ok_or_else(|| words(&"there is no range to search"))?;
    let vary = Vary::over(address, number, ends);
    Ok(Asked {
        step: usual_step(base, &vary),
        vary: vec![vary],
        next: 1,
        effort: Effort {
            particles: PARTICLES / ISLANDS,
            seed: SEED,
        },
        kept: None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use arcplunge_core::case::read::Text;

    fn asked(table: &str) -> Result<LearnResponse, WrongTable> {
        let session = Session::new(Text::default(), Vec::new());
        let mut asked = PageRequest::default();
        asked.study.table = Some(table.into());
        LearnResponse::of(&session, &asked)
    }

    #[test]
    fn a_wrong_word_is_told_by_line_and_column() {
        let said = asked("bank.voltage [V],witness\n100,full\n90,ful\n").unwrap_err();
        assert_eq!(
            (said.line, said.column.as_deref()),
            (Some(3), Some("witness"))
        );
        assert_eq!(said.nearest.as_deref(), Some("full"));
        let many: String = (0..61).map(|k| format!("{},full\n", 80 + k)).collect();
        let said = asked(&format!("bank.voltage [V],witness\n{many}")).unwrap_err();
        assert!(said.error.contains("more than 60"), "{said:?}");
        assert_eq!(asked("").unwrap_err().line, Some(1));
    }

    #[test]
    fn what_was_learnt_can_be_put_on_the_case() {
        let found = asked("bank.voltage [V],witness\n85,none\n95,part\n105,full\n").unwrap();
        let session = Session::new(Text::default(), Vec::new());
        let weld = Weld {
            sets: found.sets.unwrap(),
            ..Weld::default()
        };
        let case = session.case(&weld).unwrap().0.case;
        assert!(
            case.title.contains("calibrated on 3 welds"),
            "{}",
            case.title
        );
        assert!(!case.uncertainty.is_empty());
        assert!((case.bank.voltage / 112.0 - 1.0).abs() < 0.01);
    }

    #[test]
    fn nothing_is_learnt_while_a_fault_is_on() {
        let session = Session::new(Text::default(), Vec::new());
        let mut asked = PageRequest::default();
        asked.study.table = Some("bank.voltage [V],witness\n85,none\n".into());
        asked.weld.faults = vec!["loose-tool-terminal".into()];
        let said = LearnResponse::of(&session, &asked).unwrap_err();
        assert!(said.error.contains("switch the faults off"), "{said:?}");
        assert_eq!((said.line, said.column), (None, None));
    }

    #[test]
    fn nobody_waits_in_vain() {
        let session = Session::new(Text::default(), Vec::new());
        let (session, waiting) = session.waited_for();
        drop(waiting);
        let mut asked = PageRequest::default();
        asked.study.table = Some("bank.voltage [V],witness\n85,none\n".into());
        let said = LearnResponse::of(&session, &asked).unwrap_err();
        assert!(said.error.contains("was stopped"), "{said:?}");
    }
}
