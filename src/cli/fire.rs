//! `fire`: one weld cycle.

use std::io::IsTerminal;

use super::args::Fire;
use super::input::{faulted, wants_color};
use super::output::{Output, print};
use super::results::{any_standard, check_outputs, failed, open_plots, wrong};
use super::{Outcome, Trouble};
use arcplunge_core::case::quantity::{Dimension, parse};
use arcplunge_core::simulation::fire::{Settings, Workspace};
use arcplunge_core::simulation::integrator::IntegrationError;
use arcplunge_core::simulation::trace::{Trace, rows};
use arcplunge_core::study::assessment::{Depth, assess};
use arcplunge_report::fire::document;
use arcplunge_report::{json, plot, table};

/// Most rows of a trace.
const MOST_ROWS: f64 = 1e6;

pub fn run(a: &Fire) -> Result<Outcome, Trouble> {
    check_outputs(&a.input, &[&a.csv, &a.json, &a.report], &a.plot)?;
    let every = every(&a.every)?;
    let (resolved, faults) = faulted(&a.input, &a.faults)?;
    let csv = a.csv.as_deref().map(Output::open).transpose()?;
    let json_file = a.json.as_deref().map(Output::open).transpose()?;
    let report = a.report.as_deref().map(Output::open).transpose()?;
    let plots = open_plots(&a.plot)?;

    let depth = Depth {
        band: !a.no_band,
        remedies: true,
    };
    let weld = assess(resolved.case.clone(), faults, depth).map_err(stopped)?;
    let length = weld.shot.length();
    let traced = |every: f64| {
        let (settings, mut work) = (Settings::default(), Workspace::default());
        rows(&weld.rig, &settings, &weld.shot, every, &mut work).map_err(stopped)
    };

    if let Some(out) = csv {
        if length / every > MOST_ROWS {
            return wrong(format!("--every {}: more than a million rows", a.every));
        }
        let rows = traced(every)?;
        let mut bytes = Vec::new();
        table::csv(&mut bytes, &rows, weld.rig.earths).map_err(failed)?;
        out.put(&bytes)?;
    }
    if let Some(out) = json_file {
        let text = json::json(&weld).map_err(failed)?;
        out.put(text.as_bytes())?;
    }
    let mut low = None;
    if !plots.is_empty() || report.is_some() {
        let curves = Trace {
            rows: traced(length / plot::POINTS)?,
            shot: weld.shot.clone(),
        };
        for (kind, out) in plots {
            out.put(&kind.pack(plot::weld(&weld.case, &curves))?)?;
        }
        low = Some(plot::weld_low(&weld.case, &curves));
    }
    let document = document(&weld, &resolved.origins, low);
    if let Some(out) = report {
        out.put(document.html().as_bytes())?;
    }
    if !any_standard(&[&a.csv, &a.json, &a.report]) {
        let color = wants_color(std::io::stdout().is_terminal());
        print(document.text(color).as_bytes())?;
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
