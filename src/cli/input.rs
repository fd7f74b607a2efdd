//! Reads the case a command is given, and the faults put on it.

use std::fs::File;
use std::io::IsTerminal;
use std::path::Path;

use super::case_input::{CaseInput, FaultInput};
use super::outcome::Trouble;
use super::unquoted::torn;
use arcplunge_core::case::Case;
use arcplunge_core::case::diagnose::Diagnosis;
use arcplunge_core::case::faults::{self, Fault, FaultError, apply, titled};
use arcplunge_core::case::read::{Resolved, Text, why_unread};
use arcplunge_core::case::slip::Doubt;

/// Opens a file of rows to read.
pub fn rows_of(path: &Path) -> Result<File, Trouble> {
    let wrong = |why: &str| Trouble::Wrong(format!("error: {}: {why}", path.display()));
    if path.is_dir() {
        return Err(wrong("this is a directory, not a file of rows"));
    }
    File::open(path).map_err(|e| wrong(&why_unread(&e)))
}

/// The case of a command, read and checked.
pub fn case(input: &CaseInput) -> Result<Resolved, Trouble> {
    read(&text(input)?, &input.sets)
}

/// The text of a command's case; standard input is read here, once.
pub fn text(input: &CaseInput) -> Result<Text, Trouble> {
    let text = match &input.case {
        None => Ok(Text::default()),
        Some(path) if path == Path::new("-") => {
            Text::of_source("standard input", std::io::stdin().lock())
        }
        Some(path) => {
            if !path.exists()
                && let Some(text) = torn(&path.to_string_lossy())
            {
                return Err(Trouble::Wrong(text));
            }
            Text::of_file(path)
        }
    };
    text.map_err(wrong)
}

/// The case of a text with overrides.
pub fn read(text: &Text, sets: &[String]) -> Result<Resolved, Trouble> {
    let resolved = text.read(sets).map_err(wrong)?;
    for (old, new) in &resolved.renamed {
        super::outcome::complain(&format!("note: the key `{old}` is now called `{new}`"));
    }
    heed(&resolved, |doubt| !doubt.is_idle());
    Ok(resolved)
}

/// Notes the doubts of this kind about a case.
pub fn heed(resolved: &Resolved, kind: impl Fn(&Doubt) -> bool) {
    for doubt in resolved.doubts.iter().filter(|doubt| kind(doubt)) {
        super::outcome::complain(&format!("note: {doubt}"));
    }
}

/// What is wrong with a case, in words.
pub fn wrong(diagnosis: Diagnosis) -> Trouble {
    Trouble::Wrong(diagnosis.render(wants_color(std::io::stderr().is_terminal())))
}

/// The case of a command with its faults put on, and those.
pub fn faulted(
    input: &CaseInput,
    asked: &FaultInput,
) -> Result<(Resolved, Vec<&'static Fault>), Trouble> {
    let mut resolved = case(input)?;
    let faults = faults(&asked.fault)?;
    put_on(&mut resolved.case, &faults)?;
    Ok((resolved, faults))
}

/// The faults of these names; each may be several, joined by "+".
pub fn faults<'a>(
    names: impl IntoIterator<Item = &'a String>,
) -> Result<Vec<&'static Fault>, Trouble> {
    let single = names.into_iter().flat_map(|name| name.split('+'));
    single
        .map(|name| faults::find(name.trim()).map_err(unfit))
        .collect()
}

/// Puts faults on a case and says so in its title.
pub fn put_on(case: &mut Case, faults: &[&Fault]) -> Result<(), Trouble> {
    *case = apply(case, faults).map_err(unfit)?;
    case.title = titled(&case.title, faults);
    Ok(())
}

/// A fault that cannot be had, in words.
pub fn unfit(error: FaultError) -> Trouble {
    Trouble::Wrong(format!("error: {error}"))
}

/// Colour only on a terminal, and not where NO_COLOR asks for none (no-color.org).
pub fn wants_color(terminal: bool) -> bool {
    terminal && std::env::var_os("NO_COLOR").is_none_or(|v| v.is_empty())
}
