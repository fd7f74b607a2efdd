//! Going on with rows that are there: of the same study, and each as it must be.

use std::fs::File;
use std::io::{BufReader, Read, Seek, SeekFrom};
use std::path::Path;

use csv::StringRecord;

use super::kept::{self, Form};
use super::meta;
use super::outcome::Trouble;
use super::part::{COLUMNS, Stamp};
use arcplunge_report::provenance::Meta;

/// How to go on with rows that are there.
pub struct Resume<R: Rest> {
    /// Whether to, or to start anew.
    pub wanted: bool,
    /// Most rows there may be.
    pub most: usize,
    /// Number of the first row in the study.
    pub first: usize,
    /// What stands before each row of a part.
    pub stamp: Option<Stamp>,
    pub rest: R,
}

/// What the study knows of its rows.
pub trait Rest {
    /// Values of the keys in a row of the study, as its cells have them.
    fn keys(&self, row: usize) -> Vec<String>;
    /// Whether a row is the one that belongs there, fired again.
    fn same(&self, row: usize, found: &StringRecord) -> bool;
    /// Sees each row that is kept.
    fn each(&mut self, row: usize, found: &StringRecord);
}

/// Differences told of two studies.
const TOLD: usize = 8;

/// Reads what stands beside the rows in `path`, which must tell the study and the part of `now`. The number of shots
/// may be another where no part hangs on it: a shot depends on seed and number alone.
pub fn same_study(path: &Path, now: &Meta) -> Result<Meta, Trouble> {
    let kept = meta::read(path)?;
    let free: &[&str] = match now.part {
        None => &["shots"],
        Some(_) => &[],
    };
    let found = kept.study.differences(&now.study, free);
    let mut found: Vec<String> = found.iter().map(ToString::to_string).collect();
    if kept.part != now.part {
        let say = |part: &Option<String>| part.clone().unwrap_or_else(|| "none".into());
        found.push(format!(
            "part: {} there, {} now",
            say(&kept.part),
            say(&now.part)
        ));
    }
    let what = format!("--resume: {} has rows", path.display());
    another_study(
        &what,
        found,
        "repeat its command, or start without --resume",
    )?;
    Ok(kept)
}

/// Refuses what another study left, if there is any difference: `what` was found, and what to do instead.
pub fn another_study(what: &str, mut found: Vec<String>, instead: &str) -> Result<(), Trouble> {
    if found.is_empty() {
        return Ok(());
    }
    let more = found.len().saturating_sub(TOLD);
    found.truncate(TOLD);
    if more > 0 {
        found.push(format!("and {more} more"));
    }
    let found = found.join("\n  ");
    Err(Trouble::Wrong(format!(
        "error: {what} of another study\n  {found}\nhelp: {instead}"
    )))
}

/// Checks the whole rows of a file: their number, and the length of the file up to the last.
pub fn kept(
    path: &Path,
    file: &mut File,
    now: &Meta,
    head: &[String],
    mut resume: Resume<impl Rest>,
) -> Result<(usize, u64), Trouble> {
    let length = whole(file).map_err(|e| unread(path, &e))?;
    file.rewind().map_err(|e| unread(path, &e))?;
    if length == 0 {
        return Ok((0, 0));
    }
    same_study(path, now)?;
    let bad = |line: usize, why: &str| {
        Trouble::Wrong(format!("error: {}: line {line}: {why}", path.display()))
    };
    let mut lines = BufReader::new(file.take(length));
    let mut buffer = Vec::new();
    let first = kept::line(&mut lines, &mut buffer).map_err(|e| unread(path, &e))?;
    let first = kept::head(first.unwrap_or_default()).map_err(|why| bad(1, &why))?;
    if first.iter().ne(head.iter().map(String::as_str)) {
        return Err(bad(
            1,
            "the names of the columns are not those of this study",
        ));
    }
    let own = head.iter().map(String::as_str);
    let form = Form::new(
        own.skip(resume.stamp.map_or(0, |_| COLUMNS.len())),
        resume.stamp,
    );
    let (mut rows, mut last) = (0, StringRecord::new());
    while let Some(line) = kept::line(&mut lines, &mut buffer).map_err(|e| unread(path, &e))? {
        let (row, at) = (resume.first + rows, rows + 2);
        if rows == resume.most {
            return Err(bad(at, &format!("more than the {rows} rows requested")));
        }
        last = form.row(row, line).map_err(|why| bad(at, &why))?;
        let keys = resume.rest.keys(row);
        form.begins(&last, &keys).map_err(|why| bad(at, &why))?;
        if rows == 0 && !resume.rest.same(row, &last) {
            return Err(bad(at, UNLIKE));
        }
        resume.rest.each(row, &last);
        rows += 1;
    }
    if rows > 1 && !resume.rest.same(resume.first + rows - 1, &last) {
        return Err(bad(rows + 1, UNLIKE));
    }
    Ok((rows, length))
}

const UNLIKE: &str = "fired again, this row comes out differently";

/// Refuses to begin anew over the rows of a run that was stopped.
pub fn nothing_kept(path: &Path, file: &mut File) -> Result<(), Trouble> {
    let whole = whole(file).map_err(|e| unread(path, &e))?;
    file.rewind().map_err(|e| unread(path, &e))?;
    // The first line is the head.
    let rows = csv::ReaderBuilder::new()
        .flexible(true)
        .from_reader(BufReader::new(file.take(whole)))
        .into_byte_records()
        .count();
    match rows {
        0 => Ok(()),
        rows => Err(Trouble::Wrong(format!(
            "error: {} has {rows} rows of an interrupted run: add --resume, or delete it",
            path.display()
        ))),
    }
}

fn unread(path: &Path, e: &std::io::Error) -> Trouble {
    Trouble::Failed(format!("error: cannot read {}: {e}", path.display()))
}

/// Length of a file up to the end of its last whole line: a row cut short by a crash has no end.
fn whole(file: &mut File) -> std::io::Result<u64> {
    const BLOCK: u64 = 1 << 16;
    let mut end = file.seek(SeekFrom::End(0))?;
    let mut block = Vec::new();
    while end > 0 {
        let start = end.saturating_sub(BLOCK);
        file.seek(SeekFrom::Start(start))?;
        block.clear();
        Read::by_ref(file)
            .take(end - start)
            .read_to_end(&mut block)?;
        if let Some(at) = block.iter().rposition(|b| *b == b'\n') {
            return Ok(start + at as u64 + 1);
        }
        end = start;
    }
    Ok(0)
}
