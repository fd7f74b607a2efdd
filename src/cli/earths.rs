//! `earths`: what the earth clamps do to the weld.

use std::io::IsTerminal;

use super::args::Earths;
use super::fire::stopped;
use super::input::{faulted, wants_color};
use super::output::{Output, print};
use super::results::{any_standard, check_outputs, failed, open_plots};
use super::{Outcome, Trouble};
use arcplunge_core::simulation::fire::{Settings, Workspace};
use arcplunge_core::study::earths::{blow, trials};
use arcplunge_report::earths::{csv, document, json, svg};

pub fn run(a: &Earths) -> Result<Outcome, Trouble> {
    let results = [&a.csv, &a.json];
    check_outputs(&a.input, &results, &a.plot)?;
    let case = faulted(&a.input, &a.faults)?.0.case;
    let csv_file = a.csv.as_deref().map(Output::open).transpose()?;
    let json_file = a.json.as_deref().map(Output::open).transpose()?;
    let plots = open_plots(&a.plot)?;

    let mut work = Workspace::default();
    let blow = blow(&case, &Settings::default(), &mut work).map_err(stopped)?;
    let trials = trials(&case, &blow).map_err(stopped)?;

    if let Some(out) = csv_file {
        let mut bytes = Vec::new();
        csv(&mut bytes, &blow).map_err(failed)?;
        out.put(&bytes)?;
    }
    if let Some(out) = json_file {
        let text = json(&case, &blow, &trials).map_err(failed)?;
        out.put(text.as_bytes())?;
    }
    for (kind, out) in plots {
        out.put(&kind.pack(svg(&case, &blow))?)?;
    }
    if !any_standard(&results) {
        let color = wants_color(std::io::stdout().is_terminal());
        print(document(&case, &blow, &trials).text(color).as_bytes())?;
    }
    Ok(Outcome::Done)
}
