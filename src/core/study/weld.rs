//! Studies of a weld in one call each, keys and values as the case file writes them.

use super::band::{self, Band};
use super::batch;
use super::compare::{self, Comparison, Variation};
use super::dial::{Dial, Window};
use super::earths::{Blow, blow};
use super::points::{Points, Sampling};
use super::range::Vary;
use super::scatter::Scatter;
use super::scatter::draw::Draw;
use super::sweep::{Row, Sweep};
use crate::case::Case;
use crate::case::tolerance::Tolerances;
use crate::error::Error;
use crate::simulation::fire::{Settings, Workspace};
use crate::simulation::rig::Rig;
use crate::simulation::shot::Shot;
use crate::simulation::weld::fire;

/// Fires any number of cases on all cores, in their order, as they come; memory stays constant.
///
/// ```
/// use arcplunge_core::{Case, study::weld::fire_all};
///
/// let cases = [100.0, 112.0, 124.0].map(|volts| {
///     let mut case = Case::default();
///     case.bank.voltage = volts;
///     case
/// });
/// let fills: Vec<f64> = fire_all(cases)
///     .map(|shot| Ok(shot?.figures.fill_ratio.unwrap()))
///     .collect::<Result<_, arcplunge_core::Error>>()?;
/// assert!(fills[0] < fills[1]);
/// # Ok::<(), arcplunge_core::Error>(())
/// ```
///
/// Each result is an error where its case breaks a rule or its integration fails.
pub fn fire_all<I>(cases: I) -> impl Iterator<Item = Result<Shot, Error>>
where
    I: IntoIterator<Item = Case>,
    I::IntoIter: Send,
{
    let settings = Settings::default();
    batch::in_order(cases, move |work: &mut Workspace, case: Case| {
        let rig = Rig::try_new(&case)?;
        Ok(crate::simulation::fire::fire(&rig, &settings, work)?)
    })
}

/// What the spread of the model's own constants makes of a weld; `None` for a discharge test.
///
/// ```
/// use arcplunge_core::{Case, study::weld::band};
///
/// let band = band(&Case::default())?.unwrap();
/// let [low, high] = band.fill_ratio.unwrap();
/// assert!(low < high);
/// # Ok::<(), arcplunge_core::Error>(())
/// ```
///
/// # Errors
/// When the case breaks a rule, or an integration fails.
pub fn band(case: &Case) -> Result<Option<Band>, Error> {
    let shot = fire(&Rig::try_new(case)?, &Settings::default())?;
    Ok(band::band(case, shot.verdict)?)
}

/// Fires a case over the values of one key, or of several: `"bank.voltage=90..130V/5"`.
///
/// ```
/// use arcplunge_core::{Case, study::weld::sweep};
///
/// let rows = sweep(&Case::default(), &["bank.voltage=90..130V/5"])?;
/// assert_eq!(rows.len(), 5);
/// assert_eq!(rows[1].values, [100.0]);
/// # Ok::<(), arcplunge_core::Error>(())
/// ```
///
/// # Errors
/// When the case breaks a rule, or a range is none; an invalid value is reported in its row.
pub fn sweep(case: &Case, ranges: &[&str]) -> Result<Vec<Row>, Error> {
    case.check()?;
    let vary = ranges.iter().map(|text| vary(case, text));
    let sweep = Sweep {
        base: case.clone(),
        vary: vary.collect::<Result<_, _>>()?,
        settings: Settings::default(),
    };
    Ok(sweep.rows(0).collect())
}

/// The values of a key between which the weld is sound, nearest to the present one:
/// `"bank.voltage=60..180V"`.
///
/// ```
/// use arcplunge_core::{Case, study::weld::window};
///
/// let window = window(&Case::default(), "bank.voltage=60..180V")?;
/// assert!(window.low < window.middle() && window.middle() < window.high);
/// # Ok::<(), arcplunge_core::Error>(())
/// ```
///
/// # Errors
/// When the case breaks a rule, the range is none, or the weld is sound nowhere in it.
pub fn window(case: &Case, range: &str) -> Result<Window, Error> {
    case.check()?;
    let dial = Dial::new(case.clone(), vec![vary(case, range)?]);
    dial.window(0, None).map_err(|nowhere| {
        Error::study(format!("sound nowhere in {range}: {}", nowhere.why.words()))
    })
}

fn vary(case: &Case, text: &str) -> Result<Vary, Error> {
    Vary::read(case, text, USUAL).map_err(|e| Error::study(format!("{text}: {e}")))
}

/// Values of a range that does not say how many.
const USUAL: usize = 41;

/// A weld fired many times with its values drawn from the usual tolerances.
///
/// ```
/// use arcplunge_core::{Case, study::weld::scatter};
///
/// let study = scatter(&Case::default(), 64, 1)?;
/// let sound = study.rows(0).filter(|row| row.outcome.verdict().is_some_and(|v| v.name() == "sound"));
/// assert!(sound.count() > 32);
/// # Ok::<(), arcplunge_core::Error>(())
/// ```
///
/// # Errors
/// When the case breaks a rule.
pub fn scatter(case: &Case, shots: usize, seed: u64) -> Result<Scatter, Error> {
    case.check()?;
    let all = Tolerances::default().of(case).into_iter();
    let draws = all.map(|t| Draw::new(case, t).map_err(Error::study));
    Ok(Scatter {
        base: case.clone(),
        draws: draws.collect::<Result<_, _>>()?,
        points: Points {
            sampling: Sampling::Sobol,
            seed,
        },
        shots,
        settings: Settings::default(),
    })
}

/// Fires a base and other cases, each with its band, its arc blow and what would help it.
///
/// ```
/// use arcplunge_core::{Case, study::weld::compare};
///
/// let mut long = Case::default();
/// long.set("lead.length", "12 m")?;
/// let compared = compare(&Case::default(), [("long lead", long)])?;
/// let lost = &compared.variations[0].shot.figures;
/// assert!(lost.arc_energy_J < compared.base.shot.figures.arc_energy_J);
/// # Ok::<(), arcplunge_core::Error>(())
/// ```
///
/// # Errors
/// When a case breaks a rule, or an integration fails.
pub fn compare<'a>(
    base: &Case,
    others: impl IntoIterator<Item = (&'a str, Case)>,
) -> Result<Comparison, Error> {
    base.check()?;
    let variation = |(name, case): (&str, Case)| {
        case.check()?;
        Ok(Variation {
            name: name.to_string(),
            faults: Vec::new(),
            case,
        })
    };
    let others: Result<_, Error> = others.into_iter().map(variation).collect();
    Ok(compare::compare(base.clone(), others?)?)
}

/// What the earth leads do to the melt: currents, arc blow, fill round the rim.
///
/// ```
/// use arcplunge_core::{Case, study::weld::earths};
///
/// let mut case = Case::default();
/// case.earths.truncate(1);
/// let blow = earths(&case)?;
/// assert!(blow.distance().unwrap() > 0.0);
/// # Ok::<(), arcplunge_core::Error>(())
/// ```
///
/// # Errors
/// When the case breaks a rule, or an integration fails.
pub fn earths(case: &Case) -> Result<Blow, Error> {
    case.check()?;
    Ok(blow(case, &Settings::default(), &mut Workspace::default())?)
}
