//! `case new`, `case check`, `case show`.

use std::path::{Path, PathBuf};

use super::case_input::CaseInput;
use super::input::case;
use super::outcome::{Outcome, Trouble};
use super::output::{Output, is_standard, print};
use arcplunge_core::case::{schema::schema, show::show, template::template};

#[derive(Debug, clap::Args)]
pub struct Arguments {
    #[command(subcommand)]
    pub action: CaseAction,
}

#[derive(Debug, clap::Subcommand)]
pub enum CaseAction {
    /// Write a case file with every key explained
    New {
        /// File to write, "-" for standard output
        file: PathBuf,
        /// Replace an existing file
        #[arg(long)]
        force: bool,
    },
    /// Check a case file and report all errors
    Check(CaseInput),
    /// Show every key, its value and its origin
    Show(CaseInput),
    /// Print the JSON Schema of the case file, for completion and checking in editors
    Schema,
}

pub fn run(a: &Arguments) -> Result<Outcome, Trouble> {
    match &a.action {
        CaseAction::New { file, force } => new(file, *force)?,
        CaseAction::Check(input) => {
            case(input)?;
            let name = input
                .case
                .as_ref()
                .map_or("the demonstration case".into(), |p| {
                    if is_standard(p) {
                        "standard input".into()
                    } else {
                        p.display().to_string()
                    }
                });
            print(format!("{name}: no errors\n").as_bytes())?;
        }
        CaseAction::Schema => print(format!("{:#}\n", schema()).as_bytes())?,
        CaseAction::Show(input) => print(show(&case(input)?).as_bytes())?,
    }
    Ok(Outcome::Done)
}

fn new(file: &Path, force: bool) -> Result<(), Trouble> {
    if !is_standard(file) && file.exists() && !force {
        return Err(Trouble::Failed(format!(
            "error: {} already exists; --force replaces it",
            file.display()
        )));
    }
    Output::open(file)?.put(template().as_bytes())?;
    if is_standard(file) {
        return Ok(());
    }
    print(
        format!(
            "{}: written; fire it with: arcplunge fire {0}\n",
            file.display()
        )
        .as_bytes(),
    )
}
