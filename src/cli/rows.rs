//! Rows that stream into a CSV file: whole at the end, kept in FILE.part when stopped, gone on with
//! from there.

use std::fs::{File, OpenOptions};
use std::io::{BufWriter, ErrorKind, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use csv::{StringRecord, Terminator, Writer, WriterBuilder};

use super::Trouble;
use super::output::is_standard;

/// Rows on their way to a file or to standard output.
pub struct Rows {
    to: Writer<BufWriter<Box<dyn Write>>>,
    /// The unfinished file and its final place; none on standard output.
    place: Option<(PathBuf, PathBuf)>,
}

/// The file that holds the rows of an unfinished run.
pub fn part(path: &Path) -> PathBuf {
    let mut name = path.as_os_str().to_os_string();
    name.push(".part");
    name.into()
}

impl Rows {
    /// Opens `path` ("-" for standard output) for rows under `head`. With `resume`, rows already in
    /// FILE.part are kept; `same` says whether a kept row is the one that belongs at its number.
    /// Returns the number of rows kept.
    pub fn open(
        path: &Path,
        head: &[String],
        resume: bool,
        same: impl Fn(usize, &StringRecord) -> bool,
    ) -> Result<(Rows, usize), Trouble> {
        if is_standard(path) {
            let mut rows = Rows::to(Box::new(std::io::stdout()), None);
            rows.put(&StringRecord::from(head.to_vec()))?;
            return Ok((rows, 0));
        }
        let temporary = part(path);
        let fail = |e: &std::io::Error| trouble(&temporary, e);
        if path.is_dir() {
            return Err(trouble(path, &ErrorKind::IsADirectory.into()));
        }
        let (kept, length) = match (resume, temporary.exists()) {
            (true, true) => kept(&temporary, head, same)?,
            (true, false) => {
                return Err(Trouble::Wrong(format!(
                    "error: --resume: there is no {}; start without --resume",
                    temporary.display()
                )));
            }
            (false, _) => (0, 0),
        };
        let mut file = OpenOptions::new()
            .write(true)
            .create(true)
            .truncate(false)
            .open(&temporary)
            .map_err(|e| fail(&e))?;
        file.set_len(length).map_err(|e| fail(&e))?;
        file.seek(SeekFrom::End(0)).map_err(|e| fail(&e))?;
        let mut rows = Rows::to(Box::new(file), Some((temporary, path.to_path_buf())));
        if length == 0 {
            rows.put(&StringRecord::from(head.to_vec()))?;
        }
        Ok((rows, kept))
    }

    fn to(out: Box<dyn Write>, place: Option<(PathBuf, PathBuf)>) -> Rows {
        let to = WriterBuilder::new()
            .terminator(Terminator::CRLF)
            .from_writer(BufWriter::new(out));
        Rows { to, place }
    }

    /// Adds a row.
    pub fn put(&mut self, row: &StringRecord) -> Result<(), Trouble> {
        let done = self.to.write_record(row);
        done.map_err(|e| self.trouble(e))
    }

    /// Hands what is written so far to the system.
    pub fn flush(&mut self) -> Result<(), Trouble> {
        let done = self.to.flush();
        done.map_err(|e| self.trouble(e.into()))
    }

    /// All rows are there: the file takes its final place.
    pub fn finish(mut self) -> Result<(), Trouble> {
        self.flush()?;
        match self.place.take() {
            None => Ok(()),
            Some((temporary, path)) => {
                drop(self);
                std::fs::rename(&temporary, &path).map_err(|e| trouble(&path, &e))
            }
        }
    }

    fn trouble(&self, error: csv::Error) -> Trouble {
        let path = self
            .place
            .as_ref()
            .map_or(Path::new("standard output"), |p| &p.0);
        match error.into_kind() {
            csv::ErrorKind::Io(e) if e.kind() == ErrorKind::BrokenPipe => Trouble::ClosedPipe,
            csv::ErrorKind::Io(e) => trouble(path, &e),
            other => Trouble::Failed(format!("error: cannot write {}: {other:?}", path.display())),
        }
    }
}

fn trouble(path: &Path, e: &std::io::Error) -> Trouble {
    Trouble::Failed(format!("error: cannot write {}: {e}", path.display()))
}

/// Whole rows of an unfinished file: their number, and the length of the file up to the last.
fn kept(
    path: &Path,
    head: &[String],
    same: impl Fn(usize, &StringRecord) -> bool,
) -> Result<(usize, u64), Trouble> {
    let other = || {
        Trouble::Wrong(format!(
            "error: --resume: {} holds rows of another run; repeat its command, or start without \
             --resume",
            path.display()
        ))
    };
    let fail =
        |e: &std::io::Error| Trouble::Failed(format!("error: cannot read {}: {e}", path.display()));
    let mut text = Vec::new();
    File::open(path)
        .and_then(|mut f| f.read_to_end(&mut text))
        .map_err(|e| fail(&e))?;
    // A row cut short by a crash has no end of line.
    let whole = text.iter().rposition(|b| *b == b'\n').map_or(0, |k| k + 1);
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .from_reader(&text[..whole]);
    let mut record = StringRecord::new();
    let mut next = |record: &mut StringRecord| reader.read_record(record).map_err(|_| other());
    if !next(&mut record)? {
        return Ok((0, 0));
    }
    if record.iter().ne(head.iter().map(String::as_str)) {
        return Err(other());
    }
    let mut rows = 0;
    let mut last = StringRecord::new();
    while next(&mut record)? {
        // All are read; the first and the last are held against what belongs there.
        if rows == 0 && !same(0, &record) {
            return Err(other());
        }
        rows += 1;
        last.clone_from(&record);
    }
    if rows > 0 && !same(rows - 1, &last) {
        return Err(other());
    }
    Ok((rows, whole as u64))
}
