//! `fire`: one weld cycle.

use std::io::IsTerminal;
use std::path::{Path, PathBuf};

use super::args::Fire;
use super::input::{case, wants_color};
use super::output::{Output, is_standard, print, same_file};
use super::{Outcome, Trouble};
use crate::case::Case;
use crate::case::quantity::{Dimension, parse};
use crate::cycle::fire::{Settings, Workspace, fire};
use crate::cycle::march::MarchError;
use crate::cycle::rig::Rig;
use crate::cycle::shot::Shot;
use crate::cycle::trace::{Trace, trace};
use crate::report::{json, page, plot, table, title};
use crate::study::band::band;

/// Most rows of a trace.
const MOST_ROWS: f64 = 1e6;

/// Points of a plot along the shot; far more than it has pixels.
const PLOT_POINTS: f64 = 2500.0;

pub fn run(a: &Fire) -> Result<Outcome, Trouble> {
    check_outputs(a)?;
    let every = every(&a.every)?;
    let input = case(&a.input)?.case;
    let csv = a.csv.as_deref().map(Output::open).transpose()?;
    let json_file = a.json.as_deref().map(Output::open).transpose()?;
    let plots = a
        .plot
        .iter()
        .map(|p| Ok((kind(p), Output::open(p)?)))
        .collect::<Result<Vec<_>, Trouble>>()?;

    let rig = Rig::new(&input);
    let settings = Settings::default();
    let mut work = Workspace::default();
    let shot = fire(&rig, &settings, &mut work).map_err(stopped)?;
    let band = if a.no_band {
        None
    } else {
        band(&input, shot.verdict).map_err(stopped)?
    };
    let length = length(&shot);

    if let Some(out) = csv {
        if length / every > MOST_ROWS {
            return wrong(format!("--every {}: more than a million rows", a.every));
        }
        let rows = trace(&rig, &settings, every, &mut work)
            .map_err(stopped)?
            .rows;
        let mut bytes = Vec::new();
        table::csv(&mut bytes, &rows, rig.earths)
            .map_err(|e| Trouble::Failed(format!("error: {e}")))?;
        out.put(&bytes)?;
    }
    if let Some(out) = json_file {
        let text = json::json(&input, &rig, &shot, band.as_ref())
            .map_err(|e| Trouble::Failed(format!("error: {e}")))?;
        out.put(text.as_bytes())?;
    }
    if !plots.is_empty() {
        let curves = trace(&rig, &settings, length / PLOT_POINTS, &mut work).map_err(stopped)?;
        for (kind, out) in plots {
            out.put(&draw(&input, &curves, kind)?)?;
        }
    }
    if ![&a.csv, &a.json]
        .into_iter()
        .flatten()
        .any(|p| is_standard(p))
    {
        let color = wants_color(std::io::stdout().is_terminal());
        print(page::page(&input, &rig, &shot, band.as_ref(), color).as_bytes())?;
    }
    Ok(Outcome::Done)
}

/// Time the record of a shot covers [s].
fn length(shot: &Shot) -> f64 {
    shot.events.iter().map(|e| e.time_s).fold(1e-3, f64::max)
}

/// What a plot's name asks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Svg,
    Png,
}

fn kind(path: &Path) -> Option<Kind> {
    let ending = path.extension()?.to_str()?.to_ascii_lowercase();
    match ending.as_str() {
        "svg" => Some(Kind::Svg),
        "png" => Some(Kind::Png),
        _ => None,
    }
}

fn draw(case: &Case, curves: &Trace, kind: Option<Kind>) -> Result<Vec<u8>, Trouble> {
    let verdict = curves.shot.verdict.map_or("discharge test", |v| v.name());
    let line = format!("{verdict} · {}", title::deciding(case, &curves.shot));
    let svg = plot::svg(case, curves, &line, plot::Size::default());
    match kind {
        Some(Kind::Png) => png(&svg),
        _ => Ok(svg.into_bytes()),
    }
}

#[cfg(feature = "png")]
fn png(svg: &str) -> Result<Vec<u8>, Trouble> {
    plot::png(svg).map_err(|e| Trouble::Failed(format!("error: {e}")))
}

#[cfg(not(feature = "png"))]
fn png(_: &str) -> Result<Vec<u8>, Trouble> {
    Err(Trouble::Failed(
        "error: this build draws SVG only (feature \"png\" is off)".into(),
    ))
}

/// No two results may go to one place, none over the case file, and a plot's name says its kind.
fn check_outputs(a: &Fire) -> Result<(), Trouble> {
    if let Some(path) = a.plot.iter().find(|p| kind(p).is_none()) {
        return wrong(format!(
            "--plot {}: the name must end in .svg or .png, which says what to draw",
            path.display()
        ));
    }
    let outputs: Vec<&Path> = [&a.csv, &a.json]
        .into_iter()
        .flatten()
        .chain(&a.plot)
        .map(PathBuf::as_path)
        .collect();
    for (n, one) in outputs.iter().enumerate() {
        if a.input
            .case
            .as_ref()
            .is_some_and(|c| !is_standard(c) && same_file(c, one))
        {
            return wrong(format!(
                "{} is the case file; a result would replace it",
                one.display()
            ));
        }
        if outputs[..n].iter().any(|other| same_file(one, other)) {
            let place = if is_standard(one) {
                "standard output (\"-\")".into()
            } else {
                one.display().to_string()
            };
            return wrong(format!("two results cannot both go to {place}"));
        }
    }
    Ok(())
}

fn wrong<T>(text: String) -> Result<T, Trouble> {
    Err(Trouble::Wrong(format!("error: {text}")))
}

fn every(text: &str) -> Result<f64, Trouble> {
    let wrong = |why: String| Trouble::Wrong(format!("error: --every {text}: {why}"));
    let t = parse(text, Dimension::Time).map_err(|e| wrong(e.to_string()))?;
    if (1e-9..=1.0).contains(&t) {
        Ok(t)
    } else {
        Err(wrong("outside 1 ns to 1 s".into()))
    }
}

/// The solver gave up: not the user's fault, but said plainly.
fn stopped(e: MarchError) -> Trouble {
    Trouble::Failed(format!("error: {e}"))
}
