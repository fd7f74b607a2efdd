//! `scatter`: one weld fired many times with its values scattered.

use clap::{Args, ValueEnum};

use super::case_input::CaseInput;
use super::files::{Files, Opened};
use super::input::case;
use super::outcome::{Outcome, Trouble, failed, wrong};
use super::output::{is_standard, print};
use super::parquet;
use super::part::Part;
use super::progress::Watch;
use super::stream::Job;
use super::sweep::figures;
use arcplunge_core::case::Case;
use arcplunge_core::case::read::Resolved;
use arcplunge_core::simulation::fire::Settings;
use arcplunge_core::study::points::{MOST_SOBOL, Points, Sampling};
use arcplunge_core::study::rare::{self as study, RUNS};
use arcplunge_core::study::scatter::Scatter;
use arcplunge_core::study::scatter::dependence::Dependence;
use arcplunge_core::study::scatter::draw::{self, Draw};
use arcplunge_core::study::scatter::summary::Summary;
use arcplunge_report::scatter::rare as report;
use arcplunge_report::scatter::{SHOWN, SHOWN_BOLTED, csv as table, document, json, picture};
use arcplunge_report::sweep::csv::cells;

#[derive(Debug, Args)]
#[command(
    after_help = "The section [tolerance] of the case file gives the spreads; keys it does not name scatter as \
    in `arcplunge catalogue tolerances`. Each shot depends only on seed and index.\n\n\
    --csv streams each row as it is fired. If stopped, the finished rows stay in FILE.part; the same command \
    with --resume continues from there, or adds shots to a finished FILE."
)]
pub struct Arguments {
    #[command(flatten)]
    pub input: CaseInput,
    /// Number of shots
    #[arg(long, value_name = "N", default_value_t = 10_000, value_parser = shots)]
    pub shots: usize,
    /// Random seed
    #[arg(long, value_name = "NUMBER", default_value_t = 1)]
    pub seed: u64,
    /// Sampling method: low-discrepancy points, or independent ones
    #[arg(long, value_enum, default_value_t = Asked::Sobol)]
    pub sampling: Asked,
    /// Sample the model's own uncertain figures as well
    #[arg(long)]
    pub model: bool,
    /// Find the share that is not sound where it is too small to count, down to 1e-12 (--shots a level)
    #[arg(long, conflicts_with_all = ["csv", "resume", "part", "parquet", "plot", "show", "sampling"])]
    pub rare: bool,
    #[command(flatten)]
    pub typed: parquet::Typed,
    /// Figures to show, e.g. arc_energy_J,peak_current_A (names as in the JSON)
    #[arg(long, value_name = "FIGURE", value_delimiter = ',')]
    pub show: Vec<String>,
    /// Resume after the rows already written
    #[arg(long, requires = "csv")]
    pub resume: bool,
    /// Fire one part of the shots, e.g. 2/4; `join` puts the parts together
    #[arg(long, value_name = "K/N", conflicts_with_all = ["plot", "show", "json", "parquet"])]
    pub part: Option<Part>,
    #[command(flatten)]
    pub files: Files,
}

/// Most shots of one study.
pub const MOST_SHOTS: usize = 1_000_000_000;

/// Most shots of a level with --rare, all in memory.
const MOST_RARE: usize = 1_000_000;

fn shots(text: &str) -> Result<usize, String> {
    match text.parse() {
        Ok(n) if (1..=MOST_SHOTS).contains(&n) => Ok(n),
        _ => Err("a number from 1 to 1000000000".into()),
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Asked {
    Sobol,
    Random,
}

pub fn run(a: &Arguments) -> Result<Outcome, Trouble> {
    a.files.check_streamed(&a.input, &[], &a.typed)?;
    if a.part.is_some() && a.files.csv.is_none() {
        return wrong("--part: give the file for its rows with --csv".into());
    }
    let resolved = case(&a.input)?;
    let draws = draws(&resolved, a.model)?;
    let sampling = sampling(a.sampling, draws.len(), MOST_SOBOL)?;
    let usual = usual(&resolved.case);
    let show = figures(&a.show, usual)?;
    let dependence = Dependence::of(&draws, &resolved.tolerances)
        .map_err(|e| Trouble::Wrong(format!("error: tolerance: {e}")))?;
    let scatter = Scatter {
        dependence,
        base: resolved.case,
        draws,
        points: Points {
            sampling,
            seed: a.seed,
        },
        shots: a.shots,
        settings: Settings::default(),
    };
    let mut out = a.files.open(true)?;
    if a.rare {
        return rare(&scatter, out);
    }
    let columns = parquet::open(&a.typed, a.files.csv.as_deref())?;
    let summary = fire(a, &scatter)?;
    if let Some(part) = a.part {
        return done(a, part.rows(a.shots).len());
    }
    if let (Some(out), Some(csv)) = (columns, &a.files.csv) {
        parquet::put(csv, out)?;
    }
    out.json(|| json::json(&scatter, &summary, &show))?;
    out.plot(|| picture::svg(&scatter, &summary, &show))?;
    out.show(&document(&scatter, &summary, &show))?;
    Ok(Outcome::Done)
}

/// The way of drawing that was asked for; Sobol points have at most `most` keys.
pub(super) fn sampling(asked: Asked, keys: usize, most: usize) -> Result<Sampling, Trouble> {
    match asked {
        Asked::Random => Ok(Sampling::Random),
        Asked::Sobol if keys <= most => Ok(Sampling::Sobol),
        Asked::Sobol => wrong(format!(
            "--sampling sobol: at most {most} keys, not {keys}; random has no limit"
        )),
    }
}

/// The keys drawn: those of the case's tolerances, and with `model` those of its figures.
pub(super) fn draws(resolved: &Resolved, model: bool) -> Result<Vec<Draw>, Trouble> {
    let all = draw::draws(&resolved.case, &resolved.tolerances, model);
    let all = all.map_err(|e| Trouble::Wrong(format!("error: tolerance: {e}")))?;
    if all.is_empty() {
        return wrong("nothing scatters: the section [tolerance] removes all spreads".into());
    }
    Ok(all)
}

/// Figures shown of a case unless others are asked for.
pub(super) fn usual(case: &Case) -> &'static [&'static str] {
    match case.stud.short_resistance {
        Some(_) => &SHOWN_BOLTED,
        None => &SHOWN,
    }
}

fn fire(a: &Arguments, scatter: &Scatter) -> Result<Summary, Trouble> {
    let job = Job {
        csv: a.files.csv.as_deref(),
        resume: a.resume,
        part: a.part,
        head: table::head(scatter),
        total: scatter.shots,
        study: json::study("scatter", scatter).map_err(failed)?,
        keys: &|shot| cells(&scatter.values(shot)),
    };
    // Every row goes into the summary as its text has it, so that a run that was stopped, or put
    // together from parts, ends with the same digits as one that was not.
    let keys = scatter.draws.len();
    let summary = std::cell::RefCell::new(Summary::of(scatter));
    let take = |record: &::csv::StringRecord| {
        if let Some(taken) = table::taken(record, keys) {
            summary.borrow_mut().take(taken);
        }
    };
    job.run(
        |work, shot| {
            let mut record = ::csv::StringRecord::new();
            table::record(&scatter.row(shot, work), &mut record);
            record
        },
        |record, out| out.clone_from(record),
        |_, record| take(record),
        |record| take(&record),
    )?;
    Ok(summary.into_inner())
}

/// The share that is not sound, by subset simulation.
fn rare(scatter: &Scatter, mut out: Opened) -> Result<Outcome, Trouble> {
    if scatter.base.stud.short_resistance.is_some() {
        return wrong("--rare: a discharge test makes no weld that could be sound".into());
    }
    if scatter.shots > MOST_RARE {
        return wrong(format!("--shots: with --rare at most {MOST_RARE} a level"));
    }
    let watch = Watch::new("searching", RUNS, 0);
    let found = study::rare(scatter, || {
        watch.step();
        !watch.stopped()
    });
    drop(watch);
    let Some(found) = found else {
        return Err(Trouble::Stopped("stopped; nothing was written".into()));
    };
    out.json(|| report::json(scatter, &found))?;
    out.show(&report::document(scatter, &found))?;
    Ok(Outcome::Done)
}

fn done(a: &Arguments, rows: usize) -> Result<Outcome, Trouble> {
    if let (Some(part), Some(path)) = (a.part, &a.files.csv)
        && !is_standard(path)
    {
        let text = format!("part {part}: {rows} shots in {}\n", path.display());
        print(text.as_bytes())?;
    }
    Ok(Outcome::Done)
}
