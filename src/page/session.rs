//! The case a page was opened with, and welds made of it.

use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use super::lessons::lesson::Lesson;
use super::request::Weld;
use super::spread::Spread;
use arcplunge_core::case::Case;
use arcplunge_core::case::faults::{self, Fault, apply};
use arcplunge_core::case::read::{Origins, Resolved, Text};
use arcplunge_core::case::settings::differences;
use arcplunge_core::simulation::fire::{Settings, Workspace, fire};
use arcplunge_core::simulation::integrator::IntegrationError;
use arcplunge_core::simulation::rig::Rig;
use arcplunge_core::simulation::shot::Shot;
use arcplunge_core::simulation::trace::{Row, Trace, rows};
use arcplunge_core::study::allowance::Allowance;
use arcplunge_core::study::assessment::{Assessment, Depth, assess, assess_within};
use arcplunge_core::study::band::band_within;

/// Rows of a weld's curves; a screen shows no more.
const ROWS: f64 = 600.0;

/// The same for a phone.
const ROWS_OF_A_PHONE: f64 = 150.0;

/// Work of a usual shot, as [`Effort::work`](arcplunge_core::simulation::shot::Effort::work) counts it.
const USUAL_WORK: u64 = 850;

/// Work of a shot over that, up to which the page runs studies of many.
const MOST_TIMES: u64 = 10;

/// The case and overrides the page was opened with.
#[derive(Debug, Clone, Default)]
pub struct Session {
    text: Arc<Text>,
    sets: Arc<[String]>,
    lessons: Arc<[Lesson]>,
    cancelled: Arc<AtomicBool>,
}

/// Ends a session's work between two shots once it is dropped: nobody waits for the answer any more.
#[derive(Debug)]
pub(super) struct Waiting(Arc<AtomicBool>);

impl Drop for Waiting {
    fn drop(&mut self) {
        self.0.store(true, Ordering::Relaxed);
    }
}

/// A weld that has been fired.
#[derive(Debug)]
pub struct Done {
    /// The shot and what stands beside it; its band is asked for later.
    pub weld: Assessment,
    /// Its curves.
    pub rows: Vec<Row>,
}

impl Session {
    /// A page's session from the text of a case and the overrides of the command line, without lessons.
    pub fn new(text: Text, sets: Vec<String>) -> Session {
        Session {
            text: Arc::new(text),
            sets: sets.into(),
            ..Session::default()
        }
    }

    /// The same with these lessons.
    pub fn with_lessons(self, lessons: impl Into<Arc<[Lesson]>>) -> Session {
        Session {
            lessons: lessons.into(),
            ..self
        }
    }

    /// The lessons of the page.
    pub(super) fn lessons(&self) -> &[Lesson] {
        &self.lessons
    }

    /// The session for one answer, and who waits for it.
    pub(super) fn waited_for(&self) -> (Session, Waiting) {
        let cancelled: Arc<AtomicBool> = Arc::default();
        let session = Session {
            cancelled: cancelled.clone(),
            ..self.clone()
        };
        (session, Waiting(cancelled))
    }

    /// The case of a weld.
    ///
    /// # Errors
    /// In words, as on the command line, when an override or a fault does not fit.
    pub(super) fn case(&self, weld: &Weld) -> Result<(Resolved, Vec<&'static Fault>), String> {
        let own = Session::default();
        let session = if weld.demonstration { &own } else { self };
        let sets: Vec<String> = session.sets.iter().chain(&weld.sets).cloned().collect();
        let mut resolved = session.text.read(&sets).map_err(|d| d.render(false))?;
        let found = weld.faults.iter().map(|name| faults::find(name));
        let found: Vec<&Fault> = found
            .collect::<Result<_, _>>()
            .map_err(|e| format!("error: {e}"))?;
        resolved.case = apply(&resolved.case, &found).map_err(|e| format!("error: {e}"))?;
        Ok((resolved, found))
    }

    /// The case of a weld, its faults named in its title.
    ///
    /// # Errors
    /// As [`Session::case`].
    pub(super) fn titled(&self, weld: &Weld) -> Result<(Resolved, Vec<&'static Fault>), String> {
        let (mut resolved, found) = self.case(weld)?;
        resolved.case.title = faults::titled(&resolved.case.title, &found);
        Ok((resolved, found))
    }

    /// Set once nobody waits for the answer any more.
    pub(super) fn cancelled(&self) -> &AtomicBool {
        &self.cancelled
    }

    /// Sees that hundreds of shots of a case are a matter of seconds.
    ///
    /// # Errors
    /// In words, when they are not, or an integration fails.
    pub(super) fn is_quick(&self, case: &Case) -> Result<(), String> {
        is_usual(shot(&Rig::new(case))?.effort.work())
    }

    /// What the spread of the model's own constants makes of a weld's verdict; none of a discharge test.
    ///
    /// # Errors
    /// When its case does not fit, or an integration fails.
    pub(super) fn spread(&self, weld: &Weld) -> Result<Option<Spread>, String> {
        let case = self.case(weld)?.0.case;
        let shot = shot(&Rig::new(&case))?;
        let mut allowance = Allowance::beside(&shot.effort).until(&self.cancelled);
        let band = band_within(&case, shot.verdict, &mut allowance).map_err(words)?;
        Ok(band.map(|band| Spread::of(shot.verdict, band)))
    }

    /// Fires a weld with its curves and its arc blow.
    ///
    /// # Errors
    /// When its case does not fit, or the integration fails.
    pub(super) fn fire(&self, weld: &Weld) -> Result<Done, String> {
        self.fire_to(weld, true, ROWS)
    }

    /// Fires a weld for a phone: with fewer rows, and without looking for what would help.
    ///
    /// # Errors
    /// As [`Session::fire`].
    pub(super) fn glance(&self, weld: &Weld) -> Result<Done, String> {
        self.fire_to(weld, false, ROWS_OF_A_PHONE)
    }

    fn fire_to(&self, weld: &Weld, remedies: bool, count: f64) -> Result<Done, String> {
        let (resolved, faults) = self.case(weld)?;
        let depth = Depth {
            band: false,
            remedies,
        };
        self.fired(resolved.case, faults, depth, count)
    }

    /// Fires a weld with all there is to it, its faults named in its title; where its settings come from.
    ///
    /// # Errors
    /// As [`Session::fire`].
    pub(super) fn full(&self, weld: &Weld, count: f64) -> Result<(Done, Origins), String> {
        let (resolved, faults) = self.titled(weld)?;
        let done = self.fired(resolved.case, faults, Depth::FULL, count)?;
        Ok((done, resolved.origins))
    }

    fn fired(
        &self,
        case: Case,
        faults: Vec<&'static Fault>,
        depth: Depth,
        count: f64,
    ) -> Result<Done, String> {
        let fired = shot(&Rig::new(&case))?;
        let allowance = Allowance::beside(&fired.effort).until(&self.cancelled);
        let weld = assess_within(case, faults, fired, depth, allowance).map_err(words)?;
        let rows = curve(&weld.rig, &weld.shot, weld.shot.length() / count)?;
        Ok(Done { weld, rows })
    }

    /// Fires a weld as the base of another: its figures and its arc blow, no curves.
    ///
    /// # Errors
    /// As [`Session::fire`].
    pub(super) fn shot(&self, weld: &Weld) -> Result<Assessment, String> {
        let (resolved, faults) = self.case(weld)?;
        let depth = Depth {
            band: false,
            remedies: false,
        };
        assess(resolved.case, faults, depth).map_err(words)
    }
}

/// Refuses a shot of far more work than usual.
fn is_usual(work: u64) -> Result<(), String> {
    let times = work / USUAL_WORK;
    match times > MOST_TIMES {
        true => Err(format!(
            "error: a shot of this case takes {times} times the work of a usual one, more than the page allows \
             ({MOST_TIMES}); the program itself has no such limit"
        )),
        false => Ok(()),
    }
}

/// The curves of a rig's weld; `every` gives the time between rows for the length of the record \[s\].
///
/// # Errors
/// In words, when the integration fails.
pub fn curves(rig: &Rig, every: impl Fn(f64) -> f64) -> Result<Trace, String> {
    let shot = shot(rig)?;
    let rows = curve(rig, &shot, every(shot.length()))?;
    Ok(Trace { shot, rows })
}

fn shot(rig: &Rig) -> Result<Shot, String> {
    fire(rig, &Settings::default(), &mut Workspace::default()).map_err(words)
}

fn curve(rig: &Rig, shot: &Shot, every: f64) -> Result<Vec<Row>, String> {
    rows(
        rig,
        &Settings::default(),
        shot,
        every,
        &mut Workspace::default(),
    )
    .map_err(words)
}

fn words(e: IntegrationError) -> String {
    format!("error: {e}")
}

impl Done {
    /// The weld with what differs from `base`.
    pub fn beside(&self, base: &Assessment) -> Assessment {
        Assessment {
            changes: differences(&base.case, &self.weld.case),
            ..self.weld.clone()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn studies_of_many_shots_are_for_welds_that_are_quick() {
        let session = Session::default();
        let quick = |sets: &[&str]| {
            let weld = Weld {
                sets: sets.iter().map(|set| (*set).to_string()).collect(),
                ..Weld::default()
            };
            session.is_quick(&session.case(&weld).unwrap().0.case)
        };
        for sets in [
            &[][..],
            &["stud.size=M8", "bank.voltage=160 V"],
            &["tool.method=gap", "tool.lift=1 mm"],
            &[
                "stud.size=M3",
                "sheet.metal=aluminium Mg alloy",
                "stud.metal=aluminium Mg alloy",
            ],
            &["bank.voltage=40 V"],
            &["joints.tool=loose"],
        ] {
            quick(sets).unwrap();
        }
        let said = is_usual(20 * USUAL_WORK).unwrap_err();
        assert!(said.contains("20 times the work of a usual one"), "{said}");
    }
}
