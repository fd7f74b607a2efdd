//! Reads the case a command is given.

use std::io::IsTerminal;
use std::path::Path;

use super::Trouble;
use super::args::CaseInput;
use crate::case::read::{self, Resolved};

/// The case of a command, read and checked.
pub fn case(input: &CaseInput) -> Result<Resolved, Trouble> {
    let resolved = match &input.case {
        None => read::demonstration(&input.sets),
        Some(path) if path == Path::new("-") => {
            read::read_from("standard input", std::io::stdin().lock(), &input.sets)
        }
        Some(path) => read::read_file(path, &input.sets),
    };
    resolved.map_err(|diagnosis| {
        Trouble::Wrong(diagnosis.render(wants_color(std::io::stderr().is_terminal())))
    })
}

/// Colour only on a terminal, and not where NO_COLOR asks for none (no-color.org).
pub fn wants_color(terminal: bool) -> bool {
    terminal && std::env::var_os("NO_COLOR").is_none_or(|v| v.is_empty())
}
