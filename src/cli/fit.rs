//! `fit`: keys of a case fitted to a measured current.

use std::io::Read;
use std::path::{Path, PathBuf};

use clap::Args;

use super::case_input::CaseInput;
use super::files::Files;
use super::input::case;
use super::outcome::{Outcome, Trouble, failed, suggestion, wrong};
use super::output::{Output, is_standard};
use arcplunge_core::case::quantity::{Dimension, parse};
use arcplunge_core::case::show::to_toml;
use arcplunge_core::study::fit::oscilloscope_csv::{LARGEST, ScopeError, Table, decode, read};
use arcplunge_core::study::fit::trace::{Trace, trace};
use arcplunge_core::study::fit::{FitError, Free, Setup, fit};
use arcplunge_report::fit::{Source, csv, document, figure, json};
use arcplunge_report::format::engineering;
use arcplunge_report::plot::Size;
use arcplunge_report::provenance::{Study, sha256};

#[derive(Debug, Args)]
#[command(
    after_help = "Reads the file as the oscilloscope wrote it: comment lines, separator, decimal comma and \
    column names are detected. The mean before the rise is subtracted as the offset. The time of the trigger \
    in the trace is fitted too, unless --trigger-at-zero."
)]
pub struct Arguments {
    #[command(flatten)]
    pub input: CaseInput,
    /// CSV file of the oscilloscope, with time and current
    #[arg(long, value_name = "FILE")]
    pub trace: PathBuf,
    /// Keys to fit, e.g. joints.tool,lead.length or lead.length=2..9m (repeatable)
    #[arg(long, value_name = "KEY,...", value_delimiter = ',', required = true)]
    pub vary: Vec<String>,
    /// Column of the time, by name or number [default: 1]
    #[arg(long, value_name = "COLUMN")]
    pub time: Option<String>,
    /// Unit of the time
    #[arg(long, value_name = "UNIT", default_value = "s")]
    pub time_unit: String,
    /// Column of the current, by name or number [default: 2]
    #[arg(long, value_name = "COLUMN")]
    pub current: Option<String>,
    /// Current per unit of the file, e.g. 10kA for a shunt of 0.1 mohm, -2kA for a reversed coil
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
    let trace = ("the trace", a.trace.as_path());
    a.files.check(&a.input, &[trace], &[&a.case_out])?;
    let base = case(&a.input)?.case;
    let free = Free::all(&base, &a.vary).map_err(|e| {
        let help = suggestion(e.nearest());
        Trouble::Wrong(format!("error: --vary: {e}{help}"))
    })?;
    let (trace, source) = measured(a)?;
    let setup = Setup::new(base, free, trace, !a.trigger_at_zero).map_err(|e| apart(a, &e))?;
    let mut out = a.files.open(false)?;
    let case_file = a.case_out.as_deref().map(Output::open).transpose()?;
    let found = fit(&setup).map_err(failed)?;
    let study = Study::new("fit", &setup.case)
        .map_err(failed)?
        .with("vary", a.vary.clone())
        .with("trace", source.sha256.clone())
        .with("scale_A", source.scale_A)
        .with("time_unit", source.time_unit.clone())
        .with("time", source.time.clone())
        .with("current", source.current.clone())
        .with("within", source.within.clone())
        .with("trigger_at_zero", a.trigger_at_zero);
    out.csv(&study, |bytes| csv(bytes, &setup, &found))?;
    out.json(|| json(&setup, &found, &source))?;
    if let Some(file) = case_file {
        file.put(to_toml(&found.case).as_bytes())?;
    }
    out.plot(|| figure(&setup, &found).draw(Size::default()).svg)?;
    if !a.case_out.as_deref().is_some_and(is_standard) {
        out.show(&document(&setup, &found))?;
    }
    Ok(Outcome::Done)
}

/// Why case and trace cannot be set beside each other, and which option may be wrong.
fn apart(a: &Arguments, e: &FitError) -> Trouble {
    let name = a.trace.display();
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
        FitError::NoCase(_) => return Trouble::Wrong(format!("error: {e}")),
        other => return Trouble::Failed(format!("error: {other}")),
    };
    Trouble::Wrong(format!("error: {name}: {why}"))
}

/// The current of the file, in amperes and seconds.
fn measured(a: &Arguments) -> Result<(Trace, Source), Trouble> {
    let name = a.trace.display().to_string();
    let bytes = load(&a.trace)?;
    let table = read(&decode(&bytes)).map_err(|e| said(&name, &e))?;
    let column = |asked: &Option<String>, usual: &str| {
        let asked = asked.as_deref().unwrap_or(usual);
        table.column(asked).map_err(|e| said(&name, &e))
    };
    let (time, current) = (column(&a.time, "1")?, column(&a.current, "2")?);
    let scale = scale(&a.scale)?;
    let table = in_seconds(table, time, &a.time_unit)?;
    let mut trace = trace(&table, time, current, scale).map_err(|e| said(&name, &e))?;
    if let Some(window) = &a.within {
        cut(&mut trace, window)?;
    }
    let column = |asked: &Option<String>, usual: &str| asked.as_deref().unwrap_or(usual).into();
    let source = Source {
        file: name,
        sha256: sha256(&bytes),
        time: column(&a.time, "1"),
        time_unit: a.time_unit.clone(),
        current: column(&a.current, "2"),
        scale_A: scale,
        within: a.within.clone(),
    };
    Ok((trace, source))
}

fn said(name: &str, e: &ScopeError) -> Trouble {
    let help = suggestion(e.nearest());
    Trouble::Wrong(format!("error: {name}: {e}{help}"))
}

/// The bytes of an oscilloscope's file. The size is found by reading: a pipe or a device has none.
fn load(path: &Path) -> Result<Vec<u8>, Trouble> {
    let failed = |e: std::io::Error| Trouble::Wrong(format!("error: {}: {e}", path.display()));
    let file = std::fs::File::open(path).map_err(failed)?;
    let mut bytes = Vec::new();
    file.take(LARGEST + 1)
        .read_to_end(&mut bytes)
        .map_err(failed)?;
    if bytes.len() as u64 > LARGEST {
        return wrong(format!(
            "{}: larger than {} MiB; cut it down to the weld",
            path.display(),
            LARGEST >> 20
        ));
    }
    Ok(bytes)
}

/// Amperes a unit of the file: `1`, `-2 kA`, `0.5 A` for each volt or count.
fn scale(text: &str) -> Result<f64, Trouble> {
    let value = match text.trim().parse::<f64>() {
        Ok(bare) => bare,
        Err(_) => parse(text, Dimension::Current)
            .map_err(|e| Trouble::Wrong(format!("error: --scale {text}: {e}")))?,
    };
    if value == 0.0 || !value.is_finite() {
        return wrong(format!(
            "--scale {text}: expected the current per unit of the file, as in 10kA"
        ));
    }
    Ok(value)
}

fn in_seconds(mut table: Table, column: usize, unit: &str) -> Result<Table, Trouble> {
    let one = parse(&format!("1 {unit}"), Dimension::Time)
        .map_err(|e| Trouble::Wrong(format!("error: --time-unit {unit}: {e}")))?;
    for t in &mut table.columns[column] {
        *t *= one;
    }
    Ok(table)
}

/// Keeps the rows between two times of the file.
fn cut(trace: &mut Trace, window: &str) -> Result<(), Trouble> {
    let bad = |why: &str| Trouble::Wrong(format!("error: --within {window}: {why}"));
    let (from, to) = window
        .split_once("..")
        .ok_or_else(|| bad("expected FROM..TO, as in 0ms..5ms"))?;
    let time = |text: &str| parse(text.trim(), Dimension::Time).map_err(|e| bad(&e.to_string()));
    let (from, to) = (time(from)?, time(to)?);
    trace.retain(|_, t| (from..=to).contains(&t));
    if trace.time.len() < 8 {
        return Err(bad("fewer than 8 rows in this range"));
    }
    Ok(())
}
