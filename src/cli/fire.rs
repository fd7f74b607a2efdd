//! `fire`: one weld cycle.

use std::io::IsTerminal;
use std::path::{Path, PathBuf};

use super::args::Fire;
use super::input::{case, wants_color};
use super::output::{Output, is_standard, print, same_file};
use super::{Outcome, Trouble};
use crate::case::quantity::{Dimension, parse};
use crate::cycle::fire::{Settings, Workspace, fire};
use crate::cycle::march::MarchError;
use crate::cycle::rig::Rig;
use crate::cycle::trace::trace;
use crate::report::{json, page, table};
use crate::study::band::band;

/// Most rows of a trace.
const MOST_ROWS: f64 = 1e6;

pub fn run(a: &Fire) -> Result<Outcome, Trouble> {
    check_outputs(a)?;
    let every = every(&a.every)?;
    let input = case(&a.input)?.case;
    if a.csv.is_some() && input.model.end_time / every > MOST_ROWS {
        return wrong(format!("--every {}: more than five million rows", a.every));
    }
    let csv = a.csv.as_deref().map(Output::open).transpose()?;
    let json_file = a.json.as_deref().map(Output::open).transpose()?;

    let rig = Rig::new(&input);
    let settings = Settings::default();
    let mut work = Workspace::default();
    let shot = fire(&rig, &settings, &mut work).map_err(stopped)?;
    let band = if a.no_band {
        None
    } else {
        band(&input, shot.verdict).map_err(stopped)?
    };

    if let Some(out) = csv {
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

/// No two results may go to one place, and none over the case file.
fn check_outputs(a: &Fire) -> Result<(), Trouble> {
    let outputs: Vec<&Path> = [&a.csv, &a.json]
        .into_iter()
        .flatten()
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

/// The solver gave up: not the user's fault, and never seen, but said plainly.
fn stopped(e: MarchError) -> Trouble {
    Trouble::Failed(format!("error: {e}"))
}
