//! Rows that are there already, of an unfinished file or of a part: every one is checked as it is read.

use std::io::BufRead;

use csv::StringRecord;

use super::part::Stamp;
use arcplunge_core::case::keys::find;
use arcplunge_core::simulation::named::FIGURES;
use arcplunge_core::simulation::verdict::{Cause, Verdict};

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Kind {
    /// Number of the shot.
    Shot,
    /// Value of a key: a finite number.
    Key,
    /// Value of a key that takes words.
    Word,
    /// A figure: a finite number, or nothing.
    Figure,
    Verdict,
    Cause,
    Note,
}

impl Kind {
    /// By the name of the column.
    pub fn of(name: &str) -> Kind {
        match name {
            "shot" => Kind::Shot,
            "verdict" => Kind::Verdict,
            "cause" => Kind::Cause,
            "note" => Kind::Note,
            _ if FIGURES.iter().any(|(figure, _)| *figure == name) => Kind::Figure,
            _ => match find(name) {
                Ok(key) if key.about().is_none() => Kind::Word,
                _ => Kind::Key,
            },
        }
    }

    /// What is wrong with a cell of the row of this number.
    fn wrong(self, cell: &str, row: usize) -> Option<String> {
        let finite = || cell.parse::<f64>().is_ok_and(f64::is_finite);
        let (right, expected) = match self {
            Kind::Shot => (cell == row.to_string(), format!("{row}")),
            Kind::Key => (finite(), "a finite number".into()),
            Kind::Figure => (
                cell.is_empty() || finite(),
                "a finite number or nothing".into(),
            ),
            Kind::Verdict => (
                cell.is_empty() || Verdict::named(cell).is_some(),
                "a verdict or nothing".into(),
            ),
            Kind::Cause => (
                cell.is_empty() || Cause::named(cell).is_some(),
                "a cause or nothing".into(),
            ),
            Kind::Note | Kind::Word => (true, String::new()),
        };
        (!right).then_some(expected)
    }
}

/// The form of the rows of a study.
pub struct Form {
    columns: Vec<(String, Kind)>,
    stamp: Option<Stamp>,
}

impl Form {
    /// Rows under the columns of `head`, behind those of a part where there is a `stamp`.
    pub fn new<'a>(head: impl IntoIterator<Item = &'a str>, stamp: Option<Stamp>) -> Form {
        let columns = head.into_iter().map(|name| (name.into(), Kind::of(name)));
        Form {
            columns: columns.collect(),
            stamp,
        }
    }

    /// The cells of a row's line, without those of a part.
    ///
    /// # Errors
    /// What is wrong with the line.
    pub fn row(&self, row: usize, line: &[u8]) -> Result<StringRecord, String> {
        let cells = cells(ended(line)?)?;
        let mut cells = cells.iter();
        if let Some(stamp) = self.stamp {
            for (name, cell) in stamp.cells(row) {
                match cells.next() {
                    Some(found) if found == cell => {}
                    found => return Err(unlike(name, found.unwrap_or(""), &cell)),
                }
            }
        }
        let cells: StringRecord = cells.collect();
        if cells.len() != self.columns.len() {
            let (found, wanted) = (cells.len(), self.columns.len());
            return Err(format!("{found} cells, expected {wanted}"));
        }
        for ((name, kind), cell) in self.columns.iter().zip(&cells) {
            if let Some(expected) = kind.wrong(cell, row) {
                return Err(unlike(name, cell, &expected));
            }
        }
        Ok(cells)
    }

    /// Sees that the first cells of a row are these.
    ///
    /// # Errors
    /// The first that is another.
    pub fn begins(&self, cells: &StringRecord, with: &[String]) -> Result<(), String> {
        let keys = self.columns.iter().zip(cells);
        let mut keys = keys.filter(|((_, kind), _)| matches!(kind, Kind::Key | Kind::Word));
        for wanted in with {
            match keys.next() {
                Some((_, cell)) if cell == wanted => {}
                Some(((name, _), cell)) => return Err(unlike(name, cell, wanted)),
                None => return Err(format!("expected {wanted}")),
            }
        }
        Ok(())
    }
}

fn unlike(name: &str, cell: &str, expected: &str) -> String {
    format!("{name} is \"{cell}\", expected {expected}")
}

/// A line without its end, which is CR LF.
///
/// # Errors
/// When it ends otherwise.
pub fn ended(line: &[u8]) -> Result<&[u8], String> {
    match line.strip_suffix(b"\r\n") {
        Some(line) if !line.contains(&b'\r') => Ok(line),
        _ => Err("does not end with CR LF alone".into()),
    }
}

/// The head line of a file, without its end.
///
/// # Errors
/// When it begins with a byte order mark, does not end as it must, or is no UTF-8.
pub fn head(line: &[u8]) -> Result<StringRecord, String> {
    if line.starts_with(b"\xef\xbb\xbf") {
        return Err("begins with a byte order mark".into());
    }
    cells(ended(line)?)
}

/// The cells of a line.
fn cells(line: &[u8]) -> Result<StringRecord, String> {
    let text = std::str::from_utf8(line).map_err(|_| "is no UTF-8".to_string())?;
    if !text.contains('"') {
        return Ok(text.split(',').collect());
    }
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .from_reader(line);
    let mut cells = StringRecord::new();
    match reader.read_record(&mut cells) {
        Ok(true) => Ok(cells),
        _ => Err("is no row of CSV".into()),
    }
}

/// Reads the next line with its end; `None` at the end of the file.
pub fn line<'a>(
    from: &mut impl BufRead,
    line: &'a mut Vec<u8>,
) -> std::io::Result<Option<&'a [u8]>> {
    line.clear();
    let read = from.read_until(b'\n', line)?;
    Ok((read > 0).then_some(line))
}
