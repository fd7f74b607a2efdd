//! What commands with result files have in common: where results may go, and what they open.

use std::path::{Path, PathBuf};

use super::Trouble;
use super::args::CaseInput;
use super::output::{Output, distinct, is_standard};
use super::picture::{self, Kind};

/// No two results may go to one place, none over the case file, and a plot's name says its kind.
pub fn check_outputs(
    input: &CaseInput,
    results: &[&Option<PathBuf>],
    plots: &[PathBuf],
) -> Result<(), Trouble> {
    check_outputs_beside(input, &[], results, plots)
}

/// The same, and none over one of `more` files that are read, each with what it is.
pub fn check_outputs_beside(
    input: &CaseInput,
    more: &[(&str, &Path)],
    results: &[&Option<PathBuf>],
    plots: &[PathBuf],
) -> Result<(), Trouble> {
    picture::kinds(plots)?;
    let outputs: Vec<&Path> = results
        .iter()
        .filter_map(|result| result.as_deref())
        .chain(plots.iter().map(PathBuf::as_path))
        .collect();
    let case = input.case.as_deref().map(|path| ("the case file", path));
    let inputs: Vec<(&str, &Path)> = case.into_iter().chain(more.iter().copied()).collect();
    distinct(&inputs, &outputs)
}

/// Opens every plot before the work starts.
pub fn open_plots(plots: &[PathBuf]) -> Result<Vec<(Kind, Output)>, Trouble> {
    picture::open(&picture::kinds(plots)?, plots)
}

/// Whether one of the results goes to standard output, where the page would be in its way.
pub fn any_standard(results: &[&Option<PathBuf>]) -> bool {
    results
        .iter()
        .filter_map(|result| result.as_deref())
        .any(is_standard)
}

/// The line that offers the name that was probably meant.
pub fn suggestion(name: Option<impl std::fmt::Display>) -> String {
    name.map_or(String::new(), |name| {
        format!("\nhelp: did you mean {name}?")
    })
}

/// It could not be done, in the words of what failed.
pub fn failed(e: impl std::fmt::Display) -> Trouble {
    Trouble::Failed(format!("error: {e}"))
}

pub fn wrong<T>(text: String) -> Result<T, Trouble> {
    Err(Trouble::Wrong(format!("error: {text}")))
}
