//! The commands, and what they share of their arguments.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand};

#[cfg(feature = "page")]
use super::page;
use super::{
    case, catalogue, chart, compare, dial, earths, fire, fit, handbook, join, scatter, sensitivity,
    sweep, validate,
};

/// Simulates one capacitor-discharge stud weld: current, plunge, arc, melt, and where every joule goes.
#[derive(Debug, Parser)]
#[command(
    name = "arcplunge",
    version,
    max_term_width = 80,
    subcommand_required = true,
    arg_required_else_help = true,
    after_help = "Quantities carry their unit: \"5 m\", \"35 mm2\", \"72 mF\", \"2 mohm\".\n\
                  Exit codes: 0 done, 1 could not be done, 2 the input is wrong.\n\
                  Results go to standard output, everything else to standard error."
)]
pub struct CommandLine {
    #[command(subcommand)]
    pub command: Command,
}

#[derive(Debug, Subcommand)]
pub enum Command {
    /// Fire one weld cycle and show it
    Fire(fire::Arguments),
    /// Fire over the values of one key, or of two: curves, or a map of the sound welds
    Sweep(sweep::Arguments),
    /// Fire many shots with their values scattered: share of sound welds, quantiles
    Scatter(scatter::Arguments),
    /// Say which tolerances the scatter of a figure comes from: Sobol indices
    Sensitivity(sensitivity::Arguments),
    /// Put the parts of a study together
    Join(join::Arguments),
    /// Find the value of a key that gives a sound weld, or a wanted figure
    Dial(dial::Arguments),
    /// Print the settings chart of the rig: voltage and spring force for each stud and metal
    Chart(chart::Arguments),
    /// Say what the earth clamps do: currents, arc blow, rim fill round the clock
    Earths(earths::Arguments),
    /// Fit keys of the case to a measured current: what must the rig be?
    Fit(fit::Arguments),
    /// Hold faults or other changes against a base: what moves, why, and what helps
    Compare(compare::Arguments),
    /// Open the live page: drag a slider, watch three milliseconds
    #[cfg(feature = "page")]
    Page(page::Arguments),
    /// Write, check or show a case file, or print its schema
    Case(case::Arguments),
    /// List the studs, metals, joints, leads, faults and spreads known by name
    Catalogue(catalogue::Arguments),
    /// Run the built-in checks against published values and closed forms
    Validate(validate::Arguments),
    /// Print completions for a shell
    Completions(handbook::Completions),
    /// Print the manual page (roff) of the program or of one command
    Manual(handbook::Manual),
}

/// A case and what is changed in it.
#[derive(Debug, Args)]
pub struct CaseInput {
    /// Case file (TOML), "-" for standard input; without one the demonstration case
    #[arg(value_name = "CASE")]
    pub case: Option<PathBuf>,
    /// Change one key, e.g. lead.length=12m or earth.0.clamp=loose (repeatable)
    #[arg(long = "set", value_name = "KEY=VALUE")]
    pub sets: Vec<String>,
}

#[derive(Debug, Args)]
pub struct FaultInput {
    /// Put a fault on the case; `catalogue faults` lists them (repeatable)
    #[arg(long, value_name = "NAME", value_delimiter = ',')]
    pub fault: Vec<String>,
}
