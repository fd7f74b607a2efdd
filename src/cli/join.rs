//! `join`: the parts of a study, put together as one run gives it.

use std::fs::File;
use std::io::{BufReader, Write};
use std::path::{Path, PathBuf};

use clap::Args;
use csv::StringRecord;

use super::input::rows_of;
use super::kept::{self, Form};
use super::meta;
use super::outcome::{Outcome, Trouble};
use super::output::{Stop, distinct, same_file};
use super::parquet;
use super::part::{COLUMNS, DIGITS, Part, Stamp};
use super::table::Table;
use arcplunge_report::provenance::{Hash, Meta};

/// Where rows are missing.
const INCOMPLETE: &str = "the part has no complete row";

/// Byte order mark of UTF-8.
const BOM: &[u8] = b"\xef\xbb\xbf";

#[derive(Debug, Args)]
pub struct Arguments {
    /// Files of all the parts of one study, in any order
    #[arg(value_name = "FILES", required = true)]
    pub files: Vec<PathBuf>,
    /// File for the joined rows ("-" for standard output)
    #[arg(long, value_name = "FILE")]
    pub csv: PathBuf,
    #[command(flatten)]
    pub typed: parquet::Typed,
}

pub fn run(a: &Arguments) -> Result<Outcome, Trouble> {
    let beside = meta::path(&a.csv);
    let results = || [&a.csv, &beside].into_iter().chain(&a.typed.parquet);
    let replaced = |file: &&PathBuf| results().any(|result| same_file(file, result));
    if let Some(file) = a.files.iter().find(replaced) {
        return Err(wrong(file, "the result would overwrite this part"));
    }
    if let Some(parquet) = &a.typed.parquet {
        distinct(&[], &[&a.csv, &beside, parquet])?;
    }
    let columns = parquet::open(&a.typed, Some(&a.csv))?;
    let files = a.files.iter().map(|path| Piece::open(path));
    let mut pieces = files.collect::<Result<Vec<_>, _>>()?;
    pieces.sort_by_key(|piece| piece.stamp.part.number);
    let rows = pieces.iter().find(|p| !p.first.is_empty());
    let rows = rows.map(|piece| piece.stamp.rows);
    for piece in &mut pieces {
        piece.count_rows(rows)?;
    }
    let (head, whole) = fit(&pieces)?;
    Table::open(&a.csv)?.put_with(whole, |out| {
        out.write_all(&head).map_err(Stop::Write)?;
        pieces.into_iter().try_for_each(|piece| piece.copy(out))
    })?;
    if let Some(out) = columns {
        parquet::put(&a.csv, out)?;
    }
    Ok(Outcome::Done)
}

/// A part's file, read up to its first row.
struct Piece {
    path: PathBuf,
    lines: BufReader<File>,
    head: StringRecord,
    first: Vec<u8>,
    stamp: Stamp,
    meta: Meta,
    /// Of the lines read so far.
    hash: Hash,
}

fn wrong(path: &Path, what: &str) -> Trouble {
    Trouble::Wrong(format!("error: {}: {what}", path.display()))
}

fn unread(path: &Path, e: &std::io::Error) -> Trouble {
    Trouble::Wrong(format!("error: cannot read {}: {e}", path.display()))
}

impl Piece {
    fn open(path: &Path) -> Result<Piece, Trouble> {
        let fail = |e: std::io::Error| unread(path, &e);
        let mut lines = BufReader::new(rows_of(path)?);
        let mut hash = Hash::default();
        let mut next = || -> Result<Vec<u8>, Trouble> {
            let mut line = Vec::new();
            kept::line(&mut lines, &mut line).map_err(fail)?;
            hash.update(&line);
            Ok(line)
        };
        let (head, first) = (next()?, next()?);
        if !head.starts_with(COLUMNS.join(",").as_bytes()) && !head.starts_with(BOM) {
            return Err(wrong(
                path,
                "not a part of a study; sweep and scatter write parts with --part",
            ));
        }
        let head = kept::head(&head).map_err(|why| wrong(path, &format!("line 1: {why}")))?;
        let meta = meta::read(path)?;
        let stamp = if first.is_empty() {
            rowless(&meta)
        } else {
            stamp(&first)
        };
        let stamp = stamp.ok_or_else(|| wrong(path, INCOMPLETE))?;
        let told = (meta.study_sha256.as_bytes().get(..DIGITS), &meta.part);
        if told != (Some(&stamp.study[..]), &Some(stamp.part.to_string())) {
            return Err(wrong(
                path,
                "line 2: study or part is not that of its .meta.json",
            ));
        }
        Ok(Piece {
            path: path.to_path_buf(),
            lines,
            head,
            first,
            stamp,
            meta,
            hash,
        })
    }

    /// Takes the number of rows of the study from the other parts, where this one has none; which must be all that it is to have.
    fn count_rows(&mut self, rows: Option<usize>) -> Result<(), Trouble> {
        if self.first.is_empty() {
            let part = self.stamp.part;
            let none = rows.filter(|rows| part.rows(*rows).is_empty());
            self.stamp.rows = none.ok_or_else(|| wrong(&self.path, INCOMPLETE))?;
        }
        Ok(())
    }

    /// Copies the rows, as they stand behind the columns of the part.
    fn copy(mut self, out: &mut (dyn Write + Send)) -> Result<(), Stop> {
        let Stamp { part, rows, .. } = self.stamp;
        let names = self.head.iter().skip(COLUMNS.len());
        let form = Form::new(names, Some(self.stamp));
        let wanted = part.rows(rows);
        let mut buffer = std::mem::take(&mut self.first);
        let mut next = wanted.start;
        loop {
            let line = next - wanted.start + 2;
            let bad = |why: &str| Stop::Trouble(wrong(&self.path, &format!("line {line}: {why}")));
            if buffer.is_empty() {
                break;
            }
            if next == wanted.end {
                return Err(bad("more rows than the part has"));
            }
            form.row(next, &buffer).map_err(|why| bad(&why))?;
            let before = self.stamp.cells(next).map(|(_, cell)| cell.len() + 1);
            let row = &buffer[before.iter().sum()..];
            out.write_all(row).map_err(Stop::Write)?;
            next += 1;
            let read = kept::line(&mut self.lines, &mut buffer);
            match read.map_err(|e| Stop::Trouble(unread(&self.path, &e)))? {
                Some(line) => self.hash.update(line),
                None => break,
            }
        }
        let why = if next < wanted.end {
            let last = wanted.end - 1;
            format!("rows {next} to {last} are missing; finish this part with --resume")
        } else if self.meta.csv_sha256 != Some(self.hash.digits()) {
            meta::CHANGED.into()
        } else {
            return Ok(());
        };
        Err(Stop::Trouble(wrong(&self.path, &why)))
    }
}

/// Of a part without rows, what stands beside it; the number of rows of the study does not.
fn rowless(meta: &Meta) -> Option<Stamp> {
    let part = meta.part.as_ref()?.parse().ok()?;
    Stamp::new(&meta.study_sha256, part, 0)
}

/// What a row says of its part.
fn stamp(line: &[u8]) -> Option<Stamp> {
    let text = std::str::from_utf8(line).ok()?;
    let mut fields = text.split(',');
    let study = fields.next().filter(|study| study.len() == DIGITS)?;
    let part: Part = fields.next()?.parse().ok()?;
    let _row: usize = fields.next()?.parse().ok()?;
    let rows = fields.next()?.parse().ok()?;
    Stamp::new(study, part, rows)
}

/// Whether the pieces, in order of their numbers, make one whole; the head line they share.
fn fit(pieces: &[Piece]) -> Result<(Vec<u8>, Meta), Trouble> {
    let Some(first) = pieces.first() else {
        return Err(Trouble::Wrong("error: no parts".into()));
    };
    let of = first.stamp.part.of;
    for piece in pieces {
        let (a, b) = (piece.stamp, first.stamp);
        let unlike = first.meta.study.differences(&piece.meta.study, &[]);
        let same = (a.study, a.part.of, a.rows) == (b.study, b.part.of, b.rows);
        if !same || !unlike.is_empty() || piece.head != first.head {
            let unlike = unlike.iter().map(|d| format!("\n  {d}"));
            let what = format!(
                "part {} belongs to another study than part {} in {}{}",
                a.part,
                b.part,
                first.path.display(),
                unlike.take(8).collect::<String>()
            );
            return Err(wrong(&piece.path, &what));
        }
    }
    for pair in pieces.windows(2) {
        if pair[0].stamp.part == pair[1].stamp.part {
            let what = format!(
                "part {} is also in {}",
                pair[1].stamp.part,
                pair[0].path.display()
            );
            return Err(wrong(&pair[1].path, &what));
        }
    }
    // A part without rows writes none, and is not missed.
    let there = |number: usize| pieces.iter().any(|p| p.stamp.part.number == number);
    let lacking = (1..=of).filter(|number| {
        let part = Part {
            number: *number,
            of,
        };
        !part.rows(first.stamp.rows).is_empty() && !there(*number)
    });
    let missing: Vec<String> = lacking.map(|number| format!("{number}/{of}")).collect();
    match missing.len() {
        0 => {
            let names: Vec<&str> = first.head.iter().skip(COLUMNS.len()).collect();
            let head = format!("{}\r\n", names.join(","));
            Ok((head.into(), first.meta.study.meta(None)))
        }
        1 => Err(Trouble::Wrong(format!(
            "error: part {} is missing",
            missing[0]
        ))),
        n => Err(Trouble::Wrong(format!(
            "error: {n} parts are missing: {}",
            shortened(&missing)
        ))),
    }
}

fn shortened(names: &[String]) -> String {
    const MOST: usize = 8;
    match names.get(..MOST) {
        Some(some) if names.len() > MOST => format!("{}, …", some.join(", ")),
        _ => names.join(", "),
    }
}
