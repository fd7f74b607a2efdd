//! The one error of the library's face.

use std::fmt;

use crate::case::check::Broken;
use crate::case::diagnose::Diagnosis;
use crate::simulation::integrator::IntegrationError;

/// What could not be done, and what kind of trouble it was.
///
/// ```
/// use arcplunge_core::{Case, ErrorKind};
///
/// let error = Case::from_toml("[lead]\nlenght = \"12 m\"\n").unwrap_err();
/// assert_eq!(error.kind(), ErrorKind::Case);
/// assert!(error.to_string().contains("did you mean `length`?"));
/// ```
#[derive(Debug, Clone, PartialEq)]
pub struct Error {
    kind: ErrorKind,
    text: String,
}

/// Kinds of trouble.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[non_exhaustive]
pub enum ErrorKind {
    /// The case is wrong, or cannot be read: the text names file, line, key and what was expected.
    Case,
    /// The integration failed, which no checked case is known to cause.
    Integration,
    /// What a study was asked for cannot be.
    Study,
}

impl Error {
    /// What kind of trouble it is.
    pub fn kind(&self) -> ErrorKind {
        self.kind
    }

    /// A study that cannot be, in words.
    pub fn study(why: impl fmt::Display) -> Self {
        Error {
            kind: ErrorKind::Study,
            text: why.to_string(),
        }
    }
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.text)
    }
}

impl std::error::Error for Error {}

impl From<Diagnosis> for Error {
    fn from(diagnosis: Diagnosis) -> Self {
        Error {
            kind: ErrorKind::Case,
            text: diagnosis.render(false),
        }
    }
}

impl From<Vec<Broken>> for Error {
    fn from(broken: Vec<Broken>) -> Self {
        let lines: Vec<String> = broken.iter().map(ToString::to_string).collect();
        Error {
            kind: ErrorKind::Case,
            text: lines.join("\n"),
        }
    }
}

impl From<IntegrationError> for Error {
    fn from(error: IntegrationError) -> Self {
        Error {
            kind: ErrorKind::Integration,
            text: error.to_string(),
        }
    }
}
