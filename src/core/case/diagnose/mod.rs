//! Telling the user what is wrong: where, what was expected, what was probably meant.

mod fault;
mod told;

use std::fmt;
use std::ops::Range;

use annotate_snippets::{AnnotationKind, Group, Level, Renderer, Snippet};

pub use fault::{Fault, LARGEST_FILE};
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

/// More than this are counted, not shown.
const MOST_SHOWN: usize = 20;

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
        let renderer = if color {
            Renderer::styled()
        } else {
            Renderer::plain()
        };
        let shown = self.problems.iter().take(MOST_SHOWN);
        let mut parts: Vec<String> = shown
            .map(|problem| renderer.render(&self.report(problem)))
            .collect();
        if self.problems.len() > MOST_SHOWN {
            parts.push(format!(
                "and {} more of this kind",
                self.problems.len() - MOST_SHOWN
            ));
        }
        parts.join("\n\n")
    }

    fn report<'a>(&'a self, problem: &'a Problem) -> Vec<Group<'a>> {
        let title = problem.fault.to_string();
        let name = self.file.as_deref();
        let (source, path, span) = match problem.spot {
            Spot::Whole => {
                let title = match name {
                    Some(name) => format!("{name}: {title}"),
                    None => title,
                };
                let group = Group::with_title(Level::ERROR.primary_title(title));
                return vec![self.with_help(group, problem)];
            }
            Spot::File(start, end) => {
                let path = name.unwrap_or("case");
                (self.text.clone(), path, start..end)
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
                let span = start + head.len()..end + head.len();
                (format!("{head}{argument}"), path, span)
            }
        };
        let span = within(&source, span);
        let mut caret = AnnotationKind::Primary.span(span);
        if let Some(label) = problem.fault.label() {
            caret = caret.label(label);
        }
        let snippet = Snippet::source(source).path(path).annotation(caret);
        let group = Level::ERROR.primary_title(title).element(snippet);
        vec![self.with_help(group, problem)]
    }

    fn with_help<'a>(&self, group: Group<'a>, problem: &Problem) -> Group<'a> {
        match problem.fault.help() {
            Some(help) => group.element(Level::HELP.message(help)),
            None => group,
        }
    }
}

/// The default option of overrides.
pub(super) const SET: &str = "--set";

/// A span inside the text, on whole characters, so that drawing it cannot fail.
fn within(text: &str, span: Range<usize>) -> Range<usize> {
    let floor = |at: usize| {
        let at = at.min(text.len());
        (0..=at)
            .rev()
            .find(|&at| text.is_char_boundary(at))
            .unwrap_or(0)
    };
    let start = floor(span.start);
    start..floor(span.end).max(start)
}

impl fmt::Display for Diagnosis {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        f.write_str(&self.render(false))
    }
}

impl std::error::Error for Diagnosis {}
