//! `fire`: one weld cycle.

use std::io::IsTerminal;

use super::args::Fire;
use super::input::{case, wants_color};
use super::output::{Output, print};
use super::results::{any_standard, check_outputs, open_plots, picture, stopped, wrong};
use super::{Outcome, Trouble};
use crate::case::Case;
use crate::case::quantity::{Dimension, parse};
use crate::cycle::fire::{Settings, Workspace, fire};
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
    check_outputs(&a.input, &[&a.csv, &a.json], &a.plot)?;
    let every = every(&a.every)?;
    let input = case(&a.input)?.case;
    let csv = a.csv.as_deref().map(Output::open).transpose()?;
    let json_file = a.json.as_deref().map(Output::open).transpose()?;
    let plots = open_plots(&a.plot)?;

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
            out.put(&picture(draw(&input, &curves), kind)?)?;
        }
    }
    if !any_standard(&[&a.csv, &a.json]) {
        let color = wants_color(std::io::stdout().is_terminal());
        print(page::page(&input, &rig, &shot, band.as_ref(), color).as_bytes())?;
    }
    Ok(Outcome::Done)
}

/// Time the record of a shot covers [s].
fn length(shot: &Shot) -> f64 {
    shot.events.iter().map(|e| e.time_s).fold(1e-3, f64::max)
}

fn draw(case: &Case, curves: &Trace) -> String {
    let verdict = curves.shot.verdict.map_or("discharge test", |v| v.name());
    let line = format!("{verdict} · {}", title::deciding(case, &curves.shot));
    plot::svg(case, curves, &line, plot::Size::default())
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
