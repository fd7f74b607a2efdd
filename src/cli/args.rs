//! Arguments and help texts.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};

use super::part::Part;

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
pub struct Arguments {
    #[command(subcommand)]
    pub command: Command,
}

#[derive(Debug, Subcommand)]
pub enum Command {
    /// Fire one weld cycle and show it
    Fire(Fire),
    /// Fire over the values of one key, or of two: curves, or a map of the sound welds
    Sweep(Sweep),
    /// Fire many shots with their values scattered: share of sound welds, quantiles
    Scatter(Scatter),
    /// Say which tolerances the scatter of a figure comes from: Sobol indices
    Sensitivity(Sensitivity),
    /// Put the parts of a study together
    Join(Join),
    /// Find the value of a key that gives a sound weld, or a wanted figure
    Dial(Dial),
    /// Print the settings chart of the rig: voltage and spring force for each stud and metal
    Chart(Chart),
    /// Say what the earth clamps do: currents, arc blow, rim fill round the clock
    Earths(Earths),
    /// Fit keys of the case to a measured current: what must the rig be?
    Fit(Fit),
    /// Hold faults or other changes against a base: what moves, why, and what helps
    Contrast(Contrast),
    /// Open the live page: drag a slider, watch three milliseconds
    #[cfg(feature = "page")]
    Page(Page),
    /// Write, check or show a case file, or print its schema
    Case(Case),
    /// List the studs, metals, joints, leads, faults and spreads known by name
    Catalogue(Catalogue),
    /// Run the built-in checks against published values and closed forms
    Prove(Prove),
    /// Print completions for a shell
    Completions(Completions),
    /// Print the manual page (roff) of the program or of one command
    Manual(Manual),
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

#[derive(Debug, Args)]
pub struct Fire {
    #[command(flatten)]
    pub input: CaseInput,
    /// Write the curves as CSV ("-" for standard output)
    #[arg(long, value_name = "FILE")]
    pub csv: Option<PathBuf>,
    /// Write figures, events and ledger as JSON ("-" for standard output)
    #[arg(long, value_name = "FILE")]
    pub json: Option<PathBuf>,
    /// Draw the curves: FILE.svg or FILE.png (repeatable)
    #[arg(long, value_name = "FILE")]
    pub plot: Vec<PathBuf>,
    /// Time between the rows of the CSV
    #[arg(long, value_name = "TIME", default_value = "2us")]
    pub every: String,
    /// Leave out the band that the spread of the model's own constants gives
    #[arg(long)]
    pub no_band: bool,
    #[command(flatten)]
    pub faults: FaultInput,
    /// Write a report to read and print: one HTML file that needs no other
    #[arg(long, value_name = "FILE")]
    pub report: Option<PathBuf>,
}

#[derive(Debug, Args)]
pub struct Contrast {
    #[command(flatten)]
    pub input: CaseInput,
    /// A fault as a variation, a+b for several at once; `catalogue faults` lists them
    /// (repeatable)
    #[arg(long, value_name = "NAME", value_delimiter = ',')]
    pub fault: Vec<String>,
    /// Changed keys as a variation, e.g. lead.length=12m,lead.section=70mm2 (repeatable)
    #[arg(long, value_name = "KEY=VALUE,...")]
    pub with: Vec<String>,
    /// Write a row of figures for the base and each variation as CSV ("-" for standard output)
    #[arg(long, value_name = "FILE")]
    pub csv: Option<PathBuf>,
    /// Write everything as JSON ("-" for standard output)
    #[arg(long, value_name = "FILE")]
    pub json: Option<PathBuf>,
    /// Draw curves and ledgers over the base: FILE.svg or FILE.png (repeatable)
    #[arg(long, value_name = "FILE")]
    pub plot: Vec<PathBuf>,
    /// Write a report to read and print: one HTML file that needs no other
    #[arg(long, value_name = "FILE")]
    pub report: Option<PathBuf>,
}

#[derive(Debug, Args)]
#[command(
    after_help = "One key gives curves, two give a map (the first upward, the second across).\n\
    --csv streams each row as it is fired. When stopped by Ctrl-C the finished rows stay in\n\
    FILE.part; the same command with --resume goes on from there."
)]
pub struct Sweep {
    #[command(flatten)]
    pub input: CaseInput,
    /// A key and its values, e.g. bank.voltage=60..140V/41 (once or twice)
    #[arg(long, value_name = "KEY=FROM..TO/N", required = true)]
    pub vary: Vec<String>,
    /// Write all figures of each value as CSV ("-" for standard output)
    #[arg(long, value_name = "FILE")]
    pub csv: Option<PathBuf>,
    /// Write the rows of the CSV as Parquet as well (where the build has it)
    #[arg(long, value_name = "FILE", requires = "csv")]
    pub parquet: Option<PathBuf>,
    /// Draw curves or the map: FILE.svg or FILE.png (repeatable)
    #[arg(long, value_name = "FILE")]
    pub plot: Vec<PathBuf>,
    /// Figures to show, e.g. arc_energy_J,peak_current_A (names as in the JSON)
    #[arg(long, value_name = "FIGURE", value_delimiter = ',')]
    pub show: Vec<String>,
    /// Go on with the rows of FILE.part that a stopped sweep left
    #[arg(long, requires = "csv")]
    pub resume: bool,
    /// Fire one part of the rows, e.g. 2/4; `join` puts the parts together
    #[arg(long, value_name = "K/N", conflicts_with_all = ["plot", "show", "parquet"])]
    pub part: Option<Part>,
}

#[derive(Debug, Args)]
#[command(
    after_help = "What scatters, and how far, is in the section [tolerance] of the case file; what it \
    does not name scatters as in `arcplunge catalogue tolerances`. Each shot hangs on seed and number \
    alone.\n\n\
    --csv streams each row as it is fired. When stopped the finished rows stay in FILE.part; the same \
    command with --resume goes on from there, or from a finished FILE to more shots."
)]
pub struct Scatter {
    #[command(flatten)]
    pub input: CaseInput,
    /// Number of shots
    #[arg(long, value_name = "N", default_value_t = 10_000, value_parser = shots)]
    pub shots: usize,
    /// Number that the draws begin with
    #[arg(long, value_name = "NUMBER", default_value_t = 1)]
    pub seed: u64,
    /// How the draws lie: evenly spread, or independent of each other
    #[arg(long, value_enum, default_value_t = Sampling::Sobol)]
    pub sampling: Sampling,
    /// Scatter the model's own figures as well, as far as they are uncertain
    #[arg(long)]
    pub model: bool,
    /// Write the drawn keys and all figures of each shot as CSV ("-" for standard output)
    #[arg(long, value_name = "FILE")]
    pub csv: Option<PathBuf>,
    /// Write the rows of the CSV as Parquet as well (where the build has it)
    #[arg(long, value_name = "FILE", requires = "csv")]
    pub parquet: Option<PathBuf>,
    /// Write shares, quantiles and correlations as JSON ("-" for standard output)
    #[arg(long, value_name = "FILE")]
    pub json: Option<PathBuf>,
    /// Draw histograms and the shots over two keys: FILE.svg or FILE.png (repeatable)
    #[arg(long, value_name = "FILE")]
    pub plot: Vec<PathBuf>,
    /// Figures to show, e.g. arc_energy_J,peak_current_A (names as in the JSON)
    #[arg(long, value_name = "FIGURE", value_delimiter = ',')]
    pub show: Vec<String>,
    /// Go on with the rows that are there
    #[arg(long, requires = "csv")]
    pub resume: bool,
    /// Fire one part of the shots, e.g. 2/4; `join` puts the parts together
    #[arg(long, value_name = "K/N", conflicts_with_all = ["plot", "show", "json", "parquet"])]
    pub part: Option<Part>,
}

/// Most shots of one study.
pub const MOST_SHOTS: usize = 1_000_000_000;

fn shots(text: &str) -> Result<usize, String> {
    match text.parse() {
        Ok(n) if (1..=MOST_SHOTS).contains(&n) => Ok(n),
        _ => Err("a number from 1 to a thousand million".into()),
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Sampling {
    Sobol,
    Random,
}

#[derive(Debug, Args)]
#[command(
    after_help = "Fires N times the number of keys and two shots. What scatters, and how far, is as in \
    `scatter`. First-order indices by Saltelli et al. (2010), total ones by Jansen (1999), intervals \
    from eight independent replicates."
)]
pub struct Sensitivity {
    #[command(flatten)]
    pub input: CaseInput,
    /// Number of samples; a power of two is best
    #[arg(long, value_name = "N", default_value_t = 1024, value_parser = samples)]
    pub samples: usize,
    /// Number that the draws begin with
    #[arg(long, value_name = "NUMBER", default_value_t = 1)]
    pub seed: u64,
    /// How the draws lie: evenly spread, or independent of each other
    #[arg(long, value_enum, default_value_t = Sampling::Sobol)]
    pub sampling: Sampling,
    /// Scatter the model's own figures as well, as far as they are uncertain
    #[arg(long)]
    pub model: bool,
    /// Write the indices as CSV ("-" for standard output)
    #[arg(long, value_name = "FILE")]
    pub csv: Option<PathBuf>,
    /// Write the indices as JSON ("-" for standard output)
    #[arg(long, value_name = "FILE")]
    pub json: Option<PathBuf>,
    /// Draw them as a tornado: FILE.svg or FILE.png (repeatable)
    #[arg(long, value_name = "FILE")]
    pub plot: Vec<PathBuf>,
    /// Figures to show, e.g. arc_energy_J,peak_current_A, and sound for the verdict
    #[arg(long, value_name = "FIGURE", value_delimiter = ',')]
    pub show: Vec<String>,
}

fn samples(text: &str) -> Result<usize, String> {
    match text.parse() {
        Ok(n) if (16..=10_000_000).contains(&n) => Ok(n),
        _ => Err("a number from 16 to ten million".into()),
    }
}

#[derive(Debug, Args)]
pub struct Join {
    /// Files of all the parts of one study, in any order
    #[arg(value_name = "FILES", required = true)]
    pub files: Vec<PathBuf>,
    /// Where the whole goes ("-" for standard output)
    #[arg(long, value_name = "FILE")]
    pub csv: PathBuf,
    /// Write the rows of the CSV as Parquet as well (where the build has it)
    #[arg(long, value_name = "FILE")]
    pub parquet: Option<PathBuf>,
}

#[derive(Debug, Args)]
#[command(
    after_help = "The range searched goes from a quarter of the present value to four times it, a charging \
    voltage to bank.voltage_max or, without one, at most to 200 V, unless KEY=FROM..TO says another. Exit \
    code 1 when there is no such value."
)]
pub struct Dial {
    #[command(flatten)]
    pub input: CaseInput,
    /// Key to turn, e.g. bank.voltage or bank.voltage=60..160V; two for the widest margin
    #[arg(long, value_name = "KEY", required = true)]
    pub turn: Vec<String>,
    /// sound, or a figure's value: fill_ratio=1.2, arc_time_s=1.5ms
    #[arg(long = "for", value_name = "GOAL", default_value = "sound")]
    pub goal: String,
    #[command(flatten)]
    pub faults: FaultInput,
    /// Write the result as JSON ("-" for standard output)
    #[arg(long, value_name = "FILE")]
    pub json: Option<PathBuf>,
}

#[derive(Debug, Args)]
#[command(
    after_help = "The file is read as an oscilloscope writes it: remarks before the rows, separator, \
    decimal comma and names of columns are found. The mean before the rise is taken off as offset. The \
    place of the trigger in the trace is fitted too, unless --trigger-at-zero."
)]
pub struct Fit {
    #[command(flatten)]
    pub input: CaseInput,
    /// Oscilloscope's CSV with time and current
    #[arg(long, value_name = "FILE")]
    pub trace: PathBuf,
    /// Keys to fit, e.g. joints.tool,lead.length or lead.length=2..9m (repeatable)
    #[arg(long, value_name = "KEY,...", value_delimiter = ',', required = true)]
    pub free: Vec<String>,
    /// Column of the time, by name or number [default: 1]
    #[arg(long, value_name = "COLUMN")]
    pub time: Option<String>,
    /// Unit of the time
    #[arg(long, value_name = "UNIT", default_value = "s")]
    pub time_unit: String,
    /// Column of the current, by name or number [default: 2]
    #[arg(long, value_name = "COLUMN")]
    pub current: Option<String>,
    /// Current of one unit of the file, e.g. 10kA for a shunt of 0.1 mohm, -2kA for a coil turned round
    #[arg(
        long,
        value_name = "CURRENT",
        default_value = "1 A",
        allow_hyphen_values = true
    )]
    pub scale: String,
    /// Only the rows between two times of the file, e.g. 0ms..4ms
    #[arg(long, value_name = "FROM..TO", allow_hyphen_values = true)]
    pub within: Option<String>,
    /// The trigger is at the time 0 of the trace
    #[arg(long)]
    pub trigger_at_zero: bool,
    /// Write values, errors and correlations as JSON ("-" for standard output)
    #[arg(long, value_name = "FILE")]
    pub json: Option<PathBuf>,
    /// Write the fitted case as a case file ("-" for standard output)
    #[arg(long, value_name = "FILE")]
    pub case_out: Option<PathBuf>,
    /// Draw both currents and what is left: FILE.svg or FILE.png (repeatable)
    #[arg(long, value_name = "FILE")]
    pub plot: Vec<PathBuf>,
}

#[derive(Debug, Args)]
#[command(
    after_help = "Searched is the whole scale of bank and tool, or without one from a quarter to twice the \
    case's voltage and spring force; the voltage to bank.voltage_max or, without one, at most to 200 V, unless \
    told. A stud the rig cannot weld is a result, not an error. Ctrl-C ends it; nothing is written then."
)]
pub struct Chart {
    #[command(flatten)]
    pub input: CaseInput,
    /// Only studs of these sizes, e.g. M4,M6 (repeatable)
    #[arg(long, value_name = "SIZE", value_delimiter = ',')]
    pub stud: Vec<String>,
    /// Only studs of this metal, or this pair: "brass 63/37 on copper" (repeatable)
    #[arg(long, value_name = "METAL")]
    pub metal: Vec<String>,
    /// Method in place of the tool's own; both for a chart of both
    #[arg(long, value_enum, value_delimiter = ',')]
    pub method: Vec<Method>,
    /// Voltages the bank can be charged to, e.g. 40..200V
    #[arg(long, value_name = "FROM..TO")]
    pub voltage: Option<String>,
    /// Forces the spring can be set to, e.g. 40..120N
    #[arg(long, value_name = "FROM..TO")]
    pub spring: Option<String>,
    #[command(flatten)]
    pub faults: FaultInput,
    /// Write the chart as CSV ("-" for standard output)
    #[arg(long, value_name = "FILE")]
    pub csv: Option<PathBuf>,
    /// Write the chart as JSON ("-" for standard output)
    #[arg(long, value_name = "FILE")]
    pub json: Option<PathBuf>,
    /// Draw the windows: FILE.svg or FILE.png (repeatable)
    #[arg(long, value_name = "FILE")]
    pub plot: Vec<PathBuf>,
    /// Write the chart to print and pin up: one HTML file that needs no other
    #[arg(long, value_name = "FILE")]
    pub report: Option<PathBuf>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Method {
    Contact,
    Gap,
    Both,
}

#[derive(Debug, Args)]
pub struct Earths {
    #[command(flatten)]
    pub input: CaseInput,
    #[command(flatten)]
    pub faults: FaultInput,
    /// Write the rim's fill against the angle as CSV ("-" for standard output)
    #[arg(long, value_name = "FILE")]
    pub csv: Option<PathBuf>,
    /// Write currents, flux densities, drift and trials as JSON ("-" for standard output)
    #[arg(long, value_name = "FILE")]
    pub json: Option<PathBuf>,
    /// Draw the plan: FILE.svg or FILE.png (repeatable)
    #[arg(long, value_name = "FILE")]
    pub plot: Vec<PathBuf>,
}

#[cfg(feature = "page")]
#[derive(Debug, Args)]
#[command(
    after_help = "The page is served on this machine only, unless --listen says otherwise. It reads and \
    writes no file; Ctrl-C ends it."
)]
pub struct Page {
    #[command(flatten)]
    pub input: CaseInput,
    /// Where to listen [default: 127.0.0.1:7411, or a free port]
    #[arg(long, value_name = "ADDRESS:PORT")]
    pub listen: Option<String>,
    /// Open the page in the usual browser
    #[arg(long)]
    pub open: bool,
}

#[derive(Debug, Args)]
pub struct Case {
    #[command(subcommand)]
    pub action: CaseAction,
}

#[derive(Debug, Subcommand)]
pub enum CaseAction {
    /// Write a case file with every key explained
    New {
        /// File to write, "-" for standard output
        file: PathBuf,
        /// Replace the file if it is there
        #[arg(long)]
        force: bool,
    },
    /// Check a case file and say all that is wrong with it
    Check(CaseInput),
    /// Show every key, its value, and where it came from
    Show(CaseInput),
    /// Print the JSON Schema of the case file, by which editors complete and check it
    Schema,
}

#[derive(Debug, Args)]
pub struct Catalogue {
    /// Only one part of it
    #[arg(value_enum)]
    pub part: Option<CataloguePart>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum CataloguePart {
    Studs,
    Metals,
    Joints,
    Leads,
    Faults,
    Tolerances,
}

#[derive(Debug, Args)]
pub struct Prove {
    /// Rows as JSON instead of a table
    #[arg(long)]
    pub json: bool,
}

#[derive(Debug, Args)]
#[command(after_help = "bash: arcplunge completions bash > \
    ~/.local/share/bash-completion/completions/arcplunge")]
pub struct Completions {
    /// The shell to complete in
    #[arg(value_enum)]
    pub shell: clap_complete::Shell,
}

#[derive(Debug, Args)]
#[command(after_help = "To read it: arcplunge manual chart | man -l -")]
pub struct Manual {
    /// Command whose page it is, e.g. fire
    pub command: Option<String>,
}
