//! A case file and its overrides, read into a case; or everything that is wrong with them.

mod build;
mod correlation;
mod doubts;
mod draft;
mod mend;
mod named;
mod number;
mod parts;
mod scale;
mod set;
mod site;
mod source;
mod tolerance;
mod uncertainty;
mod value;
mod walk;
mod words;

#[cfg(test)]
mod tests;

use std::io::Read;
use std::path::Path;

pub use super::resolved::{Origin, Origins, Resolved};
pub use source::why_unread;

use super::diagnose::{Diagnosis, Fault, LARGEST_FILE, Problem, Spot};
use super::json;
use super::model::Case;
use draft::Draft;

/// The text of a case, kept so that it can be read again with other overrides.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Text {
    /// Name for messages; `None` for the demonstration case.
    name: Option<String>,
    text: String,
}

impl Text {
    /// The text of the case file at `path`.
    ///
    /// # Errors
    /// When the file cannot be read, is too large, or is no text in UTF-8. What it says is not looked at.
    pub fn of_file(path: &Path) -> Result<Self, Diagnosis> {
        Text::of(path.display().to_string(), source::load(path))
    }

    /// The text from anything, such as standard input; `name` is for messages.
    ///
    /// # Errors
    /// As [`Text::of_file`].
    pub fn of_source(name: &str, source: impl Read) -> Result<Self, Diagnosis> {
        Text::of(name.to_string(), source::bytes(source))
    }

    /// The text of a case that a program has built.
    pub(super) fn from_case(case: &Case) -> Self {
        Text {
            name: None,
            text: super::show::to_toml(case),
        }
    }

    fn of(name: String, text: Result<String, Fault>) -> Result<Self, Diagnosis> {
        match text {
            Ok(text) => Ok(Text {
                name: Some(name),
                text,
            }),
            Err(fault) => Err(unreadable(&name, fault, &[])),
        }
    }

    /// The case with these overrides on top.
    ///
    /// # Errors
    /// With everything wrong in the text and the overrides.
    pub fn read(&self, sets: &[String]) -> Result<Resolved, Diagnosis> {
        read(self.name.as_deref(), &self.text, sets)
    }
}

/// Reads the case file at `path` and the overrides (`KEY=VALUE`) on top of it.
///
/// # Errors
/// When the file cannot be read, or with everything wrong in it and the overrides.
pub fn read_file(path: &Path, sets: &[String]) -> Result<Resolved, Diagnosis> {
    let name = path.display().to_string();
    match source::load(path) {
        Ok(text) => read_text(&name, &text, sets),
        Err(fault) => Err(unreadable(&name, fault, sets)),
    }
}

/// Reads a case from anything, such as standard input; `name` is for messages.
///
/// # Errors
/// When the source cannot be read, or with everything wrong in it and the overrides.
pub fn read_from(name: &str, source: impl Read, sets: &[String]) -> Result<Resolved, Diagnosis> {
    match source::bytes(source) {
        Ok(text) => read_text(name, &text, sets),
        Err(fault) => Err(unreadable(name, fault, sets)),
    }
}

fn unreadable(name: &str, fault: Fault, sets: &[String]) -> Diagnosis {
    let spot = Spot::Whole;
    Diagnosis {
        file: Some(name.to_string()),
        text: String::new(),
        sets: sets.to_vec(),
        other: None,
        problems: vec![Problem { spot, fault }],
    }
}

/// Reads a case from its text, TOML or JSON; `name` is for messages.
///
/// # Errors
/// With everything wrong in the text and the overrides.
pub fn read_text(name: &str, text: &str, sets: &[String]) -> Result<Resolved, Diagnosis> {
    read(Some(name), text, sets)
}

/// The demonstration case, with overrides.
///
/// # Errors
/// With everything wrong in the overrides.
pub fn demonstration(sets: &[String]) -> Result<Resolved, Diagnosis> {
    read(None, "", sets)
}

fn read(name: Option<&str>, text: &str, sets: &[String]) -> Result<Resolved, Diagnosis> {
    let text = unmarked(text);
    if json::is_json(text) {
        read_json(name, text, sets)
    } else {
        read_toml(name, text, sets)
    }
}

/// Reads a case from its text in TOML alone; `name` is for messages.
pub(super) fn toml_text(name: &str, text: &str) -> Result<Resolved, Diagnosis> {
    read_toml(Some(name), unmarked(text), &[])
}

/// Reads a case from its text in JSON alone; `name` is for messages.
pub(super) fn json_text(name: &str, text: &str) -> Result<Resolved, Diagnosis> {
    read_json(Some(name), unmarked(text), &[])
}

/// Editors may put a mark at the head of a file that says no more than "UTF-8".
fn unmarked(text: &str) -> &str {
    text.strip_prefix('\u{feff}').unwrap_or(text)
}

fn read_json(name: Option<&str>, text: &str, sets: &[String]) -> Result<Resolved, Diagnosis> {
    let whole = |fault| {
        Box::new(Problem {
            spot: Spot::Whole,
            fault,
        })
    };
    let case = within_size(text).map_err(whole);
    let case = case.and_then(|()| json::from_json(text));
    let case = case.map_err(|problem| Diagnosis {
        file: name.map(str::to_string),
        text: text.to_string(),
        sets: sets.to_vec(),
        other: None,
        problems: vec![*problem],
    })?;
    read_toml(name, &super::show::to_toml(&case), sets).map_err(|mut told| {
        // The lines are those of no file of the user's.
        for problem in &mut told.problems {
            if matches!(problem.spot, Spot::File(..)) {
                problem.spot = Spot::Whole;
            }
        }
        told
    })
}

/// Also a text that was handed over and not loaded may be too large.
fn within_size(text: &str) -> Result<(), Fault> {
    let size = text.len() as u64;
    if size > LARGEST_FILE {
        return Err(Fault::TooLarge { size });
    }
    Ok(())
}

fn read_toml(name: Option<&str>, text: &str, sets: &[String]) -> Result<Resolved, Diagnosis> {
    let mut draft = Draft::default();
    let mended = match within_size(text) {
        Ok(()) => walk::walk(text, &mut draft),
        Err(fault) => {
            draft.fault(Spot::Whole, fault);
            None
        }
    };
    for (index, argument) in sets.iter().enumerate() {
        set::set(index, argument, &mut draft);
    }
    let breaks: Vec<usize> = text.match_indices('\n').map(|(at, _)| at).collect();
    let line = |at: usize| 1 + breaks.partition_point(|&end| end < at);
    let (mut case, mut origins) = build::build(&mut draft, &line);
    let tolerances = tolerance::settle(&mut draft, &case);
    uncertainty::settle(&mut draft, &mut case);
    if draft.problems.is_empty() {
        origins.file = name.map(str::to_string);
        build::catalogue_defaults(&case, &mut origins);
        let doubts = doubts::doubts(&draft, &case);
        return Ok(Resolved {
            case,
            origins,
            tolerances,
            doubts,
            renamed: draft.renamed,
        });
    }
    let mut problems = draft.problems;
    for problem in &mut problems {
        if let (Spot::File(start, end), Some(mended)) = (&mut problem.spot, &mended) {
            (*start, *end) = (mended.before(*start), mended.before(*end));
        }
    }
    problems.sort_by(|a, b| a.spot.cmp(&b.spot));
    Err(Diagnosis {
        file: name.map(str::to_string),
        text: text.to_string(),
        sets: sets.to_vec(),
        other: None,
        problems,
    })
}
