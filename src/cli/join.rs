//! `join`: the parts of a study, put together as one run gives it.

use std::fs::File;
use std::io::{BufRead, BufReader, Write};
use std::path::{Path, PathBuf};

use clap::Args;

use super::outcome::{Outcome, Trouble};
use super::output::{Output, Stop, distinct, same_file};
use super::parquet;
use super::part::{COLUMNS, Part, Stamp};

#[derive(Debug, Args)]
pub struct Arguments {
    /// Files of all the parts of one study, in any order
    #[arg(value_name = "FILES", required = true)]
    pub files: Vec<PathBuf>,
    /// File for the joined rows ("-" for standard output)
    #[arg(long, value_name = "FILE")]
    pub csv: PathBuf,
    /// Also write the rows as Parquet (in builds with the feature `parquet`)
    #[arg(long, value_name = "FILE")]
    pub parquet: Option<PathBuf>,
}

pub fn run(a: &Arguments) -> Result<Outcome, Trouble> {
    let results = || std::iter::once(&a.csv).chain(&a.parquet);
    let replaced = |file: &&PathBuf| results().any(|result| same_file(file, result));
    if let Some(file) = a.files.iter().find(replaced) {
        return Err(wrong(file, "the result would overwrite this part"));
    }
    if let Some(parquet) = &a.parquet {
        distinct(&[], &[&a.csv, parquet])?;
    }
    let columns = parquet::open(a.parquet.as_ref(), Some(&a.csv))?;
    let files = a.files.iter().map(|path| Piece::open(path));
    let mut pieces = files.collect::<Result<Vec<_>, _>>()?;
    pieces.sort_by_key(|piece| piece.stamp.part.number);
    let head = fit(&pieces)?;
    Output::open(&a.csv)?.put_with(|out| {
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
    /// The head line without the columns of the part.
    head: Vec<u8>,
    first: Vec<u8>,
    stamp: Stamp,
}

fn wrong(path: &Path, what: &str) -> Trouble {
    Trouble::Wrong(format!("error: {}: {what}", path.display()))
}

impl Piece {
    fn open(path: &Path) -> Result<Piece, Trouble> {
        let fail = |e: std::io::Error| {
            Trouble::Wrong(format!("error: cannot read {}: {e}", path.display()))
        };
        let mut lines = BufReader::new(File::open(path).map_err(fail)?);
        let mut head = Vec::new();
        lines.read_until(b'\n', &mut head).map_err(fail)?;
        let columns = format!("{},", COLUMNS.join(","));
        let Some(rest) = head.strip_prefix(columns.as_bytes()) else {
            return Err(wrong(
                path,
                "not a part of a study; sweep and scatter write parts with --part",
            ));
        };
        let head = rest.to_vec();
        let mut first = Vec::new();
        lines.read_until(b'\n', &mut first).map_err(fail)?;
        let stamp = stamp(&first).ok_or_else(|| wrong(path, "the part has no complete row"))?;
        Ok(Piece {
            path: path.to_path_buf(),
            lines,
            head,
            first,
            stamp,
        })
    }

    /// Copies the rows, as they stand behind the columns of the part.
    fn copy(mut self, out: &mut (dyn Write + Send)) -> Result<(), Stop> {
        let Stamp { study, part, rows } = self.stamp;
        let wanted = part.rows(rows);
        let mut line = std::mem::take(&mut self.first);
        let mut next = wanted.start;
        while !line.is_empty() {
            let begin = format!("{study:016x},{part},{next},{rows},");
            let whole = line.ends_with(b"\n") && next < wanted.end;
            match line.strip_prefix(begin.as_bytes()).filter(|_| whole) {
                Some(row) => out.write_all(row).map_err(Stop::Write)?,
                None => {
                    let what = format!("row {next} expected in line {}", next - wanted.start + 2);
                    return Err(Stop::Trouble(wrong(&self.path, &what)));
                }
            }
            next += 1;
            line.clear();
            let read = self.lines.read_until(b'\n', &mut line);
            read.map_err(|e| Stop::Trouble(wrong(&self.path, &format!("cannot be read: {e}"))))?;
        }
        if next == wanted.end {
            return Ok(());
        }
        Err(Stop::Trouble(wrong(
            &self.path,
            &format!(
                "rows {next} to {} are missing; finish this part with --resume",
                wanted.end - 1
            ),
        )))
    }
}

/// What a row says of its part.
fn stamp(line: &[u8]) -> Option<Stamp> {
    let text = std::str::from_utf8(line).ok()?;
    let mut fields = text.split(',');
    let study = u64::from_str_radix(fields.next()?, 16).ok()?;
    let part: Part = fields.next()?.parse().ok()?;
    let _row: usize = fields.next()?.parse().ok()?;
    let rows = fields.next()?.parse().ok()?;
    Some(Stamp { study, part, rows })
}

/// Whether the pieces, in order of their numbers, make one whole; the head line they share.
fn fit(pieces: &[Piece]) -> Result<Vec<u8>, Trouble> {
    let Some(first) = pieces.first() else {
        return Ok(Vec::new());
    };
    let of = first.stamp.part.of;
    for piece in pieces {
        let (a, b) = (piece.stamp, first.stamp);
        if (a.study, a.part.of, a.rows) != (b.study, b.part.of, b.rows) || piece.head != first.head
        {
            let what = format!(
                "part {} belongs to another study than part {} in {}",
                a.part,
                b.part,
                first.path.display()
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
        0 => Ok(first.head.clone()),
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
