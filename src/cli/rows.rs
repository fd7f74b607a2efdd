//! Rows that stream into a CSV file: whole at the end, kept in FILE.part when stopped, gone on with
//! from there.

use std::fs::File;
use std::io::{BufReader, BufWriter, ErrorKind, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use csv::{StringRecord, Terminator, Writer, WriterBuilder};

use super::meta;
use super::outcome::{Trouble, failed, wrong};
use super::output::{Output, is_standard, trouble};
use super::place::{Kept, Place, find};
use super::resume::{Rest, Resume, kept, nothing_kept, same_study};
use super::unfinished::{claim, create, part};
use arcplunge_report::provenance::{Meta, sha256_of};

/// Rows are handed to the system at least this often, where a crash of the program, or the end of
/// it by force, does not touch them.
const EVERY: Duration = Duration::from_millis(100);

/// Rows on their way to a file, or straight through to a pipe, a device or standard output.
pub struct Rows {
    to: Writer<BufWriter<Box<dyn Write>>>,
    /// Where the rows go, for complaints.
    name: PathBuf,
    /// None where they go straight through.
    file: Option<Unfinished>,
    flushed: Instant,
}

/// The unfinished file, locked as long as this lives, and its final place.
struct Unfinished {
    file: File,
    part: PathBuf,
    path: PathBuf,
    before: Option<Kept>,
    meta: Meta,
}

impl Rows {
    /// Opens `path` ("-" for standard output) for rows under `head`, of the study that `meta` tells. To go on, rows
    /// in FILE.part are kept, or those of a finished FILE. Returns the number of rows kept.
    pub fn open(
        path: &Path,
        head: &[String],
        meta: Meta,
        resume: Resume<impl Rest>,
    ) -> Result<(Rows, usize), Trouble> {
        let through: Box<dyn Write> = if is_standard(path) {
            Box::new(std::io::stdout())
        } else {
            match find(path).map_err(|e| trouble(path, &e))? {
                Place::Through(file) => Box::new(file),
                Place::Whole(path, before) => return file(path, before, head, meta, resume),
            }
        };
        if resume.wanted {
            return wrong("--resume: the rows go to no plain file, so none are kept".into());
        }
        let mut rows = Rows::to(through, path, None);
        rows.put(&StringRecord::from(head.to_vec()))?;
        Ok((rows, 0))
    }

    fn to(out: Box<dyn Write>, name: &Path, file: Option<Unfinished>) -> Rows {
        let to = WriterBuilder::new()
            .terminator(Terminator::CRLF)
            .from_writer(BufWriter::new(out));
        Rows {
            to,
            name: name.to_path_buf(),
            file,
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

    /// All rows are there: the file takes its final place, what it comes from beside it.
    pub fn finish(mut self) -> Result<(), Trouble> {
        self.flush()?;
        let Some(mut own) = self.file.take() else {
            return Ok(());
        };
        let fail = |e: &std::io::Error| trouble(&own.path, e);
        own.file.rewind().map_err(|e| fail(&e))?;
        let hash = sha256_of(BufReader::new(&own.file)).map_err(|e| fail(&e))?;
        own.meta.csv_sha256 = Some(hash);
        let text = own.meta.text().map_err(failed)?;
        let beside = Output::open(&meta::path(&own.path))?.fill(text.as_bytes())?;
        if let Some(before) = &own.before {
            before.put_on(&own.file).map_err(|e| fail(&e))?;
        }
        beside.place()?;
        std::fs::rename(&own.part, &own.path).map_err(|e| fail(&e))?;
        remove(&meta::path(&own.part))
    }

    fn trouble(&self, error: csv::Error) -> Trouble {
        let path = match self.name.as_path() {
            name if is_standard(name) => Path::new("standard output"),
            name => name,
        };
        match error.into_kind() {
            csv::ErrorKind::Io(e) if e.kind() == ErrorKind::BrokenPipe => Trouble::ClosedPipe,
            csv::ErrorKind::Io(e) => trouble(path, &e),
            other => Trouble::Failed(format!("error: cannot write {}: {other:?}", path.display())),
        }
    }
}

/// Opens the plain file `path`, or goes on with its rows.
fn file(
    path: PathBuf,
    before: Option<Kept>,
    head: &[String],
    meta: Meta,
    resume: Resume<impl Rest>,
) -> Result<(Rows, usize), Trouble> {
    let part = part(&path);
    let fail = |e: &std::io::Error| trouble(&part, e);
    let claimed = claim(&part)?;
    let (mut file, number, length) = match (claimed, resume.wanted) {
        (Some(mut file), true) => {
            let (number, length) = kept(&part, &mut file, &meta, head, resume)?;
            (file, number, length)
        }
        (None, true) if before.is_some() => {
            let Some(mut file) = claim(&path)? else {
                return Err(fail(&ErrorKind::NotFound.into()));
            };
            meta::unchanged(&path, &same_study(&path, &meta)?)?;
            let (number, length) = kept(&path, &mut file, &meta, head, resume)?;
            tell(&part, &meta)?;
            std::fs::rename(&path, &part).map_err(|e| fail(&e))?;
            remove(&meta::path(&path))?;
            (file, number, length)
        }
        (None, true) => {
            return wrong(format!(
                "--resume: there is no {}; start without --resume",
                part.display()
            ));
        }
        (Some(mut file), false) => {
            nothing_kept(&part, &mut file)?;
            (file, 0, 0)
        }
        (None, false) => (create(&part)?, 0, 0),
    };
    tell(&part, &meta)?;
    file.set_len(length).map_err(|e| fail(&e))?;
    file.seek(SeekFrom::End(0)).map_err(|e| fail(&e))?;
    let out = file.try_clone().map_err(|e| fail(&e))?;
    let own = Unfinished {
        file,
        part: part.clone(),
        path,
        before,
        meta,
    };
    let mut rows = Rows::to(Box::new(out), &part, Some(own));
    if length == 0 {
        rows.put(&StringRecord::from(head.to_vec()))?;
    }
    Ok((rows, number))
}

/// Writes what the rows in `part` come from beside them.
fn tell(part: &Path, meta: &Meta) -> Result<(), Trouble> {
    let text = meta.text().map_err(failed)?;
    Output::open(&meta::path(part))?.put(text.as_bytes())
}

fn remove(path: &Path) -> Result<(), Trouble> {
    match std::fs::remove_file(path) {
        Err(e) if e.kind() != ErrorKind::NotFound => Err(trouble(path, &e)),
        _ => Ok(()),
    }
}
