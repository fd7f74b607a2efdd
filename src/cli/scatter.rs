//! `scatter`: one weld fired many times with its values scattered.

use std::io::IsTerminal;

use super::args::{Sampling as Asked, Scatter as Arguments};
use super::input::{case, wants_color};
use super::output::{Output, print};
use super::results::{any_standard, check_outputs, failed, open_plots, wrong};
use super::stream::Job;
use super::sweep::figures;
use super::{Outcome, Trouble, parquet};
use arcplunge_core::case::Case;
use arcplunge_core::case::read::Resolved;
use arcplunge_core::case::show::to_toml;
use arcplunge_core::simulation::fire::Settings;
use arcplunge_core::study::points::{MOST_SOBOL, Points, Sampling};
use arcplunge_core::study::scatter::Scatter;
use arcplunge_core::study::scatter::draw::Draw;
use arcplunge_core::study::scatter::summary::Summary;
use arcplunge_report::scatter::{SHOWN, SHOWN_BOLTED, csv as table, document, json, picture};

pub fn run(a: &Arguments) -> Result<Outcome, Trouble> {
    check_outputs(&a.input, &[&a.csv, &a.json, &a.parquet], &a.plot)?;
    if a.part.is_some() && a.csv.is_none() {
        return wrong("--part: say with --csv where its rows go".into());
    }
    let resolved = case(&a.input)?;
    let draws = draws(&resolved, a.model)?;
    let sampling = sampling(a.sampling, draws.len(), MOST_SOBOL)?;
    let usual = usual(&resolved.case);
    let show = figures(&a.show, usual)?;
    let scatter = Scatter {
        base: resolved.case,
        draws,
        points: Points {
            sampling,
            seed: a.seed,
        },
        shots: a.shots,
        settings: Settings::default(),
    };
    let plots = open_plots(&a.plot)?;
    let columns = parquet::open(a.parquet.as_ref(), a.csv.as_deref())?;
    let json_file = a.json.as_deref().map(Output::open).transpose()?;
    let summary = fire(a, &scatter)?;
    if let Some(part) = a.part {
        return done(a, part.rows(a.shots).len());
    }
    if let (Some(out), Some(csv)) = (columns, &a.csv) {
        parquet::put(csv, out)?;
    }
    if let Some(out) = json_file {
        let text = json::json(&scatter, &summary, &show);
        let text = text.map_err(failed)?;
        out.put(text.as_bytes())?;
    }
    for (kind, out) in plots {
        let drawing = picture::svg(&scatter, &summary, &show);
        out.put(&kind.pack(drawing)?)?;
    }
    if !any_standard(&[&a.csv, &a.json]) {
        let color = wants_color(std::io::stdout().is_terminal());
        print(document(&scatter, &summary, &show).text(color).as_bytes())?;
    }
    Ok(Outcome::Done)
}

/// The way of drawing that was asked for; Sobol points have at most `most` keys.
pub(super) fn sampling(asked: Asked, keys: usize, most: usize) -> Result<Sampling, Trouble> {
    match asked {
        Asked::Random => Ok(Sampling::Random),
        Asked::Sobol if keys <= most => Ok(Sampling::Sobol),
        Asked::Sobol => wrong(format!(
            "--sampling sobol: at most {most} keys, these are {keys}; random takes any number"
        )),
    }
}

/// The keys drawn: those of the case's tolerances, and with `model` those of its figures.
pub(super) fn draws(resolved: &Resolved, model: bool) -> Result<Vec<Draw>, Trouble> {
    let case = &resolved.case;
    let mut all = resolved.tolerances.of(case);
    if model {
        all.extend(resolved.tolerances.of_model(case));
    }
    if all.is_empty() {
        return wrong("nothing scatters: the section [tolerance] takes all spreads away".into());
    }
    let draw = |tolerance| {
        Draw::new(case, tolerance).map_err(|e| Trouble::Wrong(format!("error: tolerance: {e}")))
    };
    all.into_iter().map(draw).collect()
}

/// Figures shown of a case unless others are asked for.
pub(super) fn usual(case: &Case) -> &'static [&'static str] {
    match case.stud.bolted {
        Some(_) => &SHOWN_BOLTED,
        None => &SHOWN,
    }
}

fn fire(a: &Arguments, scatter: &Scatter) -> Result<Summary, Trouble> {
    let job = Job {
        csv: a.csv.as_deref(),
        resume: a.resume,
        part: a.part,
        head: table::head(scatter),
        total: scatter.shots,
        study: study(scatter),
    };
    // Every row goes into the summary as its text has it, so that a run that was stopped, or put
    // together from parts, ends with the same digits as one that was not.
    let keys = scatter.draws.len();
    let summary = std::cell::RefCell::new(Summary::default());
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

/// All that decides the rows.
fn study(scatter: &Scatter) -> String {
    let draws = scatter.draws.iter();
    let draws: Vec<String> = draws
        .map(|d| format!("{} {}", d.address(), d.tolerance.spread.words(&d.number)))
        .collect();
    let points = scatter.points;
    format!(
        "scatter\n{}\n{}\n{} {} {}",
        to_toml(&scatter.base),
        draws.join("\n"),
        points.sampling.name(),
        points.seed,
        scatter.shots
    )
}

fn done(a: &Arguments, rows: usize) -> Result<Outcome, Trouble> {
    if let (Some(part), Some(path), false) = (a.part, &a.csv, any_standard(&[&a.csv])) {
        let text = format!("part {part}: {rows} shots in {}\n", path.display());
        print(text.as_bytes())?;
    }
    Ok(Outcome::Done)
}
