//! Arguments that most commands share: the case, and faults on it.

use std::path::PathBuf;

use clap::Args;

/// A case and its overrides.
#[derive(Debug, Args)]
pub struct CaseInput {
    /// Case file (TOML), "-" for standard input; default: the demonstration case
    #[arg(value_name = "CASE")]
    pub case: Option<PathBuf>,
    /// Change one key, e.g. lead.length=12m or earth.0.clamp=loose (repeatable)
    #[arg(long = "set", value_name = "KEY=VALUE")]
    pub sets: Vec<String>,
}

#[derive(Debug, Args)]
pub struct FaultInput {
    /// Apply a fault to the case; `catalogue faults` lists them (repeatable)
    #[arg(long, value_name = "NAME", value_delimiter = ',')]
    pub fault: Vec<String>,
}
