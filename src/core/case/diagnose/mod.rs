//! Telling the user what is wrong: where, what was expected, what was probably meant.

mod fault;
mod marked;
mod told;

use std::fmt;

pub use fault::{Fault, LARGEST_FILE};
pub use marked::{Marked, Place, render};
pub use told::Told;

/// Where a fault is.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Spot {
    /// The file as a whole, or the case.
    Whole,
    /// Bytes of the file.
    File(usize, usize),
    /// Bytes of an override, counted from 0 among the `--set` arguments.
    Set(usize, usize, usize),
}

/// A fault and its place.
#[derive(Debug, Clone, PartialEq)]
pub struct Problem {
    /// Where the caret goes.
    pub spot: Spot,
    /// What is wrong there.
    pub fault: Fault,
}

/// Everything wrong with one case; never empty.
#[derive(Debug, Clone, PartialEq)]
pub struct Diagnosis {
    /// Name of the file as the user gave it; `None` without a file.
    pub file: Option<String>,
    /// Text of the file, as far as it could be read.
    pub text: String,
    /// The `--set` arguments.
    pub sets: Vec<String>,
    /// From which of them on they were given by another option, and its name; without dashes it is that of a call.
    pub other: Option<(usize, &'static str)>,
    /// In the order of the file, then of the overrides; what concerns the whole stands first.
    pub problems: Vec<Problem>,
}

impl Diagnosis {
    /// Says that the overrides from number `first` on were given by another option.
    pub fn given_by(mut self, first: usize, option: &'static str) -> Self {
        for problem in &mut self.problems {
            if let (Spot::Set(index, ..), Fault::NotKeyValue { option: said }) =
                (&problem.spot, &mut problem.fault)
                && *index >= first
            {
                *said = option;
            }
        }
        Diagnosis {
            other: Some((first, option)),
            ..self
        }
    }

    /// The report for a terminal: each problem with its line and a caret. No newline at the end.
    pub fn render(&self, color: bool) -> String {
        render(self.problems.iter().map(|p| self.marked(p)), color)
    }

    /// A problem with the line it is in.
    fn marked(&self, problem: &Problem) -> Marked {
        let title = problem.fault.to_string();
        let name = self.file.as_deref();
        let (title, place) = match problem.spot {
            Spot::Whole => match name {
                Some(name) => (format!("{name}: {title}"), None),
                None => (title, None),
            },
            Spot::File(start, end) => {
                let place = Place {
                    name: name.unwrap_or("case").to_string(),
                    text: self.text.clone(),
                    span: start..end,
                };
                (title, Some(place))
            }
            Spot::Set(index, start, end) => {
                let argument = self.sets.get(index).map_or("", String::as_str);
                let option = match self.other {
                    Some((first, option)) if index >= first => option,
                    _ => SET,
                };
                let (head, path) = match option.starts_with('-') {
                    true => (format!("{option} "), "command line"),
                    false => (String::new(), option),
                };
                let place = Place {
                    name: path.to_string(),
                    span: start + head.len()..end + head.len(),
                    text: format!("{head}{argument}"),
                };
                (title, Some(place))
            }
        };
        Marked {
            title,
            place,
            label: problem.fault.label(),
            help: problem.fault.help(),
        }
    }
}

/// The default option of overrides.
pub(super) const SET: &str = "--set";

impl fmt::Display for Diagnosis {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        f.write_str(&self.render(false))
    }
}

impl std::error::Error for Diagnosis {}
