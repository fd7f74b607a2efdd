//! The traces of a fit: a file of an oscilloscope read as it comes, in amperes, volts and seconds.

use std::fs::File;
use std::io::{Read, Result as Io};
use std::path::Path;

use clap::Args;

use super::input::rows_of;
use super::outcome::{Trouble, suggestion, wrong};
use super::progress::reading;
use arcplunge_core::case::quantity::{Dimension, parse};
use arcplunge_core::study::fit::oscilloscope_csv::{Scope, ScopeError, Table};
use arcplunge_core::study::fit::trace::{Columns, Trace};
use arcplunge_report::fit::Source;
use arcplunge_report::provenance::Hash;

/// Columns, units and stretch of an oscilloscope's file.
#[derive(Debug, Args)]
pub struct ScopeInput {
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
    /// Column of the voltage at the weld, by name or number [default: none]
    #[arg(long, value_name = "COLUMN")]
    pub voltage: Option<String>,
    /// Voltage per unit of the file, e.g. 10V for a divider by 10
    #[arg(
        long,
        value_name = "VOLTAGE",
        default_value = "1 V",
        allow_hyphen_values = true
    )]
    pub voltage_scale: String,
    /// Only the rows between two times of the file, e.g. 0ms..4ms
    #[arg(long, value_name = "FROM..TO", allow_hyphen_values = true)]
    pub within: Option<String>,
}

impl ScopeInput {
    /// The first of these options that asks for something else than is usual.
    pub fn asked(&self) -> Option<&'static str> {
        let usual = |text: &str, usual: &str| text != usual;
        [
            ("--time", self.time.is_some()),
            ("--time-unit", usual(&self.time_unit, "s")),
            ("--current", self.current.is_some()),
            ("--scale", usual(&self.scale, "1 A")),
            ("--voltage", self.voltage.is_some()),
            ("--voltage-scale", usual(&self.voltage_scale, "1 V")),
            ("--within", self.within.is_some()),
        ]
        .into_iter()
        .find_map(|(option, asked)| asked.then_some(option))
    }
}

/// A file that is hashed as it is read.
struct Hashed {
    file: File,
    hash: Hash,
}

impl Read for Hashed {
    fn read(&mut self, into: &mut [u8]) -> Io<usize> {
        let read = self.file.read(into)?;
        self.hash.update(&into[..read]);
        Ok(read)
    }
}

/// The trace of a file, and where it comes from.
pub fn measured(a: &ScopeInput, path: &Path) -> Result<(Trace, Source), Trouble> {
    let name = path.display().to_string();
    let failed = |e: std::io::Error| Trouble::Wrong(format!("error: {name}: {e}"));
    let said = |e: ScopeError| {
        let help = suggestion(e.nearest());
        Trouble::Wrong(format!("error: {name}: {e}{help}"))
    };
    let current = scale("--scale", &a.scale, Dimension::Current, "10kA")?;
    let volts = scale(
        "--voltage-scale",
        &a.voltage_scale,
        Dimension::Voltage,
        "10V",
    )?;
    let second = parse(&format!("1 {}", a.time_unit), Dimension::Time)
        .map_err(|e| Trouble::Wrong(format!("error: --time-unit {}: {e}", a.time_unit)))?;
    let mut source = Hashed {
        file: rows_of(path)?,
        hash: Hash::default(),
    };
    let size = source.file.metadata().map_or(0, |data| data.len());
    let scope = Scope::open(&mut source).map_err(said)?;
    let column =
        |asked: &Option<String>, usual| scope.column(asked.as_deref(), usual).map_err(said);
    let voltage = match &a.voltage {
        Some(_) => Some((column(&a.voltage, 2)?, volts)),
        None => None,
    };
    let columns = Columns {
        time: (column(&a.time, 0)?, second),
        current: (column(&a.current, 1)?, current),
        voltage,
    };
    let table = read(scope, &columns, size).map_err(said)?;
    let mut trace = Trace::of(table, &columns).map_err(said)?;
    if let Some(window) = &a.within {
        cut(&mut trace, window)?;
    }
    // What follows the rows belongs to the file, too.
    std::io::copy(&mut source, &mut std::io::sink()).map_err(failed)?;
    let told = |asked: &Option<String>, column: usize| match asked {
        Some(asked) => asked.clone(),
        None => (column + 1).to_string(),
    };
    let source = Source {
        sha256: source.hash.digits(),
        time: told(&a.time, columns.time.0),
        time_unit: a.time_unit.clone(),
        current: told(&a.current, columns.current.0),
        scale: a.scale.clone(),
        scale_A: current,
        voltage: a.voltage.clone(),
        voltage_scale_V: voltage.map(|(_, unit)| unit),
        within: a.within.clone(),
        file: name,
    };
    Ok((trace, source))
}

/// Reads the columns, with a bar on a terminal; a file of this size \[bytes\].
fn read(scope: Scope, columns: &Columns, size: u64) -> Result<Table, ScopeError> {
    let bar = reading(size);
    let mut wanted = vec![columns.time.0, columns.current.0];
    wanted.extend(columns.voltage.map(|(column, _)| column));
    wanted.dedup();
    let table = scope.take(&wanted, |bytes| bar.set_position(bytes));
    bar.finish_and_clear();
    table
}

/// SI a unit of the file: `1`, `-2 kA`, `0.5 A` for each volt or count.
fn scale(option: &str, text: &str, of: Dimension, example: &str) -> Result<f64, Trouble> {
    let value = match text.trim().parse::<f64>() {
        Ok(bare) => bare,
        Err(_) => {
            parse(text, of).map_err(|e| Trouble::Wrong(format!("error: {option} {text}: {e}")))?
        }
    };
    if value == 0.0 || !value.is_finite() {
        return wrong(format!(
            "{option} {text}: expected the {} per unit of the file, as in {example}",
            of.name()
        ));
    }
    Ok(value)
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
