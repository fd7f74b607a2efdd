//! `prove`: the built-in checks, run on this machine.

use super::args::Prove;
use super::output::print;
use super::results::failed;
use super::{Outcome, Trouble};
use arcplunge_report::prove::{document, json};
use arcplunge_validation::checks;

pub fn run(a: &Prove) -> Result<Outcome, Trouble> {
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
