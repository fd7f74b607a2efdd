//! `sweep`: one or two keys over a grid of values.

use std::path::PathBuf;

use clap::Args;
use csv::StringRecord;

use super::case_input::CaseInput;
use super::design;
use super::files::Files;
use super::input::case;
use super::outcome::{Outcome, Trouble, failed, suggestion, wrong};
use super::parquet;
use super::part::Part;
use super::stream::Job;
use arcplunge_core::case::Case;
use arcplunge_core::case::keys::nearest;
use arcplunge_core::simulation::fire::{Settings, Workspace};
use arcplunge_core::simulation::heat_solver::Until;
use arcplunge_core::simulation::named::FIGURES;
use arcplunge_core::study::range::{USUAL, Vary, VaryError};
use arcplunge_core::study::sweep::Sweep;
use arcplunge_report::sweep::{csv as table, curves, document, json, picture, study};

#[derive(Debug, Args)]
#[command(
    after_help = "One key gives curves, two give a map (first vertical, second horizontal).\n\
    --csv streams each row as it is fired. After Ctrl-C the finished rows stay in\n\
    FILE.part; the same command with --resume continues from there."
)]
pub struct Arguments {
    #[command(flatten)]
    pub input: CaseInput,
    /// A key and its values, e.g. bank.voltage=60..140V/41 (once or twice)
    #[arg(
        long,
        value_name = "KEY=FROM..TO/N",
        required_unless_present = "design"
    )]
    pub vary: Vec<String>,
    /// Fire the rows of a table (CSV) whose heads are keys, e.g. "bank.voltage [V]"
    #[arg(long, value_name = "FILE", conflicts_with_all = ["vary", "plot", "show"])]
    pub design: Option<PathBuf>,
    /// Also write the rows as Parquet (in builds with the feature `parquet`)
    #[arg(long, value_name = "FILE", requires = "csv")]
    pub parquet: Option<PathBuf>,
    /// Figures to show, e.g. arc_energy_J,peak_current_A (names as in the JSON)
    #[arg(long, value_name = "FIGURE", value_delimiter = ',')]
    pub show: Vec<String>,
    /// Resume a stopped sweep after the rows in FILE.part
    #[arg(long, requires = "csv")]
    pub resume: bool,
    /// Fire one part of the rows, e.g. 2/4; `join` puts the parts together
    #[arg(long, value_name = "K/N", conflicts_with_all = ["plot", "show", "parquet"])]
    pub part: Option<Part>,
    #[command(flatten)]
    pub files: Files,
}

/// Most values of a sweep that is drawn or printed: they are held in memory.
const MOST_SHOWN: usize = 250_000;

/// Figures shown when none are asked for.
const SHOWN: [&str; 4] = ["fill_ratio", "vapour_share", "arc_time_s", "arc_energy_J"];

pub fn run(a: &Arguments) -> Result<Outcome, Trouble> {
    if let Some(table) = &a.design {
        return design::run(a, table);
    }
    a.files.check_streamed(&a.input, &[], &a.parquet)?;
    let base = case(&a.input)?.case;
    let sweep = sweep(a, base)?;
    let show = figures(&a.show, &SHOWN)?;
    let total = sweep.count();
    let shows = shows(a, total)?;
    let mut out = a.files.open(true)?;
    let columns = parquet::open(a.parquet.as_ref(), a.files.csv.as_deref())?;
    let job = Job {
        csv: a.files.csv.as_deref(),
        resume: a.resume,
        part: a.part,
        head: table::head(&sweep),
        total,
        study: study(&sweep).map_err(failed)?,
        keys: &|k| table::cells(&sweep.values(k)),
    };
    let rows = fired(&job, shows, |work, k| sweep.row(k, work), table::record)?;
    if let (Some(out), Some(csv)) = (columns, &a.files.csv) {
        parquet::put(csv, out)?;
    }
    if !shows {
        return Ok(Outcome::Done);
    }
    out.json(|| json(&sweep, &rows))?;
    out.plot(|| picture(&sweep, &rows, &show, a.show.is_empty()))?;
    out.show(&document(&sweep, &rows, &show))?;
    Ok(Outcome::Done)
}

/// Whether the rows are shown, not only written; refuses more than can be.
pub(super) fn shows(a: &Arguments, total: usize) -> Result<bool, Trouble> {
    let shows = a.files.shows() || a.files.csv.is_none();
    if shows && total > MOST_SHOWN {
        return wrong(format!(
            "{total} values are too many to show, at most {MOST_SHOWN}; --csv alone has no limit"
        ));
    }
    if a.part.is_some() && a.files.csv.is_none() {
        return wrong("--part: give the file for its rows with --csv".into());
    }
    Ok(shows)
}

/// Runs the job; returns its rows where they are shown. Those of a file that is gone on with are fired again.
pub(super) fn fired<T: Send>(
    job: &Job,
    shows: bool,
    fire: impl Fn(&mut Workspace, usize) -> T + Sync,
    record: impl Fn(&T, &mut StringRecord),
) -> Result<Vec<T>, Trouble> {
    let (mut again, mut rows) = (Vec::new(), Vec::new());
    job.run(
        &fire,
        record,
        |k, _| again.extend(shows.then(|| fire(&mut Workspace::default(), k))),
        |row| rows.extend(shows.then_some(row)),
    )?;
    again.append(&mut rows);
    Ok(again)
}

fn sweep(a: &Arguments, base: Case) -> Result<Sweep, Trouble> {
    if a.vary.len() > 2 {
        return wrong("--vary: one key or two, not more".into());
    }
    let vary = a
        .vary
        .iter()
        .map(|text| Vary::read(&base, text, USUAL).map_err(|e| not_varied(text, &e)))
        .collect::<Result<Vec<_>, _>>()?;
    if let [a, b] = vary.as_slice()
        && a.address.to_string() == b.address.to_string()
    {
        return wrong(format!("--vary: {} is given twice", a.address));
    }
    if vary
        .iter()
        .try_fold(1usize, |n, v| n.checked_mul(v.count))
        .is_none()
    {
        return wrong("--vary: too many values".into());
    }
    Ok(Sweep {
        base,
        vary,
        settings: Settings {
            until: Until::BackFace,
            ..Settings::default()
        },
    })
}

fn not_varied(text: &str, e: &VaryError) -> Trouble {
    let help = suggestion(e.nearest());
    Trouble::Wrong(format!("error: --vary {text}: {e}{help}"))
}

/// The figures asked for, or the usual ones.
pub(super) fn figures(
    names: &[String],
    usual: &[&'static str],
) -> Result<Vec<&'static str>, Trouble> {
    if names.is_empty() {
        return Ok(usual.to_vec());
    }
    if names.len() > curves::MOST {
        return wrong(format!("--show: at most {} figures", curves::MOST));
    }
    let find = |name: &String| {
        let known = || FIGURES.iter().map(|(n, _)| *n);
        known().find(|n| n == name).ok_or_else(|| {
            let help = nearest(name, known())
                .map_or("the output of fire --json has the names".to_string(), |n| {
                    format!("did you mean {n}?")
                });
            Trouble::Wrong(format!(
                "error: --show {name}: no such figure\nhelp: {help}"
            ))
        })
    };
    names.iter().map(find).collect()
}
