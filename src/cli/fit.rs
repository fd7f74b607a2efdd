//! `fit`: keys of a case fitted to a measured current.

use std::path::{Path, PathBuf};

use clap::Args;

use super::case_input::CaseInput;
use super::files::Files;
use super::input::case;
use super::outcome::{Outcome, Trouble, complain, failed, suggestion};
use super::output::{Output, is_standard};
use super::scope::{ScopeInput, measured};
use arcplunge_core::case::Case;
use arcplunge_core::case::show::to_toml;
use arcplunge_core::study::fit::{FitError, Free, FreeError, Setup, fit};
use arcplunge_report::fit::{Source, csv, document, figure, json, scale};
use arcplunge_report::format::engineering;
use arcplunge_report::plot::Size;
use arcplunge_report::provenance::Study;

#[derive(Debug, Args)]
#[command(
    after_help = "Reads the file as the oscilloscope wrote it: comment lines, separator, decimal comma and \
    column names are detected. The mean before the rise is subtracted as the offset. The time of the trigger \
    in the trace is fitted too, unless --trigger-at-zero.\n\n\
    Keys that are not fitted count with their spread from [tolerance], and so does the probe: give its bandwidth, \
    lower cutoff and gain under [probe]. With several traces a key of --vary has one value in all of them, a key of \
    --vary-each one in each."
)]
pub struct Arguments {
    #[command(flatten)]
    pub input: CaseInput,
    /// CSV file of the oscilloscope, with time and current (repeatable: shots of one rig)
    #[arg(long, value_name = "FILE", required = true)]
    pub trace: Vec<PathBuf>,
    /// Keys to fit, e.g. joints.tool,lead.length or lead.length=2..9m (repeatable)
    #[arg(
        long,
        value_name = "KEY,...",
        value_delimiter = ',',
        required_unless_present = "vary_each"
    )]
    pub vary: Vec<String>,
    /// Keys to fit that have a value of their own in each trace (repeatable)
    #[arg(long, value_name = "KEY,...", value_delimiter = ',')]
    pub vary_each: Vec<String>,
    #[command(flatten)]
    pub scope: ScopeInput,
    /// The trigger is at time 0 of the trace
    #[arg(long)]
    pub trigger_at_zero: bool,
    /// Write the fitted case as a case file ("-" for standard output)
    #[arg(long, value_name = "FILE")]
    pub case_out: Option<PathBuf>,
    #[command(flatten)]
    pub files: Files,
}

pub fn run(a: &Arguments) -> Result<Outcome, Trouble> {
    let traces: Vec<(&str, &Path)> = a.trace.iter().map(|t| ("the trace", t.as_path())).collect();
    a.files.check(&a.input, &traces, &[&a.case_out])?;
    let resolved = case(&a.input)?;
    let free = free(a, &resolved.case)?;
    let (mut traces, mut sources) = (Vec::new(), Vec::new());
    for path in &a.trace {
        let (trace, source) = measured(&a.scope, path)?;
        traces.push(trace);
        sources.push(source);
    }
    let setup = Setup::of(resolved.case, free, traces, !a.trigger_at_zero);
    let setup = setup.map_err(|e| apart(a, &e))?;
    let setup = setup.knowing(&resolved.tolerances);
    let mut out = a.files.open(false)?;
    let case_file = a.case_out.as_deref().map(Output::open).transpose()?;
    // Said before the search, which takes minutes where it leads far from the case.
    for doubt in scale(&setup) {
        complain(&format!("note: {doubt}"));
    }
    let found = fit(&setup).map_err(failed)?;
    out.csv(&study(a, &setup, &sources)?, |bytes| {
        csv(bytes, &setup, &found)
    })?;
    out.json(|| json(&setup, &found, &sources))?;
    if let Some(file) = case_file {
        file.put(to_toml(&found.cases[0]).as_bytes())?;
    }
    out.plot(|| figure(&setup, &found).draw(Size::default()).svg)?;
    if !a.case_out.as_deref().is_some_and(is_standard) {
        out.show(&document(&setup, &found))?;
    }
    Ok(Outcome::Done)
}

/// The keys to fit: those of all traces, then those of each.
fn free(a: &Arguments, base: &Case) -> Result<Vec<Free>, Trouble> {
    let wrong = |option: &str, e: &FreeError| {
        let help = suggestion(e.nearest());
        Trouble::Wrong(format!("error: {option}: {e}{help}"))
    };
    let free = Free::all(base, &a.vary).map_err(|e| wrong("--vary", &e))?;
    let each = Free::all(base, &a.vary_each).map_err(|e| wrong("--vary-each", &e))?;
    let both = [a.vary.clone(), a.vary_each.clone()].concat();
    Free::all(base, &both).map_err(|e| wrong("--vary-each", &e))?;
    Ok(Free::of_traces(free, each, a.trace.len()))
}

/// What the rows of a fit come from.
fn study(a: &Arguments, setup: &Setup, sources: &[Source]) -> Result<Study, Trouble> {
    let hashes: Vec<&str> = sources.iter().map(|s| s.sha256.as_str()).collect();
    let source = &sources[0];
    Ok(Study::new("fit", setup.case())
        .map_err(failed)?
        .with("vary", a.vary.clone())
        .with("vary_each", a.vary_each.clone())
        .with("trace", hashes.join(","))
        .with("scale_A", source.scale_A)
        .with("time_unit", source.time_unit.clone())
        .with("time", source.time.clone())
        .with("current", source.current.clone())
        .with("voltage", source.voltage.clone())
        .with("voltage_scale_V", source.voltage_scale_V)
        .with("within", source.within.clone())
        .with("trigger_at_zero", a.trigger_at_zero))
}

/// Why case and trace cannot be set beside each other, and which option may be wrong.
fn apart(a: &Arguments, e: &FitError) -> Trouble {
    let (trace, e) = match e {
        FitError::Of { trace, why } => (*trace, why.as_ref()),
        e => (0, e),
    };
    let name = a.trace[trace].display();
    let why = match e {
        FitError::Span { trace, current } => format!(
            "the trace spans {}, the computed current {}: is --time-unit right?",
            engineering(*trace, "s"),
            engineering(*current, "s")
        ),
        FitError::Scale { trace, current } => format!(
            "the trace has a peak of {}, the computed current one of {}: is --scale right?",
            engineering(*trace, "A"),
            engineering(*current, "A")
        ),
        FitError::Negative(least) => format!(
            "the current is negative, down to {}: use a negative --scale to invert it",
            engineering(*least, "A")
        ),
        FitError::FlatTrace(_) => e.to_string(),
        FitError::NoCase(_) => return Trouble::Wrong(format!("error: {e}")),
        other => return Trouble::Failed(format!("error: {other}")),
    };
    Trouble::Wrong(format!("error: {name}: {why}"))
}
