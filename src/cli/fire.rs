//! `fire`: one weld cycle.

use clap::Args;

use super::case_input::{CaseInput, FaultInput};
use super::files::Files;
use super::input::{faulted, heed};
use super::outcome::{Outcome, Trouble, failed, wrong};
use arcplunge_core::case::quantity::{Dimension, parse};
use arcplunge_core::case::slip::Doubt;
use arcplunge_core::simulation::fire::{Settings, Workspace};
use arcplunge_core::simulation::integrator::IntegrationError;
use arcplunge_core::simulation::trace::{Trace, each_row, rows, usual_interval};
use arcplunge_core::study::assessment::{Depth, assess};
use arcplunge_report::fire::document;
use arcplunge_report::provenance::Study;
use arcplunge_report::table::{Sides, Table};
use arcplunge_report::{json, plot};

#[derive(Debug, Args)]
pub struct Arguments {
    #[command(flatten)]
    pub input: CaseInput,
    /// Time between the rows of the CSV [default: 2us, more where the record would take 50,000 rows]
    #[arg(long, value_name = "TIME")]
    pub interval: Option<String>,
    /// Write two rows at each event to the CSV, before and after it, instead of the one after it
    #[arg(long, requires = "csv")]
    pub both_sides: bool,
    /// Omit the band from the spread of the model's own constants
    #[arg(long)]
    pub no_band: bool,
    #[command(flatten)]
    pub faults: FaultInput,
    #[command(flatten)]
    pub files: Files,
}

/// Most rows of a trace.
const MOST_ROWS: f64 = 1e6;

pub fn run(a: &Arguments) -> Result<Outcome, Trouble> {
    a.files.check(&a.input, &[], &[])?;
    let asked = a.interval.as_deref().map(interval).transpose()?;
    let (resolved, faults) = faulted(&a.input, &a.faults)?;
    heed(&resolved, Doubt::is_idle);
    let mut out = a.files.open(false)?;
    let depth = Depth {
        band: !a.no_band,
        remedies: true,
    };
    let weld = assess(resolved.case.clone(), faults, depth).map_err(stopped)?;
    let length = weld.shot.length();
    let interval = asked.unwrap_or_else(|| usual_interval(length));
    if a.files.csv.is_some() && length / interval > MOST_ROWS {
        let given = a.interval.as_deref().unwrap_or_default();
        return wrong(format!("--interval {given}: more than a million rows"));
    }
    let (rig, shot) = (&weld.rig, &weld.shot);
    let (settings, mut work) = (Settings::default(), Workspace::default());
    let sides = if a.both_sides {
        Sides::Both
    } else {
        Sides::After
    };
    let study = Study::new("fire", &weld.case)
        .map_err(failed)?
        .with("interval_s", interval)
        .with("both_sides", a.both_sides);
    out.csv(&study, |bytes| {
        let told = |e: csv::Error| e.to_string();
        let mut table = Table::new(bytes, &shot.events, rig.circuit.earths, sides).map_err(told)?;
        let mut written = Ok(());
        each_row(rig, &settings, shot, interval, &mut work, &mut |row| {
            if written.is_ok() {
                written = table.row(&row);
            }
        })
        .map_err(|e| e.to_string())?;
        written.and_then(|()| table.end()).map_err(told)
    })?;
    out.json(|| json::json(&weld))?;
    let mut low = None;
    if out.draws() {
        let every = length / plot::POINTS;
        let curves = Trace {
            rows: rows(rig, &settings, shot, every, &mut work).map_err(stopped)?,
            shot: shot.clone(),
        };
        out.plot(|| plot::weld(&weld, &curves))?;
        low = Some(plot::weld_low(&weld.case, &curves));
    }
    out.show(&document(&weld, &resolved.origins, low))?;
    Ok(Outcome::Done)
}

fn interval(text: &str) -> Result<f64, Trouble> {
    let wrong = |why: String| Trouble::Wrong(format!("error: --interval {text}: {why}"));
    let t = parse(text, Dimension::Time).map_err(|e| wrong(e.to_string()))?;
    if (1e-9..=1.0).contains(&t) {
        Ok(t)
    } else {
        Err(wrong("outside 1 ns to 1 s".into()))
    }
}

/// The solver failed: not the user's fault, but said plainly.
pub(super) fn stopped(e: IntegrationError) -> Trouble {
    Trouble::Failed(format!("error: {e}"))
}
