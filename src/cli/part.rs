//! A part of a study that many machines share, and what its rows say of it.

use std::ops::Range;
use std::str::FromStr;

use csv::StringRecord;

/// Part `number` of `of`, counted from 1.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Part {
    pub number: usize,
    pub of: usize,
}

impl FromStr for Part {
    type Err = String;

    fn from_str(text: &str) -> Result<Part, String> {
        let wrong = || "write K/N, as in 2/4 for the second of four parts".to_string();
        let (number, of) = text.split_once('/').ok_or_else(wrong)?;
        let read = |text: &str| text.trim().parse::<usize>().map_err(|_| wrong());
        let (number, of) = (read(number)?, read(of)?);
        if of > MOST {
            Err(format!("at most {MOST} parts"))
        } else if (1..=of).contains(&number) {
            Ok(Part { number, of })
        } else {
            Err(format!("parts of {of} count from 1 to {of}"))
        }
    }
}

impl std::fmt::Display for Part {
    fn fmt(&self, f: &mut std::fmt::Formatter) -> std::fmt::Result {
        write!(f, "{}/{}", self.number, self.of)
    }
}

impl Part {
    /// Its rows of `total`, one stretch; the parts differ by at most one row.
    pub fn rows(self, total: usize) -> Range<usize> {
        let cut = |k: usize| (total as u128 * k as u128 / self.of as u128) as usize;
        cut(self.number - 1)..cut(self.number)
    }
}

/// Columns before those of the study in the rows of a part: which study, which part, which row, of
/// how many.
pub const COLUMNS: [&str; 4] = ["study", "part", "row", "rows"];

/// Most parts of one study.
const MOST: usize = 1_000_000;

/// Digits of a study's hash that its parts carry.
pub const DIGITS: usize = 16;

/// What the rows of a part begin with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stamp {
    /// The first digits of the study's hash.
    pub study: [u8; DIGITS],
    pub part: Part,
    pub rows: usize,
}

impl Stamp {
    /// Of a part of `rows` in all, of the study of this hash; `None` when that is no hash.
    pub fn new(hash: &str, part: Part, rows: usize) -> Option<Stamp> {
        let digits = hash.as_bytes().get(..DIGITS)?;
        let right = digits
            .iter()
            .all(|c| matches!(c, b'0'..=b'9' | b'a'..=b'f'));
        let study = digits.try_into().ok().filter(|_| right)?;
        Some(Stamp { study, part, rows })
    }

    /// Names and cells before those of a row.
    pub fn cells(self, row: usize) -> [(&'static str, String); COLUMNS.len()] {
        let study = String::from_utf8_lossy(&self.study).into_owned();
        let cells = [
            study,
            self.part.to_string(),
            row.to_string(),
            self.rows.to_string(),
        ];
        let mut names = COLUMNS.into_iter();
        cells.map(|cell| (names.next().unwrap_or_default(), cell))
    }

    /// `record` with the columns of the part before it.
    pub fn put(self, row: usize, record: &StringRecord) -> StringRecord {
        let mut out = StringRecord::with_capacity(record.as_slice().len() + 64, record.len() + 4);
        out.extend(self.cells(row).iter().map(|(_, cell)| cell));
        out.extend(record);
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parts_are_read_and_cover_all_rows_once() {
        for (total, of) in [(10, 3), (7, 7), (3, 5), (1_000_000, 96)] {
            let mut next = 0;
            for number in 1..=of {
                let rows = Part { number, of }.rows(total);
                assert_eq!(rows.start, next);
                assert!(rows.len() <= total / of + 1);
                next = rows.end;
            }
            assert_eq!(next, total);
        }
        assert_eq!("2/4".parse(), Ok(Part { number: 2, of: 4 }));
        for bad in ["0/4", "5/4", "2", "a/b", "1/0", "-1/4", "1/1000001"] {
            assert!(bad.parse::<Part>().is_err(), "{bad}");
        }
    }
}
