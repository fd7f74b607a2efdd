//! One row of a scope's file: its cells, and the ways of writing them.

/// A way of writing a row: separator, and whether a comma marks the decimals.
pub(super) type Way = (char, bool);

pub(super) const WAYS: [Way; 8] = [
    (',', false),
    (';', false),
    (';', true),
    ('\t', false),
    ('\t', true),
    (' ', false),
    (' ', true),
    (',', true),
];

/// Size from which on a number stands for none: 9.9E+37 is "infinity" and 9.91E+37 "not a number" in SCPI (SCPI-99,
/// volume 1, 7.2.1).
const NO_NUMBER: f64 = 9e36;

/// What a cell says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Cell {
    Number(f64),
    /// A number whose thousands are set apart.
    Thousands(f64),
    /// A mark for a value beyond the range of what measured it.
    Over,
    /// A word, or nothing.
    Word,
}

/// The cells of a line, each with whether it stands in quotes.
pub(super) struct Cells<'a> {
    rest: Option<&'a str>,
    separator: char,
}

/// The cells of a line.
pub(super) fn cells(line: &str, separator: char) -> Cells<'_> {
    Cells {
        rest: Some(line),
        separator,
    }
}

impl<'a> Iterator for Cells<'a> {
    type Item = (&'a str, bool);

    fn next(&mut self) -> Option<Self::Item> {
        let rest = self.rest?;
        if self.separator == ' ' {
            let rest = rest.trim_start();
            let end = rest.find(char::is_whitespace).unwrap_or(rest.len());
            self.rest = (end > 0).then(|| &rest[end..]);
            return (end > 0).then(|| (&rest[..end], false));
        }
        let quoted = rest.trim_start_matches(' ').strip_prefix('"');
        if let Some((inside, after)) = quoted.and_then(|text| text.split_once('"')) {
            let after = after.trim_start_matches(' ');
            if after.is_empty() || after.starts_with(self.separator) {
                self.rest = after.strip_prefix(self.separator);
                return Some((inside.trim(), true));
            }
        }
        let (cell, rest) = match rest.split_once(self.separator) {
            Some((cell, rest)) => (cell, Some(rest)),
            None => (rest, None),
        };
        self.rest = rest;
        Some((cell.trim().trim_matches('"').trim(), false))
    }
}

/// The cells without an empty one after a separator at the end, which counts for nothing.
pub(super) fn whole(line: &str, separator: char) -> Vec<(&str, bool)> {
    let mut all: Vec<_> = cells(line, separator).collect();
    if all.last().is_some_and(|(cell, _)| cell.is_empty()) {
        all.pop();
    }
    all
}

/// What a cell says; `None` where it is neither a number nor a word in this way of writing.
pub(super) fn read((cell, quoted): (&str, bool), (_, comma): Way) -> Option<Cell> {
    let of = |number: f64| {
        if number.abs() < NO_NUMBER {
            Cell::Number(number)
        } else {
            Cell::Over
        }
    };
    if !comma && let Ok(number) = cell.parse::<f64>() {
        return Some(of(number));
    }
    if is_mark(cell) {
        return Some(Cell::Over);
    }
    if comma
        && !cell.contains('.')
        && let Ok(number) = cell.replace(',', ".").parse::<f64>()
    {
        return Some(of(number));
    }
    // Only quotes, or the other mark beside it, tell thousands from decimals.
    let mark = if comma { '.' } else { ',' };
    if (quoted || (comma && cell.contains(',')))
        && let Some(number) = thousands(cell, mark, comma)
    {
        return Some(Cell::Thousands(number));
    }
    is_word(cell, quoted).then_some(Cell::Word)
}

/// Whether a cell is a mark in place of a value that was beyond the range.
fn is_mark(cell: &str) -> bool {
    let drawn = |c: char| matches!(c, '*' | '#' | '-');
    let words = [
        "inf",
        "nan",
        "ol",
        "ovl",
        "over",
        "overflow",
        "overload",
        "overrange",
        "clipped",
    ];
    let bare = cell.trim_start_matches(['+', '-']);
    (cell.len() > 1 && cell.chars().all(drawn))
        || words.iter().any(|w| bare.eq_ignore_ascii_case(w))
}

/// A number with its thousands set apart by `mark`, in groups of three.
fn thousands(cell: &str, mark: char, comma: bool) -> Option<f64> {
    let decimal = if comma { ',' } else { '.' };
    let (whole, part) = cell.split_once(decimal).unwrap_or((cell, ""));
    let digits = whole.trim_start_matches(['+', '-']);
    let mut groups = digits.split(mark);
    let first = groups.next()?;
    let all = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    let mut others = 0;
    let three = groups.all(|group| {
        others += 1;
        group.len() == 3 && all(group)
    });
    if !three || others == 0 || !all(first) || first.len() > 3 || first.starts_with('0') {
        return None;
    }
    format!("{}.{part}", whole.replace(mark, "")).parse().ok()
}

/// Whether a cell is a word: it begins with a letter, and no other separator shows in it, unless quotes hold it.
fn is_word(cell: &str, quoted: bool) -> bool {
    let first = cell.chars().next();
    first.is_none_or(char::is_alphabetic) && (quoted || !cell.contains([',', ';', '\t']))
}

/// Whether no cell of a line is a number.
pub(super) fn is_remark(line: &str, way: Way) -> bool {
    cells(line, way.0).all(|(cell, _)| cell.replace(',', ".").parse::<f64>().is_err())
}

/// Column, from 1, of the first value that is missing in a row; `None` if the row is wrong in another way.
pub(super) fn gap(line: &str, (separator, _): Way, words: &[bool]) -> Option<usize> {
    let cells: Vec<_> = cells(line, separator).take(words.len()).collect();
    let empty = cells
        .iter()
        .zip(words)
        .position(|((cell, _), word)| cell.is_empty() && !word);
    empty
        .or((cells.len() < words.len()).then_some(cells.len()))
        .map(|k| k + 1)
}
