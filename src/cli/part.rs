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
        if (1..=of).contains(&number) {
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

/// What the rows of a part begin with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stamp {
    pub study: u64,
    pub part: Part,
    pub rows: usize,
}

impl Stamp {
    /// `record` with the columns of the part before it.
    pub fn put(self, row: usize, record: &StringRecord) -> StringRecord {
        let mut out = StringRecord::with_capacity(record.as_slice().len() + 64, record.len() + 4);
        out.push_field(&format!("{:016x}", self.study));
        out.push_field(&self.part.to_string());
        out.push_field(&row.to_string());
        out.push_field(&self.rows.to_string());
        out.extend(record);
        out
    }
}

/// A number for all that a study is made of: FNV-1a (G. Fowler, L. C. Noll and K.-P. Vo, 1991), the
/// same on every machine.
pub fn fingerprint(study: &str) -> u64 {
    let step = |hash: u64, byte: u8| (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3);
    study.bytes().fold(0xcbf2_9ce4_8422_2325, step)
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
        for bad in ["0/4", "5/4", "2", "a/b", "1/0", "-1/4"] {
            assert!(bad.parse::<Part>().is_err(), "{bad}");
        }
    }

    #[test]
    fn published_fingerprints() {
        // Test vectors of the FNV page of L. C. Noll, from memory.
        assert_eq!(fingerprint(""), 0xcbf2_9ce4_8422_2325);
        assert_eq!(fingerprint("a"), 0xaf63_dc4c_8601_ec8c);
        assert_eq!(fingerprint("foobar"), 0x8594_4171_f739_67e8);
    }
}
