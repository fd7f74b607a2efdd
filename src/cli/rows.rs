//! Rows that stream into a CSV file: whole at the end, kept in FILE.part when stopped, gone on with
//! from there.

use std::fs::{File, OpenOptions};
use std::io::{BufReader, BufWriter, ErrorKind, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use csv::{StringRecord, Terminator, Writer, WriterBuilder};

use super::outcome::Trouble;
use super::output::is_standard;

/// Rows are handed to the system at least this often, where a crash of the program, or the end of
/// it by force, does not touch them.
const EVERY: Duration = Duration::from_millis(100);

/// Rows on their way to a file or to standard output.
pub struct Rows {
    to: Writer<BufWriter<Box<dyn Write>>>,
    /// The unfinished file and its final place; none on standard output.
    place: Option<(PathBuf, PathBuf)>,
    flushed: Instant,
}

/// How to go on with rows that are there.
pub struct Resume<Same, Each> {
    /// Whether to, or to start anew.
    pub wanted: bool,
    /// Most rows there may be.
    pub most: usize,
    /// Whether a kept row is the one that belongs at its number.
    pub same: Same,
    /// Sees each row that is kept.
    pub each: Each,
}

/// The file that holds the rows of an unfinished run.
pub fn part(path: &Path) -> PathBuf {
    let mut name = path.as_os_str().to_os_string();
    name.push(".part");
    name.into()
}

impl Rows {
    /// Opens `path` ("-" for standard output) for rows under `head`. To go on, rows in FILE.part are
    /// kept, or those of a finished FILE. Returns the number of rows kept.
    pub fn open(
        path: &Path,
        head: &[String],
        resume: Resume<impl Fn(usize, &StringRecord) -> bool, impl FnMut(usize, &StringRecord)>,
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
        let finished = !temporary.exists() && path.is_file();
        let (kept, length) = match (resume.wanted, temporary.exists() || finished) {
            (true, true) => {
                let file = if finished { path } else { temporary.as_path() };
                let found = kept(file, head, resume)?;
                if finished {
                    std::fs::rename(path, &temporary).map_err(|e| fail(&e))?;
                }
                found
            }
            (true, false) => {
                return Err(Trouble::Wrong(format!(
                    "error: --resume: there is no {}; start without --resume",
                    temporary.display()
                )));
            }
            (false, _) => {
                nothing_kept(&temporary)?;
                (0, 0)
            }
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
        Rows {
            to,
            place,
            flushed: Instant::now(),
        }
    }

    /// Adds a row.
    pub fn put(&mut self, row: &StringRecord) -> Result<(), Trouble> {
        let done = self.to.write_record(row);
        done.map_err(|e| self.trouble(e))?;
        if self.flushed.elapsed() >= EVERY {
            self.flush()?;
            self.flushed = Instant::now();
        }
        Ok(())
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

/// Refuses to begin anew over the rows of a run that was stopped.
fn nothing_kept(path: &Path) -> Result<(), Trouble> {
    if !path.is_file() {
        return Ok(());
    }
    let fail =
        |e: &std::io::Error| Trouble::Failed(format!("error: cannot read {}: {e}", path.display()));
    let mut file = File::open(path).map_err(|e| fail(&e))?;
    let whole = whole(&mut file).map_err(|e| fail(&e))?;
    file.seek(SeekFrom::Start(0)).map_err(|e| fail(&e))?;
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

/// Whole rows of a file: their number, and the length of the file up to the last.
fn kept(
    path: &Path,
    head: &[String],
    mut resume: Resume<impl Fn(usize, &StringRecord) -> bool, impl FnMut(usize, &StringRecord)>,
) -> Result<(usize, u64), Trouble> {
    let other = || {
        Trouble::Wrong(format!(
            "error: --resume: {} has rows of another run; repeat its command, or start without \
             --resume",
            path.display()
        ))
    };
    let fail =
        |e: &std::io::Error| Trouble::Failed(format!("error: cannot read {}: {e}", path.display()));
    let mut file = File::open(path).map_err(|e| fail(&e))?;
    let whole = whole(&mut file).map_err(|e| fail(&e))?;
    file.seek(SeekFrom::Start(0)).map_err(|e| fail(&e))?;
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .from_reader(BufReader::new(file.take(whole)));
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
        // All are read; the first and the last are compared with what belongs there.
        if rows == 0 && !(resume.same)(0, &record) {
            return Err(other());
        }
        (resume.each)(rows, &record);
        rows += 1;
        last.clone_from(&record);
    }
    if rows > 0 && !(resume.same)(rows - 1, &last) {
        return Err(other());
    }
    if rows > resume.most {
        return Err(Trouble::Wrong(format!(
            "error: --resume: {} has {rows} rows, more than the {} requested",
            path.display(),
            resume.most
        )));
    }
    Ok((rows, whole))
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
