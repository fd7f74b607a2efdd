//! `sweep`: one or two keys over a grid of values.

use std::path::{Path, PathBuf};

use clap::Args;
use csv::StringRecord;

use super::case_input::CaseInput;
use super::design;
use super::files::{Files, Opened};
use super::input::case;
use super::outcome::{Outcome, Trouble, failed, suggestion, wrong};
use super::parquet;
use super::part::Part;
use super::stream::Job;
use arcplunge_core::case::Case;
use arcplunge_core::case::keys::nearest;
use arcplunge_core::simulation::fire::{Settings, Workspace};
use arcplunge_core::simulation::named::FIGURES;
use arcplunge_core::study::range::{USUAL, Vary, VaryError};
use arcplunge_core::study::sweep::Sweep;
use arcplunge_report::provenance::Study;
use arcplunge_report::sweep::design as rows;
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
    #[command(flatten)]
    pub typed: parquet::Typed,
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
    match &a.design {
        Some(table) => of_table(a, table),
        None => of_grid(a),
    }
}

/// Keys over a grid.
fn of_grid(a: &Arguments) -> Result<Outcome, Trouble> {
    a.files.check_streamed(&a.input, &[], &a.typed)?;
    let sweep = sweep(a, case(&a.input)?.case)?;
    let show = figures(&a.show, &SHOWN)?;
    let plan = Plan {
        head: table::head(&sweep),
        total: sweep.count(),
        study: study(&sweep).map_err(failed)?,
        keys: &|k| table::cells(&sweep.values(k)),
    };
    let fire = |work: &mut Workspace, k| sweep.row(k, work);
    if let Some((mut out, rows)) = fired(a, plan, fire, table::record)? {
        out.json(|| json(&sweep, &rows))?;
        out.plot(|| picture(&sweep, &rows, &show, a.show.is_empty(), None))?;
        out.show(&document(&sweep, &rows, &show))?;
    }
    Ok(Outcome::Done)
}

/// The rows of a table.
fn of_table(a: &Arguments, table: &Path) -> Result<Outcome, Trouble> {
    let read = [("the design", table)];
    a.files.check_streamed(&a.input, &read, &a.typed)?;
    let points = design::read(&a.input, table)?;
    let plan = Plan {
        head: rows::head(&points),
        total: points.count(),
        study: rows::study(&points).map_err(failed)?,
        keys: &|k| rows::keys(&points, k),
    };
    let fire = |work: &mut Workspace, k| points.row(k, work);
    let record = |row: &_, out: &mut StringRecord| rows::record(&points, row, out);
    if let Some((mut out, fired)) = fired(a, plan, fire, record)? {
        out.json(|| rows::json(&points, &fired))?;
        out.show(&rows::document(&points, &fired))?;
    }
    Ok(Outcome::Done)
}

/// The rows of a sweep, however they are laid out.
struct Plan<'a> {
    head: Vec<String>,
    total: usize,
    study: Study,
    /// Cells of the keys in a row.
    keys: &'a dyn Fn(usize) -> Vec<String>,
}

/// Fires the rows and writes those of the CSV; returns them, with the other files to write, where they are shown.
fn fired<T: Send>(
    a: &Arguments,
    plan: Plan,
    fire: impl Fn(&mut Workspace, usize) -> T + Sync,
    record: impl Fn(&T, &mut StringRecord),
) -> Result<Option<(Opened, Vec<T>)>, Trouble> {
    let (csv, total) = (a.files.csv.as_deref(), plan.total);
    let shows = a.files.shows() || csv.is_none();
    if shows && total > MOST_SHOWN {
        return wrong(format!(
            "{total} values are too many to show, at most {MOST_SHOWN}; --csv alone has no limit"
        ));
    }
    if a.part.is_some() && csv.is_none() {
        return wrong("--part: give the file for its rows with --csv".into());
    }
    let out = a.files.open(true)?;
    let columns = parquet::open(&a.typed, csv)?;
    let job = Job {
        csv,
        resume: a.resume,
        part: a.part,
        head: plan.head,
        total,
        study: plan.study,
        keys: plan.keys,
    };
    let (mut kept, mut rows) = (Vec::new(), Vec::new());
    job.run(
        &fire,
        record,
        // What is shown needs the rows kept as well; they are fired again.
        |k, _| kept.extend(shows.then(|| fire(&mut Workspace::default(), k))),
        |row| rows.extend(shows.then_some(row)),
    )?;
    if let (Some(out), Some(csv)) = (columns, csv) {
        parquet::put(csv, out)?;
    }
    kept.append(&mut rows);
    Ok(shows.then_some((out, kept)))
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
        settings: Settings::default(),
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
