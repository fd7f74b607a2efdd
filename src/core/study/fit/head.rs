//! How a scope's file is written: where its rows begin, in which way, and what its columns are.

use super::row::{Cell, WAYS, Way, cells, read, whole};
use super::scope_error::FEWEST;

/// Rows looked at to tell the way of writing.
const LOOKED_AT: usize = 200;

/// Share of the rows looked at that have a number in a column of numbers, and that have a word in one of words; a
/// column that has neither holds notes beside the first rows.
const NUMBERS: f64 = 0.95;
const WORDS: f64 = 0.5;

/// Where rows begin, how they are written, and what their columns hold.
pub(super) struct Start {
    pub(super) way: Way,
    /// Index of the first line of rows.
    pub(super) line: usize,
    /// Whether a column holds words, or notes beside the first rows.
    pub(super) words: Vec<bool>,
    /// Columns of notes beside the first rows.
    pub(super) beside: Vec<usize>,
    rows: usize,
}

/// The way of writing that gives the longest run of rows of one width; columns of words are looked for only where no
/// table of numbers alone is found.
pub(super) fn start(lines: &[&str]) -> Option<Start> {
    best(lines, false)
        .filter(|start| start.rows >= FEWEST)
        .or_else(|| best(lines, true))
}

/// The best way of writing; the earlier of two that read as much.
fn best(lines: &[&str], words: bool) -> Option<Start> {
    let found = WAYS.into_iter().filter_map(|way| run(lines, way, words));
    found.fold(None, |best: Option<Start>, next| match best {
        Some(b) if b.rows >= next.rows => Some(b),
        _ => Some(next),
    })
}

/// The first line from which on all is rows of two or more numbers, as far as looked at.
fn run(lines: &[&str], way: Way, words: bool) -> Option<Start> {
    // First line, width, and of each column how many cells are numbers and how many are words.
    let mut found: Option<(usize, Vec<[usize; 2]>, usize)> = None;
    for (k, line) in lines.iter().enumerate() {
        if line.trim().is_empty() {
            continue;
        }
        match (row(line, way, words), &mut found) {
            (Some(row), Some((_, counts, rows))) if row.len() == counts.len() => {
                count(counts, &row);
                *rows += 1;
            }
            // After so many rows another width is a broken row, not the end of the remarks.
            (_, Some((_, _, rows))) if *rows >= FEWEST => break,
            // A pair of numbers among the remarks begins nothing if other lines follow it.
            (Some(row), _) => {
                let mut counts = vec![[0; 2]; row.len()];
                count(&mut counts, &row);
                found = Some((k, counts, 1));
            }
            (None, _) => found = None,
        }
        if found
            .as_ref()
            .is_some_and(|(_, _, rows)| *rows >= LOOKED_AT)
        {
            break;
        }
    }
    let (line, counts, rows) = found?;
    let most = |count: usize, share: f64| count as f64 >= share * rows as f64;
    let numbers = |c: &[usize; 2]| most(c[0], NUMBERS);
    let beside = |c: &[usize; 2]| !numbers(c) && !most(c[1], WORDS);
    let columns = counts.iter().enumerate();
    Some(Start {
        way,
        line,
        words: counts.iter().map(|c| !numbers(c)).collect(),
        beside: columns.filter(|(_, c)| beside(c)).map(|(k, _)| k).collect(),
        rows,
    })
}

fn count(counts: &mut [[usize; 2]], row: &[(Cell, bool)]) {
    for (count, (cell, empty)) in counts.iter_mut().zip(row) {
        match cell {
            Cell::Word => count[1] += usize::from(!empty),
            _ => count[0] += 1,
        }
    }
}

/// The cells of a row, each with whether it is empty; `None` if there are fewer than two numbers, or a word where none
/// is allowed.
fn row(line: &str, way: Way, words: bool) -> Option<Vec<(Cell, bool)>> {
    let cells = whole(line, way.0).into_iter();
    let row: Option<Vec<(Cell, bool)>> = cells
        .map(|cell| Some((read(cell, way)?, cell.0.is_empty())))
        .collect();
    let row = row?;
    let numbers = row.iter().filter(|(cell, _)| *cell != Cell::Word).count();
    (numbers >= 2 && (words || numbers == row.len())).then_some(row)
}

/// The names of the columns: the last line before the rows that has as many cells, none of them a number.
pub(super) fn names(before: &[&str], separator: char, width: usize) -> Vec<String> {
    let named = |line: &&str| -> Option<Vec<String>> {
        let mut cells: Vec<&str> = cells(line, separator).map(|(cell, _)| cell).collect();
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
