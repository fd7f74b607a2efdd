//! The case a page was opened with, and welds made of it.

use super::request::Weld;
use arcplunge_core::case::faults::{self, Fault, apply};
use arcplunge_core::case::read::{Resolved, Text};
use arcplunge_core::case::settings::differences;
use arcplunge_core::simulation::fire::{Settings, Workspace, fire};
use arcplunge_core::simulation::integrator::IntegrationError;
use arcplunge_core::simulation::rig::Rig;
use arcplunge_core::simulation::trace::{Trace, rows};
use arcplunge_core::study::band::band;
use arcplunge_core::study::contrast::Fired;
use arcplunge_core::study::earths::{Blow, blow_of};
use arcplunge_core::study::remedy::{Remedies, remedies};
use arcplunge_report::borderline;

/// Rows of a weld's curves; a screen shows no more.
const ROWS: f64 = 600.0;

/// The case and overrides the page was opened with.
#[derive(Debug, Clone, Default)]
pub struct Session {
    text: Text,
    sets: Vec<String>,
}

/// A weld that has been fired.
#[derive(Debug)]
pub struct Done {
    /// Its case, faults included.
    pub resolved: Resolved,
    /// The faults put on it.
    pub faults: Vec<&'static Fault>,
    /// The case in lumped numbers.
    pub rig: Rig,
    /// The shot and its curves.
    pub trace: Trace,
    /// How the field pushed the arc.
    pub blow: Blow,
    /// What would help, where it is not sound.
    pub remedies: Remedies,
}

impl Session {
    /// A page's session from the text of a case and the overrides of the command line.
    pub fn new(text: Text, sets: Vec<String>) -> Session {
        Session { text, sets }
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

    /// What the spread of the model's own constants makes of a weld's verdict, in words; none where nine of
    /// ten shots of the band agree with it.
    ///
    /// # Errors
    /// When its case does not fit, or an integration gives up.
    pub(super) fn borderline(&self, weld: &Weld) -> Result<Option<String>, String> {
        let case = self.case(weld)?.0.case;
        let shot = fire(
            &Rig::new(&case),
            &Settings::default(),
            &mut Workspace::default(),
        );
        let band = band(&case, shot.map_err(words)?.verdict).map_err(words)?;
        Ok(borderline::short(band.as_ref()))
    }

    /// Fires a weld with its curves and its arc blow.
    ///
    /// # Errors
    /// When its case does not fit, or the integration gives up.
    pub(super) fn fire(&self, weld: &Weld) -> Result<Done, String> {
        let (resolved, faults) = self.case(weld)?;
        let rig = Rig::new(&resolved.case);
        let (settings, mut work) = (Settings::default(), Workspace::default());
        let trace = traced(&rig, |length| length / ROWS, &mut work)?;
        let shot = trace.shot.clone();
        let remedies = remedies(&resolved.case, &shot);
        let blow = blow_of(&resolved.case, &rig, shot, &settings, &mut work).map_err(words)?;
        Ok(Done {
            resolved,
            faults,
            rig,
            trace,
            blow,
            remedies,
        })
    }

    /// Fires a weld as the base of another: its figures and its arc blow, no curves.
    ///
    /// # Errors
    /// As [`Session::fire`].
    pub(super) fn shot(&self, weld: &Weld) -> Result<Fired, String> {
        let (resolved, faults) = self.case(weld)?;
        let rig = Rig::new(&resolved.case);
        let (settings, mut work) = (Settings::default(), Workspace::default());
        let shot = fire(&rig, &settings, &mut work).map_err(words)?;
        let whole = shot.clone();
        Ok(Fired {
            name: String::new(),
            faults,
            changes: Vec::new(),
            band: None,
            blow: blow_of(&resolved.case, &rig, whole, &settings, &mut work).map_err(words)?,
            remedies: Remedies::default(),
            case: resolved.case,
            rig,
            shot,
        })
    }
}

/// The curves of a rig's weld; `every` gives the time between rows for the length of the record \[s\].
///
/// # Errors
/// In words, when the integration gives up.
pub fn curves(rig: &Rig, every: impl Fn(f64) -> f64) -> Result<Trace, String> {
    traced(rig, every, &mut Workspace::default())
}

fn traced(rig: &Rig, every: impl Fn(f64) -> f64, work: &mut Workspace) -> Result<Trace, String> {
    let settings = Settings::default();
    let shot = fire(rig, &settings, work).map_err(words)?;
    let rows = rows(rig, &settings, &shot, every(shot.length()), work).map_err(words)?;
    Ok(Trace { shot, rows })
}

fn words(e: IntegrationError) -> String {
    format!("error: {e}")
}

impl Done {
    /// The weld as a contrast takes it, with what differs from `base`.
    pub fn fired(&self, base: Option<&Fired>) -> Fired {
        let case = self.resolved.case.clone();
        Fired {
            name: String::new(),
            faults: self.faults.clone(),
            rig: self.rig.clone(),
            shot: self.trace.shot.clone(),
            changes: base.map_or(Vec::new(), |b| differences(&b.case, &case)),
            band: None,
            blow: self.blow.clone(),
            remedies: self.remedies.clone(),
            case,
        }
    }
}
