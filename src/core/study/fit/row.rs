//! One row of a scope's file: its cells, and the ways of writing them.

/// A way of writing a row: separator, and whether a comma marks the decimals.
pub(super) type Way = (char, bool);

pub(super) const WAYS: [Way; 7] = [
    (',', false),
    (';', false),
    (';', true),
    ('\t', false),
    ('\t', true),
    (' ', false),
    (' ', true),
];

/// The values of a row; `None` if it holds anything but numbers. Where `words` are allowed too, a cell of words, or
/// an empty one, is not a number (NaN), and two numbers must be there. One separator at the end counts for nothing.
pub(super) fn values(line: &str, (separator, comma): Way, words: bool) -> Option<Vec<f64>> {
    let mut cells: Vec<&str> = cells(line, separator);
    if cells.last().is_some_and(|cell| cell.is_empty()) {
        cells.pop();
    }
    let value = |cell: &&str| -> Option<f64> {
        if words && is_word(cell) {
            return Some(f64::NAN);
        }
        let plain = if comma {
            if cell.contains('.') {
                return None;
            }
            cell.replace(',', ".")
        } else {
            (*cell).to_string()
        };
        plain.parse::<f64>().ok().filter(|v| v.is_finite())
    };
    let row: Vec<f64> = cells.iter().map(value).collect::<Option<_>>()?;
    (!words || row.iter().filter(|v| !v.is_nan()).count() >= 2).then_some(row)
}

/// Whether a cell is a word: it begins with a letter, and no other separator shows in it.
fn is_word(cell: &str) -> bool {
    let first = cell.chars().next();
    first.is_none_or(char::is_alphabetic) && !cell.contains([',', ';', '\t'])
}

/// Whether no cell of a line is a number.
pub(super) fn is_remark(line: &str, way: Way) -> bool {
    cells(line, way.0)
        .iter()
        .all(|cell| cell.replace(',', ".").parse::<f64>().is_err())
}

/// Column, from 1, of the first value that is missing in a row; `None` if the row is wrong in another way.
pub(super) fn gap(line: &str, (separator, _): Way, width: usize) -> Option<usize> {
    let cells = cells(line, separator);
    let empty = cells.iter().take(width).position(|cell| cell.is_empty());
    empty
        .or((cells.len() < width).then_some(cells.len()))
        .map(|k| k + 1)
}

pub(super) fn cells(line: &str, separator: char) -> Vec<&str> {
    if separator == ' ' {
        return line.split_whitespace().collect();
    }
    let bare = |cell| str::trim(cell).trim_matches('"').trim();
    line.split(separator).map(bare).collect()
}
