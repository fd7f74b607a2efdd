//! Studies of a weld in one call each, keys and values as the case file writes them.

use super::band::{self, Band};
use super::batch;
use super::chart::{self, Chart};
use super::compare::{self, Comparison, Variation};
use super::dial::{Dial, Window};
use super::earths::{Blow, blow};
use super::fit::trace::trace;
use super::fit::{self, Fit, Free, Setup, oscilloscope_csv};
use super::points::{Points, Sampling};
use super::range::{USUAL, Vary};
use super::scatter::Scatter;
use super::scatter::draw::draws;
use super::sensitivity::{Collected, Found};
use super::shift::plan::{MOST_WELDS, Plan, read_pace};
use super::shift::{self, Extent, Shift};
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
    Ok(band::band(case, &shot)?)
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
    Ok(Scatter {
        base: case.clone(),
        draws: draws(case, &Tolerances::default(), false).map_err(Error::study)?,
        dependence: None,
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

/// The settings chart of a rig: voltage and spring force for each usual stud and pair of metals.
///
/// ```no_run
/// use arcplunge_core::{Case, study::weld::chart};
///
/// let chart = chart(&Case::default())?; // some seconds of all cores
/// assert!(chart.lines.len() > 10);
/// # Ok::<(), arcplunge_core::Error>(())
/// ```
///
/// # Errors
/// When the case breaks a rule, or voltage or spring force are not above zero.
pub fn chart(case: &Case) -> Result<Chart, Error> {
    case.check()?;
    let range = |path: &str| {
        let found = chart::usual_range(case, path);
        found.ok_or_else(|| Error::study(format!("{path} is not above zero")))
    };
    let ranges = [range(chart::KEYS[0])?, range(chart::KEYS[1])?];
    let jobs = chart::jobs(
        &chart::sizes(case),
        &chart::pairs(case),
        &[case.tool.method],
    );
    let plan = chart::Plan {
        base: case,
        faults: &[],
        ranges,
        jobs,
        one_spring: false,
        tolerances: &Tolerances::default(),
    };
    let made = chart::chart(plan, || true);
    made.ok_or_else(|| Error::study("the chart was ended"))
}

/// Sobol indices of figures, or of "sound", over the usual tolerances: which of them the scatter comes from.
///
/// ```
/// use arcplunge_core::{Case, study::weld::sensitivity};
///
/// let found = sensitivity(&Case::default(), &["fill_ratio"], 64)?;
/// assert!(found[0].deviation.unwrap() > 0.0);
/// # Ok::<(), arcplunge_core::Error>(())
/// ```
///
/// # Errors
/// When the case breaks a rule.
pub fn sensitivity(
    case: &Case,
    figures: &[&'static str],
    samples: usize,
) -> Result<Vec<Found>, Error> {
    let study = scatter(case, samples, 1)?;
    let mut collected = Collected::new(figures, study.draws.len(), samples);
    study
        .samples(figures)
        .for_each(|sample| collected.take(&sample));
    Ok(collected.found())
}

/// Runs a shift: so many welds at a pace such as `"12/min"`, with the rig warming and wearing from one to the next.
///
/// ```
/// use arcplunge_core::{Case, study::weld::shift};
///
/// let shift = shift(&Case::default(), 200, "12/min")?;
/// assert!(shift.first_bad.is_none());
/// assert!(shift.fastest.pace.unwrap() > 12.0 / 60.0);
/// # Ok::<(), arcplunge_core::Error>(())
/// ```
///
/// # Errors
/// When the case breaks a rule, the pace is none, or an integration fails.
pub fn shift(case: &Case, welds: usize, pace: &str) -> Result<Shift, Error> {
    case.check()?;
    let pace = read_pace(pace).map_err(Error::study)?;
    let plan = Plan::new(welds.clamp(1, MOST_WELDS), pace, Vec::new()).map_err(Error::study)?;
    let extent = Extent {
        scatter: None,
        band: true,
    };
    Ok(shift::shift(case, &plan, extent)?)
}

/// Fits keys of a case to a measured current: `csv` is an oscilloscope's text with time \[s\] and current
/// \[A\] in its first two columns.
///
/// ```
/// use arcplunge_core::{Case, Rig, Settings, simulation::weld::curves, study::weld::fit};
///
/// let mut real = Case::default();
/// real.set("joints.tool", "0.6 mohm")?;
/// let trace = curves(&Rig::try_new(&real)?, &Settings::default(), 5e-6)?;
/// let mut csv = String::from("time_s,current_A\n");
/// for row in &trace.rows {
///     csv += &format!("{},{}\n", row.time_s, row.current_A);
/// }
/// let found = fit(&Case::default(), &csv, &["joints.tool"])?;
/// assert!((found.values[0].value - 0.6e-3).abs() < 2e-5);
/// # Ok::<(), arcplunge_core::Error>(())
/// ```
///
/// # Errors
/// When the case breaks a rule, a key is none, or the text is no trace of its current.
pub fn fit(case: &Case, csv: &str, keys: &[&str]) -> Result<Fit, Error> {
    case.check()?;
    let keys: Vec<String> = keys.iter().map(ToString::to_string).collect();
    let free = Free::all(case, &keys).map_err(Error::study)?;
    let table = oscilloscope_csv::read(csv).map_err(Error::study)?;
    let trace = trace(&table, 0, 1, 1.0).map_err(Error::study)?;
    let setup = Setup::new(case.clone(), free, trace, true).map_err(Error::study)?;
    let setup = setup.knowing(&Tolerances::default());
    fit::fit(&setup).map_err(Error::study)
}
