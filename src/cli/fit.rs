//! `fit`: keys of a case fitted to a measured current.

use std::io::IsTerminal;
use std::path::Path;

use super::args::Fit as Arguments;
use super::input::{case, wants_color};
use super::output::{Output, print};
use super::picture;
use super::results::{any_standard, check_outputs, wrong};
use super::{Outcome, Trouble};
use crate::case::quantity::{Dimension, parse};
use crate::case::show::to_toml;
use crate::report::fit::{figure, json, page};
use crate::report::plot::Size;
use crate::study::fit::scope::{LARGEST, ScopeError, Table, Trace, read, trace};
use crate::study::fit::{Free, Setup, fit};

pub fn run(a: &Arguments) -> Result<Outcome, Trouble> {
    let kinds = picture::kinds(&a.plot)?;
    check_outputs(&a.input, &[&a.json, &a.case_out], &a.plot)?;
    let base = case(&a.input)?.case;
    let free = Free::all(&base, &a.free).map_err(|e| {
        let help = e.nearest().map_or(String::new(), |name| {
            format!("\nhelp: did you mean {name}?")
        });
        Trouble::Wrong(format!("error: --free: {e}{help}"))
    })?;
    let trace = measured(a)?;
    let json_file = a.json.as_deref().map(Output::open).transpose()?;
    let case_file = a.case_out.as_deref().map(Output::open).transpose()?;
    let plots = picture::open(&kinds, &a.plot)?;
    let setup = Setup {
        case: base,
        free,
        trace,
        shift: !a.trigger_at_zero,
    };
    let found = fit(&setup).map_err(|e| Trouble::Failed(format!("error: {e}")))?;
    if let Some(out) = json_file {
        out.put(format!("{:#}\n", json(&setup, &found)).as_bytes())?;
    }
    if let Some(out) = case_file {
        out.put(to_toml(&found.case).as_bytes())?;
    }
    for (kind, out) in plots {
        out.put(&kind.pack(figure(&setup, &found).draw(Size::default()).svg)?)?;
    }
    if !any_standard(&[&a.json, &a.case_out]) {
        let color = wants_color(std::io::stdout().is_terminal());
        print(page(&setup, &found, color).as_bytes())?;
    }
    Ok(Outcome::Done)
}

/// The current of the file, in amperes and seconds.
fn measured(a: &Arguments) -> Result<Trace, Trouble> {
    let name = a.trace.display().to_string();
    let table = read(&load(&a.trace)?).map_err(|e| said(&name, &e))?;
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
    Ok(trace)
}

fn said(name: &str, e: &ScopeError) -> Trouble {
    let help = e.nearest().map_or(String::new(), |near| {
        format!("\nhelp: did you mean {near}?")
    });
    Trouble::Wrong(format!("error: {name}: {e}{help}"))
}

/// The text of a scope's file; what is no UTF-8 in its remarks is passed over.
fn load(path: &Path) -> Result<String, Trouble> {
    let failed = |e: std::io::Error| Trouble::Wrong(format!("error: {}: {e}", path.display()));
    let size = std::fs::metadata(path).map_err(failed)?.len();
    if size > LARGEST {
        return wrong(format!(
            "{}: larger than {} MiB; cut it to the weld",
            path.display(),
            LARGEST >> 20
        ));
    }
    let bytes = std::fs::read(path).map_err(failed)?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
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
            "--scale {text}: wanted the amperes of one unit of the file, as in 10kA"
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
        .ok_or_else(|| bad("wanted FROM..TO, as in 0ms..5ms"))?;
    let time = |text: &str| parse(text.trim(), Dimension::Time).map_err(|e| bad(&e.to_string()));
    let (from, to) = (time(from)?, time(to)?);
    let kept: Vec<(f64, f64)> = trace
        .time
        .iter()
        .copied()
        .zip(trace.current.iter().copied())
        .filter(|(t, _)| (from..=to).contains(t))
        .collect();
    if kept.len() < 8 {
        return Err(bad("fewer than 8 rows lie there"));
    }
    (trace.time, trace.current) = kept.into_iter().unzip();
    Ok(())
}
