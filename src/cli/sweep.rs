//! `sweep`: one or two keys over a grid of values.

use std::io::IsTerminal;

use super::args::Sweep as Arguments;
use super::input::{case, wants_color};
use super::output::print;
use super::results::{any_standard, check_outputs, open_plots, suggestion, wrong};
use super::stream::Job;
use super::{Outcome, Trouble, parquet};
use arcplunge_core::case::Case;
use arcplunge_core::case::keys::nearest;
use arcplunge_core::case::show::to_toml;
use arcplunge_core::simulation::fire::{Settings, Workspace};
use arcplunge_core::simulation::heat_solver::Until;
use arcplunge_core::simulation::named::FIGURES;
use arcplunge_core::study::range::{USUAL, Vary, VaryError};
use arcplunge_core::study::sweep::{Row, Sweep};
use arcplunge_report::plot::Size;
use arcplunge_report::sweep::{csv as table, curves, document, map};
use arcplunge_report::title;

/// Most values of a sweep that is drawn or printed: they are held in memory.
const MOST_SHOWN: usize = 250_000;

/// Figures shown when none are asked for.
const SHOWN: [&str; 4] = ["fill_ratio", "vapour_share", "arc_time_s", "arc_energy_J"];

pub fn run(a: &Arguments) -> Result<Outcome, Trouble> {
    check_outputs(&a.input, &[&a.csv, &a.parquet], &a.plot)?;
    let base = case(&a.input)?.case;
    let sweep = sweep(a, base)?;
    let show = figures(&a.show, &SHOWN)?;
    let total = sweep.count();
    let shows = !a.plot.is_empty() || a.csv.is_none();
    if shows && total > MOST_SHOWN {
        return wrong(format!(
            "{total} values are too many to show, at most {MOST_SHOWN}; --csv alone takes any number"
        ));
    }
    if a.part.is_some() && a.csv.is_none() {
        return wrong("--part: say with --csv where its rows go".into());
    }
    let plots = open_plots(&a.plot)?;
    let columns = parquet::open(a.parquet.as_ref(), a.csv.as_deref())?;
    let job = Job {
        csv: a.csv.as_deref(),
        resume: a.resume,
        part: a.part,
        head: table::head(&sweep),
        total,
        study: study(&sweep),
    };
    let mut rows: Vec<Row> = Vec::new();
    let mut again: Vec<Row> = Vec::new();
    job.run(
        |work, k| sweep.row(k, work),
        table::record,
        |k, _| {
            // What is shown needs the rows kept as well; they are fired again.
            if shows {
                again.push(sweep.row(k, &mut Workspace::default()));
            }
        },
        |row| {
            if shows {
                rows.push(row);
            }
        },
    )?;
    again.append(&mut rows);
    let rows = again;
    if let (Some(out), Some(csv)) = (columns, &a.csv) {
        parquet::put(csv, out)?;
    }
    let what = title::what(&sweep.base);
    for (kind, out) in plots {
        out.put(&kind.pack(draw(&sweep, &rows, &show, &what, a.show.is_empty()))?)?;
    }
    if !any_standard(&[&a.csv]) && shows {
        let color = wants_color(std::io::stdout().is_terminal());
        print(document(&sweep, &rows, &show).text(color).as_bytes())?;
    }
    Ok(Outcome::Done)
}

fn draw(sweep: &Sweep, rows: &[Row], show: &[&'static str], what: &str, usual: bool) -> String {
    match sweep.vary.as_slice() {
        [vary] => {
            let now = vary.address.number(&sweep.base);
            let height = 230 + 150 * show.len().min(curves::MOST) as u32;
            let size = Size {
                height,
                ..Size::default()
            };
            curves::figure(sweep, rows, show, what, now).draw(size).svg
        }
        _ => {
            // The lines that bound the verdicts are there anyway.
            let extra = if usual { None } else { show.first().copied() };
            map::svg(sweep, rows, extra, what, Size::default())
        }
    }
}

fn sweep(a: &Arguments, base: Case) -> Result<Sweep, Trouble> {
    if a.vary.len() > 2 {
        return wrong("--vary: one key or two; a third would fit neither curve nor map".into());
    }
    let vary = a
        .vary
        .iter()
        .map(|text| Vary::read(&base, text, USUAL).map_err(|e| not_varied(text, &e)))
        .collect::<Result<Vec<_>, _>>()?;
    if let [a, b] = vary.as_slice()
        && a.address.to_string() == b.address.to_string()
    {
        return wrong(format!("--vary: {} is there twice", a.address));
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
            let help = nearest(name, known()).map_or(
                "see the names in the output of fire --json".to_string(),
                |n| format!("did you mean {n}?"),
            );
            Trouble::Wrong(format!(
                "error: --show {name}: no such figure\nhelp: {help}"
            ))
        })
    };
    names.iter().map(find).collect()
}

/// All that decides the rows of a sweep.
fn study(sweep: &Sweep) -> String {
    let vary = sweep.vary.iter();
    let vary = vary.map(|v| format!("{}={:?}..{:?}/{}", v.address, v.from, v.to, v.count));
    let vary: Vec<String> = vary.collect();
    format!("sweep\n{}\n{}", to_toml(&sweep.base), vary.join("\n"))
}
