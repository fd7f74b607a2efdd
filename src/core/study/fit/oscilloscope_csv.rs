//! A trace as an oscilloscope writes it: lines of remarks, then columns of numbers.
//!
//! Nothing is assumed of the file but that it holds rows of numbers: the separator, the decimal mark, the
//! remarks before the first row and beside it, the names of the columns and which of them hold words are found in it.
//! It is read line by line; of a very long one means of neighbouring rows are kept.

use super::head::{names, start};
use super::row::{Cell, Way, cells, gap, is_remark, read as cell};
use super::scope_error::FEWEST;
pub use super::scope_error::ScopeError;
use super::source::Lines;
pub use super::source::{LARGEST, decode};
use crate::case::keys::nearest;

/// Most lines of remarks after the last row.
const CLOSING: usize = 20;

/// Lines looked at to tell the way of writing: remarks and the first rows.
const HEAD: usize = 5000;

/// Rows kept, at which the neighbours are averaged: more than a fit can use of a record as long as it may be.
const KEPT: usize = 1 << 22;

/// A table of numbers.
#[derive(Debug, Clone, PartialEq)]
pub struct Table {
    /// Names of the columns; empty where there are none.
    pub names: Vec<String>,
    /// Whether a column holds words, as the names of phases, or notes beside the first rows; its values are no
    /// numbers (NaN).
    pub words: Vec<bool>,
    /// Columns of notes beside the first rows, by index.
    pub beside: Vec<usize>,
    /// One list a column that was read, all of one length; infinite where the file has a mark for a value beyond the
    /// range.
    pub columns: Vec<Vec<f64>>,
    /// Line of the file each row stands in.
    pub lines: Places,
    /// Rows of the file each row is the mean of.
    pub averaged: usize,
    /// Numbers whose thousands are set apart.
    pub thousands: usize,
}

/// The line of the file that each row stands in.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Places {
    rows: usize,
    /// Row and line, counted from 1, wherever a line is passed over.
    breaks: Vec<(usize, usize)>,
}

impl Places {
    fn push(&mut self, line: usize) {
        if self.rows == 0 || self.of(self.rows - 1) + 1 != line {
            self.breaks.push((self.rows, line));
        }
        self.rows += 1;
    }

    /// Line, counted from 1, of a row of the file.
    pub fn of(&self, row: usize) -> usize {
        let at = self.breaks.partition_point(|(first, _)| *first <= row);
        let (first, line) = at.checked_sub(1).map_or((0, 1), |k| self.breaks[k]);
        line + row - first
    }

    /// Rows of the file.
    pub fn len(&self) -> usize {
        self.rows
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.rows == 0
    }
}

/// Reads a whole table.
///
/// # Errors
/// When there are too few rows, or a line between them is none.
pub fn read(text: &str) -> Result<Table, ScopeError> {
    let scope = Scope::open(text.as_bytes())?;
    let all: Vec<usize> = (0..scope.table.words.len()).collect();
    scope.take(&all, |_| ())
}

/// A file whose rows are still to be read.
pub struct Scope<'a> {
    lines: Lines<'a>,
    way: Way,
    table: Table,
}

impl<'a> Scope<'a> {
    /// Looks at how a file is written.
    ///
    /// # Errors
    /// When it cannot be read, or nothing in it reads as rows of numbers.
    pub fn open(source: impl std::io::Read + 'a) -> Result<Self, ScopeError> {
        let mut lines = Lines::new(source)?;
        let mut head = Vec::new();
        let mut line = String::new();
        while head.len() < HEAD && lines.next(&mut line)? {
            head.push(line.clone());
        }
        let texts: Vec<&str> = head.iter().map(String::as_str).collect();
        let start = start(&texts).ok_or(ScopeError::NoRows)?;
        let width = start.words.len();
        let table = Table {
            names: names(&texts[..start.line], start.way.0, width),
            words: start.words,
            beside: start.beside,
            columns: vec![Vec::new(); width],
            lines: Places::default(),
            averaged: 1,
            thousands: 0,
        };
        lines.again(head.split_off(start.line));
        Ok(Scope {
            lines,
            way: start.way,
            table,
        })
    }

    /// Index of a column by its name or its number from 1, or else of the `usual` one, counted from 0, of those that
    /// hold no notes beside the first rows.
    ///
    /// # Errors
    /// When there is no such column, or it holds words.
    pub fn column(&self, asked: Option<&str>, usual: usize) -> Result<usize, ScopeError> {
        let table = &self.table;
        let mut there = (0..table.words.len()).filter(|k| !table.beside.contains(k));
        match asked {
            Some(asked) => table.column(asked),
            None => table.column(&(there.nth(usual).unwrap_or(usual) + 1).to_string()),
        }
    }

    /// Reads these columns; `progress` hears of the bytes read so far now and then.
    ///
    /// # Errors
    /// When there are too few rows, or a line between them is none.
    pub fn take(
        mut self,
        wanted: &[usize],
        mut progress: impl FnMut(u64),
    ) -> Result<Table, ScopeError> {
        let mut group = Group::new(wanted.len());
        let mut line = String::new();
        while self.lines.next(&mut line)? {
            if line.trim().is_empty() {
                continue;
            }
            let number = self.lines.number();
            if !self.row(&line, wanted, &mut group.row) {
                self.ended(&line, number)?;
                break;
            }
            self.table.lines.push(number);
            group.add();
            if group.rows == self.table.averaged {
                self.table.push(wanted, &mut group);
            }
            if number.is_multiple_of(1 << 15) {
                progress(self.lines.bytes());
            }
        }
        self.table.push(wanted, &mut group);
        match self.table.lines.len() {
            rows if rows < FEWEST => Err(ScopeError::TooFew(rows)),
            _ => Ok(self.table),
        }
    }

    /// The wanted values of a line; false where it is no row.
    fn row(&mut self, line: &str, wanted: &[usize], values: &mut [f64]) -> bool {
        let words = &self.table.words;
        let mut width = 0;
        for (k, text) in cells(line, self.way.0).enumerate() {
            if k >= words.len() {
                // One separator at the end of a row counts for nothing.
                return k == words.len() && text.0.is_empty();
            }
            width = k + 1;
            let Some(slot) = wanted.iter().position(|column| *column == k) else {
                if text.0.is_empty() && !words[k] {
                    return false;
                }
                continue;
            };
            values[slot] = match cell(text, self.way) {
                _ if words[k] => f64::NAN,
                Some(Cell::Number(value)) => value,
                Some(Cell::Thousands(value)) => {
                    self.table.thousands += 1;
                    value
                }
                Some(Cell::Over) => f64::INFINITY,
                _ => return false,
            };
        }
        width == words.len()
    }

    /// What follows a line that is no row: remarks to the end, or the table is broken there.
    fn ended(&mut self, line: &str, number: usize) -> Result<(), ScopeError> {
        let mut next = line.to_string();
        let mut remarks = 0;
        while remarks <= CLOSING && is_remark(&next, self.way) {
            remarks += 1;
            if !self.lines.next(&mut next)? {
                return Ok(());
            }
        }
        Err(ScopeError::Row {
            line: number,
            text: line.chars().take(60).collect(),
            wanted: self.table.words.len(),
            column: gap(line, self.way, &self.table.words),
        })
    }
}

/// Rows that become one: their sums, and the row that is read.
struct Group {
    row: Vec<f64>,
    sums: Vec<f64>,
    rows: usize,
}

impl Group {
    fn new(columns: usize) -> Group {
        Group {
            row: vec![0.0; columns],
            sums: vec![0.0; columns],
            rows: 0,
        }
    }

    fn add(&mut self) {
        self.rows += 1;
        for (sum, value) in self.sums.iter_mut().zip(&self.row) {
            *sum += value;
        }
    }
}

impl Table {
    /// Takes the mean of a group of rows and empties it; where there are too many rows, neighbours become one.
    fn push(&mut self, wanted: &[usize], group: &mut Group) {
        if group.rows == 0 {
            return;
        }
        for (k, sum) in wanted.iter().zip(&mut group.sums) {
            self.columns[*k].push(*sum / group.rows as f64);
            *sum = 0.0;
        }
        group.rows = 0;
        if self.columns[wanted[0]].len() < KEPT {
            return;
        }
        for k in wanted {
            mean_of(&mut self.columns[*k], 2);
        }
        self.averaged *= 2;
    }

    /// Line of the file in which a row begins.
    pub(super) fn line(&self, row: usize) -> usize {
        self.lines.of(row * self.averaged)
    }

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

/// Means of so many neighbours each; the last of fewer where they do not go up.
pub(super) fn mean_of(values: &mut Vec<f64>, rows: usize) {
    let means = values.len().div_ceil(rows);
    for k in 0..means {
        let group = &values[k * rows..values.len().min((k + 1) * rows)];
        values[k] = group.iter().sum::<f64>() / group.len() as f64;
    }
    values.truncate(means);
}
