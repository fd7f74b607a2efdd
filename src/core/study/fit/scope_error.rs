//! Why an oscilloscope's file gives no trace.

use thiserror::Error;

/// Fewest rows that make a trace.
pub(super) const FEWEST: usize = 8;

/// Why a file gives no trace.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum ScopeError {
    /// Nothing in the file reads as rows of numbers.
    #[error("no rows of two or more numbers found; expected a table of time and signal")]
    NoRows,
    /// Fewer rows than a fit wants, or fewer different times; how many there are.
    #[error("only {0} rows of numbers found; a fit needs at least {FEWEST}")]
    TooFew(usize),
    /// A line among the rows that is none.
    #[error(
        "line {line}: `{text}` is not a row of {wanted} numbers like the lines before it{}",
        missing(*.column)
    )]
    Row {
        /// Its number in the file, counted from 1.
        line: usize,
        /// The line, cut to 60 characters.
        text: String,
        /// Numbers in a row.
        wanted: usize,
        /// Column, from 1, that has no value, if that is what is wrong.
        column: Option<usize>,
    },
    /// No column of that name or number.
    #[error("there is no column `{asked}`; the file has {}", .names.join(", "))]
    NoColumn {
        /// As asked for, cut to 60 characters.
        asked: String,
        /// All columns by number, and by name where there are names: `2 (current)`.
        names: Vec<String>,
        /// The name closest in spelling, if one is close.
        nearest: Option<String>,
    },
    /// A column whose cells are words.
    #[error("column `{asked}` has text, not numbers; numbers are in {}", .names.join(", "))]
    Words {
        /// As asked for, cut to 60 characters.
        asked: String,
        /// Columns that hold numbers, as in [`ScopeError::NoColumn`].
        names: Vec<String>,
    },
    /// A row that is earlier than the one before it.
    #[error("the time decreases: {before} s is followed by {after} s in line {line}")]
    Time {
        /// Line of the later row in the file, counted from 1.
        line: usize,
        /// Time of the row before it \[s\].
        before: f64,
        /// Time of the row \[s\].
        after: f64,
    },
    /// A row whose time is no finite number.
    #[error("the time in line {0} is no number")]
    NoTime(usize),
    /// A line that no table has.
    #[error("line {line} is larger than {} KiB: this is no table of numbers", .limit >> 10)]
    Line {
        /// Its number in the file, counted from 1.
        line: usize,
        /// Largest line read \[bytes\].
        limit: usize,
    },
    /// A file beyond any record.
    #[error("the file is larger than {} GiB; cut it down to the weld", .0 >> 30)]
    Large(u64),
    /// The file could not be read; in words.
    #[error("{0}")]
    Unread(String),
    /// One column for both; its number, counted from 1.
    #[error("time and current are the same column, {0}")]
    Same(usize),
}

fn missing(column: Option<usize>) -> String {
    column.map_or(String::new(), |k| {
        format!(": a value is missing in column {k}")
    })
}

impl ScopeError {
    /// The name that was probably meant.
    pub fn nearest(&self) -> Option<&str> {
        match self {
            ScopeError::NoColumn { nearest, .. } => nearest.as_deref(),
            _ => None,
        }
    }
}
