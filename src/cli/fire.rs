//! `fire`: one weld cycle.

use std::io::IsTerminal;

use super::args::Fire;
use super::input::{faulted, wants_color};
use super::output::{Output, print};
use super::results::{any_standard, check_outputs, failed, open_plots, wrong};
use super::{Outcome, Trouble};
use arcplunge_core::case::quantity::{Dimension, parse};
use arcplunge_core::simulation::fire::{Settings, Workspace, fire};
use arcplunge_core::simulation::integrator::IntegrationError;
use arcplunge_core::simulation::rig::Rig;
use arcplunge_core::simulation::trace::{Trace, rows};
use arcplunge_core::study::band::band;
use arcplunge_core::study::earths::blow_of;
use arcplunge_core::study::remedy::remedies;
use arcplunge_report::beside::Beside;
use arcplunge_report::{html, json, page, plot, table};

/// Most rows of a trace.
const MOST_ROWS: f64 = 1e6;

pub fn run(a: &Fire) -> Result<Outcome, Trouble> {
    check_outputs(&a.input, &[&a.csv, &a.json, &a.report], &a.plot)?;
    let every = every(&a.every)?;
    let (resolved, faults) = faulted(&a.input, &a.faults)?;
    let input = resolved.case.clone();
    let csv = a.csv.as_deref().map(Output::open).transpose()?;
    let json_file = a.json.as_deref().map(Output::open).transpose()?;
    let report = a.report.as_deref().map(Output::open).transpose()?;
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
    let beside = Beside {
        band,
        remedies: remedies(&input, &shot),
        blow: Some(blow_of(&input, &rig, shot.clone(), &settings, &mut work).map_err(stopped)?),
        faults,
    };
    let length = shot.length();

    if let Some(out) = csv {
        if length / every > MOST_ROWS {
            return wrong(format!("--every {}: more than a million rows", a.every));
        }
        let rows = rows(&rig, &settings, &shot, every, &mut work).map_err(stopped)?;
        let mut bytes = Vec::new();
        table::csv(&mut bytes, &rows, rig.earths).map_err(failed)?;
        out.put(&bytes)?;
    }
    if let Some(out) = json_file {
        let text = json::json(&input, &rig, &shot, &beside).map_err(failed)?;
        out.put(text.as_bytes())?;
    }
    if !plots.is_empty() || report.is_some() {
        let every = length / plot::POINTS;
        let curves = Trace {
            rows: rows(&rig, &settings, &shot, every, &mut work).map_err(stopped)?,
            shot: shot.clone(),
        };
        for (kind, out) in plots {
            out.put(&kind.pack(plot::weld(&input, &curves))?)?;
        }
        if let Some(out) = report {
            let svg = plot::weld_low(&input, &curves);
            let text = html::shot(&resolved, &rig, &shot, &beside, &svg);
            out.put(text.as_bytes())?;
        }
    }
    if !any_standard(&[&a.csv, &a.json, &a.report]) {
        let color = wants_color(std::io::stdout().is_terminal());
        print(page::page(&input, &rig, &shot, &beside, color).as_bytes())?;
    }
    Ok(Outcome::Done)
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
pub(super) fn stopped(e: IntegrationError) -> Trouble {
    Trouble::Failed(format!("error: {e}"))
}
