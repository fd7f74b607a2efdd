//! `validate`: the built-in checks, run on this machine, or published whole welds, fired on it.

use clap::Args;

use super::outcome::{Outcome, Trouble, failed};
use super::output::print;
use arcplunge_report::{measured, validate};
use arcplunge_validation::checks;
use arcplunge_validation::measured::{rows, unchecked};

#[derive(Debug, Args)]
pub struct Arguments {
    /// Published whole welds instead: what each states, what had to be
    /// assumed, what this program gives, hit or miss
    #[arg(long)]
    pub measured: bool,

    /// Rows as JSON instead of a table
    #[arg(long)]
    pub json: bool,
}

pub fn run(a: &Arguments) -> Result<Outcome, Trouble> {
    if a.measured {
        let rows = rows();
        let text = if a.json {
            measured::json(&rows).map_err(failed)?
        } else {
            measured::document(&rows).text(false)
        };
        print(text.as_bytes())?;
        // A miss is a result: it says what the model cannot do.
        return Ok(Outcome::Done);
    }
    let (checks, others) = (checks(), unchecked());
    let text = if a.json {
        validate::json(&checks, &others).map_err(failed)?
    } else {
        validate::document(&checks, &others).text(false)
    };
    print(text.as_bytes())?;
    Ok(if checks.iter().all(|c| c.passed()) {
        Outcome::Done
    } else {
        Outcome::Failed
    })
}
