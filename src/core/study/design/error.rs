//! What is wrong with a table, and where.

use thiserror::Error;

/// Why a table is no design.
#[derive(Debug, Clone, PartialEq, Error)]
#[error("line {line}{}: {why}", .column.as_ref().map_or(String::new(), |name| format!(", {name}")))]
pub struct DesignError {
    /// Line of the table, counted from 1.
    pub line: u64,
    /// Head of the column.
    pub column: Option<String>,
    /// What is wrong, in words.
    pub why: String,
    /// Nearest right name, if a name is what was wrong.
    pub nearest: Option<String>,
}

impl DesignError {
    /// An error of a whole line.
    pub fn at(line: u64, why: impl Into<String>) -> Self {
        DesignError {
            line,
            column: None,
            why: why.into(),
            nearest: None,
        }
    }

    /// An error of a cell.
    pub fn of(line: u64, column: &str, why: impl Into<String>) -> Self {
        DesignError {
            column: Some(column.chars().take(80).collect()),
            ..DesignError::at(line, why)
        }
    }
}

/// What is wrong with a row that the reader cannot read.
pub(super) fn unread(error: &csv::Error) -> DesignError {
    let line = error.position().map_or(1, csv::Position::line);
    let why = match error.kind() {
        csv::ErrorKind::UnequalLengths {
            expected_len, len, ..
        } => {
            format!("{len} cells, expected {expected_len} as in the head")
        }
        csv::ErrorKind::Utf8 { .. } => "is no UTF-8".to_string(),
        csv::ErrorKind::Io(error) => error.to_string(),
        _ => "is no row of CSV".to_string(),
    };
    DesignError::at(line, why)
}
