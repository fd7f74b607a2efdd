//! A trace as an oscilloscope writes it: lines of remarks, then columns of numbers.
//!
//! Nothing is assumed of the file but that it holds rows of numbers: the separator, the decimal mark, the
//! remarks before the first row, the names of the columns and which of them hold words are found in it.

use thiserror::Error;

use super::row::{WAYS, Way, cells, gap, is_remark, values};
use crate::case::keys::nearest;

/// Fewest rows that make a trace.
pub(super) const FEWEST: usize = 8;

/// Largest file read \[bytes\].
pub const LARGEST: u64 = 256 << 20;

/// A table of numbers.
#[derive(Debug, Clone, PartialEq)]
pub struct Table {
    /// Names of the columns; empty where there are none.
    pub names: Vec<String>,
    /// Whether a column holds words, as the names of phases; its values are no numbers (NaN).
    pub words: Vec<bool>,
    /// One list a column, all of one length.
    pub columns: Vec<Vec<f64>>,
    /// Line of the file each row stands in, counted from 1.
    pub lines: Vec<usize>,
}

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

/// The text of a file's bytes: UTF-16 by its mark, else UTF-8; what is neither, as in remarks, is passed over.
pub fn decode(bytes: &[u8]) -> String {
    let wide = |order: fn([u8; 2]) -> u16| {
        let units: Vec<u16> = bytes[2..]
            .chunks_exact(2)
            .map(|b| order([b[0], b[1]]))
            .collect();
        String::from_utf16_lossy(&units)
    };
    match bytes {
        [0xff, 0xfe, ..] => wide(u16::from_le_bytes),
        [0xfe, 0xff, ..] => wide(u16::from_be_bytes),
        _ => String::from_utf8_lossy(bytes).into_owned(),
    }
}

/// Reads a table: the way of writing that gives the longest run of rows of one width wins.
///
/// # Errors
/// When there are too few rows, or a line between them is none.
pub fn read(text: &str) -> Result<Table, ScopeError> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    // A file without a line feed breaks its lines by carriage returns.
    let lines: Vec<&str> = if text.contains('\n') {
        text.lines().collect()
    } else {
        text.split('\r').collect()
    };
    // Columns of words are looked for only where no table of numbers alone is found.
    let (way, start) = best(&lines, false)
        .filter(|(_, start)| start.rows >= FEWEST)
        .or_else(|| best(&lines, true))
        .ok_or(ScopeError::NoRows)?;
    let words = start.words.contains(&true);
    let width = start.words.len();
    let mut columns = vec![Vec::new(); width];
    let mut places = Vec::new();
    for (k, line) in lines.iter().enumerate().skip(start.line) {
        if line.trim().is_empty() {
            continue;
        }
        let row = values(line, way, words).filter(|row| start.takes(row));
        let Some(row) = row else {
            let rest = &lines[k..];
            if rest.len() <= CLOSING && rest.iter().all(|line| is_remark(line, way)) {
                break;
            }
            return Err(ScopeError::Row {
                line: k + 1,
                text: line.chars().take(60).collect(),
                wanted: width,
                column: gap(line, way, width),
            });
        };
        places.push(k + 1);
        for (column, value) in columns.iter_mut().zip(row) {
            column.push(value);
        }
    }
    if columns[0].len() < FEWEST {
        return Err(ScopeError::TooFew(columns[0].len()));
    }
    Ok(Table {
        names: names(&lines[..start.line], way.0, width),
        words: start.words,
        columns,
        lines: places,
    })
}

/// Most lines of remarks after the last row.
const CLOSING: usize = 20;

/// Where rows begin, and which of their columns hold words.
struct Start {
    line: usize,
    words: Vec<bool>,
    rows: usize,
}

impl Start {
    /// Whether a row is one of these: as wide, a number wherever the first row has one.
    fn takes(&self, row: &[f64]) -> bool {
        let mut pairs = self.words.iter().zip(row);
        row.len() == self.words.len() && pairs.all(|(word, v)| *word || !v.is_nan())
    }
}

/// Rows looked at to tell the way of writing.
const LOOKED_AT: usize = 200;

/// The way of writing that gives the longest run of rows; the earlier of two that read as much.
fn best(lines: &[&str], words: bool) -> Option<(Way, Start)> {
    let found = WAYS
        .into_iter()
        .filter_map(|way| Some((way, start(lines, way, words)?)));
    found.fold(None, |best: Option<(Way, Start)>, next| match best {
        Some(b) if b.1.rows >= next.1.rows => Some(b),
        _ => Some(next),
    })
}

/// The first line from which on all is rows of two or more numbers, as far as looked at.
fn start(lines: &[&str], way: Way, words: bool) -> Option<Start> {
    let mut found: Option<Start> = None;
    for (k, line) in lines.iter().enumerate() {
        if line.trim().is_empty() {
            continue;
        }
        let row = values(line, way, words).filter(|row| row.len() >= 2);
        match (row, &mut found) {
            (Some(row), Some(start)) if start.takes(&row) => start.rows += 1,
            // After so many rows another width is a broken row, not the end of the remarks.
            (_, Some(start)) if start.rows >= FEWEST => break,
            (Some(row), _) => {
                // A pair of numbers among the remarks begins nothing if other lines follow it.
                found = Some(Start {
                    line: k,
                    words: row.iter().map(|v| v.is_nan()).collect(),
                    rows: 1,
                });
            }
            (None, _) => found = None,
        }
        if found.as_ref().is_some_and(|s| s.rows >= LOOKED_AT) {
            break;
        }
    }
    found
}

/// The names of the columns: the last line before the rows that has as many cells, none of them a number.
fn names(before: &[&str], separator: char, width: usize) -> Vec<String> {
    let named = |line: &&str| -> Option<Vec<String>> {
        let mut cells = cells(line, separator);
        while cells.len() > width && cells.last().is_some_and(|cell| cell.is_empty()) {
            cells.pop();
        }
        let words = cells.len() == width
            && cells
                .iter()
                .all(|c| !c.is_empty() && c.parse::<f64>().is_err());
        words.then(|| cells.into_iter().map(str::to_string).collect())
    };
    // A line of units may stand between the names and the rows.
    let found: Vec<Vec<String>> = before.iter().rev().take(3).filter_map(named).collect();
    let unit_like = |names: &Vec<String>| {
        names
            .iter()
            .all(|n| n.trim_matches(['(', ')', '[', ']']).len() <= 3)
    };
    match found.as_slice() {
        [first, second, ..] if unit_like(first) && !unit_like(second) => second.clone(),
        [first, ..] => first.clone(),
        [] => Vec::new(),
    }
}

impl Table {
    /// Index of a column by its name or its number from 1.
    ///
    /// # Errors
    /// When there is no such column, or it holds words.
    pub fn column(&self, asked: &str) -> Result<usize, ScopeError> {
        let column = self.place(asked)?;
        if self.words[column] {
            let names = self.known().into_iter().zip(&self.words);
            return Err(ScopeError::Words {
                asked: asked.chars().take(60).collect(),
                names: names.filter(|(_, word)| !**word).map(|n| n.0).collect(),
            });
        }
        Ok(column)
    }

    fn place(&self, asked: &str) -> Result<usize, ScopeError> {
        let same = |name: &String| name.eq_ignore_ascii_case(asked.trim());
        if let Some(k) = self.names.iter().position(same) {
            return Ok(k);
        }
        match asked.trim().parse::<usize>() {
            Ok(k) if (1..=self.columns.len()).contains(&k) => Ok(k - 1),
            _ => Err(ScopeError::NoColumn {
                asked: asked.chars().take(60).collect(),
                nearest: nearest(asked, self.names.iter().map(String::as_str)).map(str::to_string),
                names: self.known(),
            }),
        }
    }

    /// What the columns can be called.
    fn known(&self) -> Vec<String> {
        (0..self.columns.len())
            .map(|k| match self.names.get(k) {
                Some(name) => format!("{} ({name})", k + 1),
                None => format!("{}", k + 1),
            })
            .collect()
    }
}
