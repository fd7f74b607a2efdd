//! `earths`: what the earth clamps do to the weld.

use clap::Args;

use super::case_input::{CaseInput, FaultInput};
use super::files::Files;
use super::fire::stopped;
use super::input::faulted;
use super::outcome::{Outcome, Trouble, failed};
use arcplunge_core::simulation::fire::{Settings, Workspace};
use arcplunge_core::study::earths::{blow, trials};
use arcplunge_report::earths::{csv, document, json, svg};
use arcplunge_report::provenance::Study;

#[derive(Debug, Args)]
pub struct Arguments {
    #[command(flatten)]
    pub input: CaseInput,
    #[command(flatten)]
    pub faults: FaultInput,
    #[command(flatten)]
    pub files: Files,
}

pub fn run(a: &Arguments) -> Result<Outcome, Trouble> {
    a.files.check(&a.input, &[], &[])?;
    let case = faulted(&a.input, &a.faults)?.0.case;
    let mut out = a.files.open(false)?;
    let blow = blow(&case, &Settings::default(), &mut Workspace::default()).map_err(stopped)?;
    let trials = trials(&case, &blow).map_err(stopped)?;
    let study = Study::new("earths", &case).map_err(failed)?;
    out.csv(&study, |bytes| csv(bytes, &blow))?;
    out.json(|| json(&case, &blow, &trials))?;
    out.plot(|| svg(&case, &blow))?;
    out.show(&document(&case, &blow, &trials))?;
    Ok(Outcome::Done)
}
