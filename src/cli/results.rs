//! What commands with result files have in common: where results may go, and the kinds of plot.

use std::path::{Path, PathBuf};

use super::Trouble;
use super::args::CaseInput;
use super::output::{Output, is_standard, same_file};
use crate::cycle::march::MarchError;
#[cfg(feature = "png")]
use crate::report::plot;

/// What a plot's name asks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    Svg,
    Png,
}

fn kind(path: &Path) -> Option<Kind> {
    let ending = path.extension()?.to_str()?.to_ascii_lowercase();
    match ending.as_str() {
        "svg" => Some(Kind::Svg),
        "png" => Some(Kind::Png),
        _ => None,
    }
}

/// Opens every plot before the work starts.
pub fn open_plots(plots: &[PathBuf]) -> Result<Vec<(Option<Kind>, Output)>, Trouble> {
    plots
        .iter()
        .map(|path| Ok((kind(path), Output::open(path)?)))
        .collect()
}

/// A drawing as the bytes of its kind.
pub fn picture(svg: String, kind: Option<Kind>) -> Result<Vec<u8>, Trouble> {
    match kind {
        Some(Kind::Png) => png(&svg),
        _ => Ok(svg.into_bytes()),
    }
}

/// Whether one of the results goes to standard output, where the page would be in its way.
pub fn any_standard(results: &[&Option<PathBuf>]) -> bool {
    results
        .iter()
        .filter_map(|result| result.as_deref())
        .any(is_standard)
}

#[cfg(feature = "png")]
fn png(svg: &str) -> Result<Vec<u8>, Trouble> {
    plot::png(svg).map_err(|e| Trouble::Failed(format!("error: {e}")))
}

#[cfg(not(feature = "png"))]
fn png(_: &str) -> Result<Vec<u8>, Trouble> {
    Err(Trouble::Failed(
        "error: this build draws SVG only (feature \"png\" is off)".into(),
    ))
}

/// No two results may go to one place, none over the case file, and a plot's name says its kind.
pub fn check_outputs(
    input: &CaseInput,
    results: &[&Option<PathBuf>],
    plots: &[PathBuf],
) -> Result<(), Trouble> {
    if let Some(path) = plots.iter().find(|p| kind(p).is_none()) {
        return wrong(format!(
            "--plot {}: the name must end in .svg or .png, which says what to draw",
            path.display()
        ));
    }
    let outputs: Vec<&Path> = results
        .iter()
        .filter_map(|result| result.as_deref())
        .chain(plots.iter().map(PathBuf::as_path))
        .collect();
    for (n, one) in outputs.iter().enumerate() {
        if input
            .case
            .as_ref()
            .is_some_and(|c| !is_standard(c) && same_file(c, one))
        {
            return wrong(format!(
                "{} is the case file; a result would replace it",
                one.display()
            ));
        }
        if outputs[..n].iter().any(|other| same_file(one, other)) {
            let place = if is_standard(one) {
                "standard output (\"-\")".into()
            } else {
                one.display().to_string()
            };
            return wrong(format!("two results cannot both go to {place}"));
        }
    }
    Ok(())
}

pub fn wrong<T>(text: String) -> Result<T, Trouble> {
    Err(Trouble::Wrong(format!("error: {text}")))
}

/// The solver gave up: not the user's fault, but said plainly.
pub fn stopped(e: MarchError) -> Trouble {
    Trouble::Failed(format!("error: {e}"))
}
