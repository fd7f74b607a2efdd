//! `validate`: the built-in checks, run on this machine.

use clap::Args;

use super::outcome::{Outcome, Trouble, failed};
use super::output::print;
use arcplunge_report::validate::{document, json};
use arcplunge_validation::checks;

#[derive(Debug, Args)]
pub struct Arguments {
    /// Rows as JSON instead of a table
    #[arg(long)]
    pub json: bool,
}

pub fn run(a: &Arguments) -> Result<Outcome, Trouble> {
    let checks = checks();
    let text = if a.json {
        json(&checks).map_err(failed)?
    } else {
        document(&checks).text(false)
    };
    print(text.as_bytes())?;
    Ok(if checks.iter().all(|c| c.passed()) {
        Outcome::Done
    } else {
        Outcome::Failed
    })
}
