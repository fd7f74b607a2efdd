//! `calibrate`: a rig's unknowns from test welds, and the next weld worth making.

use std::cell::RefCell;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError};

use clap::Args;

use super::case_input::CaseInput;
use super::dial::range;
use super::files::Files;
use super::input::{read as read_case, rows_of, text};
use super::outcome::{Outcome, Trouble, failed, suggestion, wrong};
use super::output::{Output, is_standard};
use super::progress::Watch;
use super::samples::Keeper;
use super::scope::{ScopeInput, measured};
use arcplunge_core::case::Case;
use arcplunge_core::case::show::to_toml;
use arcplunge_core::study::calibrate::Problem;
use arcplunge_core::study::calibrate::found::{Asked, Found, Stage, calibrate};
use arcplunge_core::study::calibrate::sampler::{Effort, ISLANDS, NoSample, PARTICLES};
use arcplunge_core::study::calibrate::weld::Welds;
use arcplunge_core::study::dial::asked::usual_step;
use arcplunge_core::study::range::Vary;
use arcplunge_report::calibrate::{calibrated, csv, document, json, svg};
use arcplunge_report::provenance::{Study, sha256_of};
use arcplunge_report::today::today;

#[derive(Debug, Args)]
#[command(
    after_help = "WELDS.csv has a row for each test weld: keys that were set, as in bank.voltage [V], and what was \
    seen, any of witness (full, part, none, or missing hours such as 6:30-11:30), spatter (little, some, much), broke \
    (stud, weld, sheet, held), bend (held, broke 20 deg), torque (12 Nm, held 12 Nm), back (clean, coloured, dented, \
    holed), arc_time, peak_current, melt and trace (an oscilloscope's CSV file beside WELDS.csv). Empty cells say \
    nothing."
)]
pub struct Arguments {
    #[command(flatten)]
    pub input: CaseInput,
    /// CSV file of the test welds
    #[arg(long, value_name = "FILE", required = true)]
    pub welds: PathBuf,
    /// Advise on the next N welds
    #[arg(long, value_name = "N", default_value_t = 0, value_parser = clap::value_parser!(u8).range(0..=5))]
    pub next: u8,
    /// Key that may be set, e.g. bank.voltage or bank.voltage=60..160V; two for welds that vary both
    #[arg(long, value_name = "KEY", default_value = "bank.voltage")]
    pub vary: Vec<String>,
    /// Step of the dial of the first key, e.g. 2V [default: a hundredth of its value, or a mark]
    #[arg(long, value_name = "STEP")]
    pub step: Option<String>,
    /// Number of samples, a multiple of 4
    #[arg(long, value_name = "N", default_value_t = PARTICLES, value_parser = particles)]
    pub particles: usize,
    /// Random seed
    #[arg(long, value_name = "NUMBER", default_value_t = 1)]
    pub seed: u64,
    /// Write the calibrated case as a case file ("-" for standard output)
    #[arg(long, value_name = "FILE")]
    pub case_out: Option<PathBuf>,
    /// Keep the samples in FILE while they move, and go on from there if it has some
    #[arg(long, value_name = "FILE")]
    pub keep: Option<PathBuf>,
    #[command(flatten)]
    pub files: Files,
    #[command(flatten, next_help_heading = "Oscilloscope files of the column trace")]
    pub scope: ScopeInput,
}

fn particles(text: &str) -> Result<usize, String> {
    match text.parse() {
        Ok(n) if (64..=100_000).contains(&n) && n % ISLANDS == 0 => Ok(n),
        _ => Err("a multiple of 4 from 64 to 100000".into()),
    }
}

/// Hundredths of the way that the progress is told in.
const STEPS: usize = 100;

pub fn run(a: &Arguments) -> Result<Outcome, Trouble> {
    let read = [("the test welds", a.welds.as_path())];
    a.files.check(&a.input, &read, &[&a.case_out, &a.keep])?;
    let (problem, hash, traces) = problem(a)?;
    if let (true, Some(option)) = (traces.is_empty(), a.scope.asked()) {
        let name = a.welds.display();
        return wrong(format!(
            "{option}: {name} names no oscilloscope's file in a column trace"
        ));
    }
    // Traces are known once the table is read.
    let each = traces.iter().map(|(path, _)| ("a trace", path.as_path()));
    let read: Vec<(&str, &Path)> = read.into_iter().chain(each).collect();
    a.files.check(&a.input, &read, &[&a.case_out, &a.keep])?;
    let mut asked = asked(a, &problem.base)?;
    let traces: Vec<String> = traces.into_iter().map(|(_, known)| known).collect();
    let study = study(a, &problem.base, &hash)?.with("traces", traces);
    let keeper = a.keep.as_deref().map(|path| Keeper::new(path, &study));
    let keeper = keeper.transpose()?;
    if let Some(keeper) = &keeper {
        asked.kept = keeper.read(&problem, asked.effort)?;
    }
    let mut out = a.files.open(false)?;
    let case_file = a.case_out.as_deref().map(Output::open).transpose()?;
    let (found, unkept) = watched(problem, asked, keeper.as_ref())?;
    let mut case = found.case();
    if let Ok(case) = &mut case {
        let welds = found.problem.welds.welds.len();
        case.title = calibrated(&case.title, welds, &today(), &hash);
    }
    out.csv(&study, |bytes| csv(bytes, &found))?;
    out.json(|| json(&found, case.as_ref().ok(), &hash))?;
    if let Some(file) = case_file {
        let case = case.as_ref().map_err(|why| {
            Trouble::Failed(format!(
                "error: the calibrated values are not a valid case: {why}"
            ))
        })?;
        file.put(to_toml(case).as_bytes())?;
    }
    out.plot(|| svg(&found))?;
    if !a.case_out.as_deref().is_some_and(is_standard) {
        let written = a.case_out.as_ref().and(case.as_ref().ok());
        out.show(&document(&found, written))?;
    }
    // The result is there all the same.
    unkept.map_or(Ok(Outcome::Done), Err)
}

/// Path of a trace, and its name in the table with its hash.
type Known = (PathBuf, String);

/// The welds beside their case, the hash of their file, and the traces.
fn problem(a: &Arguments) -> Result<(Problem, String, Vec<Known>), Trouble> {
    let name = a.welds.display();
    let text = text(&a.input)?;
    let resolved = read_case(&text, &a.input.sets)?;
    if resolved.case.stud.short_resistance.is_some() {
        return wrong("a discharge test (stud.short_resistance) has no weld to learn from".into());
    }
    let case = |words: &[String]| {
        let sets = [a.input.sets.as_slice(), words].concat();
        let read = text.read(&sets);
        read.map(|resolved| resolved.case)
            .map_err(|wrong| wrong.render(false))
    };
    let beside = a.welds.parent().unwrap_or(Path::new(""));
    let traces = RefCell::new(Vec::new());
    let trace = |name: &str| {
        let path = beside.join(name);
        let (trace, source) = measured(&a.scope, &path).map_err(Trouble::words)?;
        let known = format!("{name} {}", source.sha256);
        traces.borrow_mut().push((path, known));
        Ok(trace)
    };
    let welds =
        Welds::read(rows_of(&a.welds)?, resolved.case.clone(), case, trace).map_err(|e| {
            let help = suggestion(e.nearest.as_deref());
            Trouble::Wrong(format!("error: {name}: {e}{help}"))
        })?;
    let hash = sha256_of(rows_of(&a.welds)?).map_err(failed)?;
    let problem = Problem::new(resolved.case, &resolved.tolerances, welds).map_err(failed)?;
    Ok((problem, hash, traces.into_inner()))
}

fn asked(a: &Arguments, base: &Case) -> Result<Asked, Trouble> {
    let vary: Vec<Vary> = a
        .vary
        .iter()
        .map(|text| range(base, text))
        .collect::<Result<_, _>>()?;
    match vary.as_slice() {
        [one, two] if one.address.to_string() == two.address.to_string() => {
            return wrong(format!("--vary: {} is given twice", one.address));
        }
        [_] | [_, _] => {}
        _ => return wrong("--vary: one key or two".into()),
    }
    Ok(Asked {
        step: step(a, base, &vary[0])?,
        vary,
        next: usize::from(a.next),
        effort: Effort {
            particles: a.particles / ISLANDS,
            seed: a.seed,
        },
        kept: None,
    })
}

/// The step asked for, else the usual one.
fn step(a: &Arguments, base: &Case, vary: &Vary) -> Result<f64, Trouble> {
    let Some(text) = &a.step else {
        return Ok(usual_step(base, vary));
    };
    match vary.number.read(text) {
        Ok(step) if step > 0.0 => Ok(step),
        Ok(_) => wrong(format!("--step {text}: expected a step above zero")),
        Err(e) => Err(Trouble::Wrong(format!("error: --step {text}: {e}"))),
    }
}

/// Calibrates with a bar, keeps the samples where that is asked for, and ends in good order on Ctrl-C.
/// What hindered the keeping of the samples goes beside the result.
fn watched(
    problem: Problem,
    asked: Asked,
    keeper: Option<&Keeper>,
) -> Result<(Found, Option<Trouble>), Trouble> {
    let watch = Watch::new("learning from the welds", STEPS, 0);
    let shown = AtomicUsize::new(0);
    let unkept = Mutex::new(None);
    let step = |stage: Stage<'_>| {
        let there = stage.percent();
        let before = shown.fetch_max(there, Ordering::Relaxed);
        (before..there).for_each(|_| watch.step());
        if let (Stage::Sampling(way), Some(keeper)) = (stage, keeper)
            && let Err(trouble) = keeper.keep(way, watch.stopped() || way.is_there())
        {
            *unkept.lock().unwrap_or_else(PoisonError::into_inner) = Some(trouble);
        }
        !watch.stopped()
    };
    let found = calibrate(problem, asked, step);
    drop(watch);
    let unkept = unkept.into_inner().unwrap_or_default();
    let kept = keeper.is_some() && unkept.is_none();
    found.map(|found| (found, unkept)).map_err(|why| match why {
        NoSample::Stopped if kept => {
            Trouble::Stopped("stopped; the same command goes on from the samples kept".into())
        }
        NoSample::Stopped => Trouble::Stopped("stopped; nothing was written".into()),
        NoSample::Impossible => failed(why),
    })
}

/// All that decides the result, but for the traces.
fn study(a: &Arguments, base: &Case, hash: &str) -> Result<Study, Trouble> {
    Ok(Study::new("calibrate", base)
        .map_err(failed)?
        .with("welds", hash)
        .with("vary", a.vary.clone())
        .with("particles", a.particles)
        .with("seed", a.seed))
}
