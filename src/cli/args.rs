//! The commands.

use clap::{Parser, Subcommand};

#[cfg(feature = "page")]
use super::page;
use super::{
    calibrate, card, case, catalogue, chart, compare, dial, earths, fire, fit, handbook, join,
    scatter, sensitivity, shift, sweep, validate,
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
                  Exit codes: 0 success, 1 failure, 2 invalid input.\n\
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
    /// Vary one key or two: curves, or a map of the sound welds
    Sweep(sweep::Arguments),
    /// Sample the tolerances over many shots: share of sound welds, quantiles
    Scatter(scatter::Arguments),
    /// Apportion the scatter of a figure among the tolerances: Sobol indices
    Sensitivity(sensitivity::Arguments),
    /// Join the parts of a study
    Join(join::Arguments),
    /// Find the value of a key that gives a sound weld or a target figure
    Dial(dial::Arguments),
    /// Print the settings chart of the rig: voltage and spring force for each stud and metal
    Chart(chart::Arguments),
    /// Show the effect of the earth clamps: currents, arc blow, fill around the rim
    Earths(earths::Arguments),
    /// Print the set-up card of the rig: connect, set, prove the first welds, watch
    Card(card::Arguments),
    /// Run a shift of many welds: charge, warm leads, wear; the fastest sound pace
    Shift(shift::Arguments),
    /// Fit keys of the case to a measured current
    Fit(fit::Arguments),
    /// Learn the rig from test welds, and which weld to make next
    Calibrate(calibrate::Arguments),
    /// Compare faults or other changes with a base: what changes, why, what helps
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
