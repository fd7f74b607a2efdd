//! Many rows of a study: fired on all cores, streamed to a file, gone on with after a stop, or a
//! part of them.

use std::path::Path;

use csv::StringRecord;

use super::outcome::Trouble;
use super::part::{COLUMNS, Part, Stamp};
use super::progress::Watch;
use super::resume::{Rest, Resume};
use super::rows::Rows;
use super::unfinished::part as unfinished;
use arcplunge_core::simulation::fire::Workspace;
use arcplunge_core::study::batch::each_in_order;
use arcplunge_report::provenance::Study;

/// What is to be done.
pub struct Job<'a> {
    /// Where the rows go.
    pub csv: Option<&'a Path>,
    pub resume: bool,
    /// The part wanted; all rows without one.
    pub part: Option<Part>,
    /// Names of the columns.
    pub head: Vec<String>,
    /// Rows of the whole study.
    pub total: usize,
    /// All that decides what the rows hold.
    pub study: Study,
    /// Cells of the keys in a row.
    pub keys: &'a dyn Fn(usize) -> Vec<String>,
}

/// What a job knows of rows that are kept.
struct Known<'a, S, E> {
    keys: &'a dyn Fn(usize) -> Vec<String>,
    same: S,
    each: E,
}

impl<S: Fn(usize, &StringRecord) -> bool, E: FnMut(usize, &StringRecord)> Rest for Known<'_, S, E> {
    fn keys(&self, row: usize) -> Vec<String> {
        (self.keys)(row)
    }

    fn same(&self, row: usize, found: &StringRecord) -> bool {
        (self.same)(row, found)
    }

    fn each(&mut self, row: usize, found: &StringRecord) {
        (self.each)(row, found);
    }
}

impl Job<'_> {
    /// Fires the rows with `fire`, writes each as `record` puts it, and hands it to `each`; a row
    /// that is there already goes to `kept` instead.
    pub fn run<T: Send>(
        &self,
        fire: impl Fn(&mut Workspace, usize) -> T + Sync,
        record: impl Fn(&T, &mut StringRecord),
        kept: impl FnMut(usize, &StringRecord),
        mut each: impl FnMut(T),
    ) -> Result<(), Trouble> {
        let rows = match self.part {
            Some(part) => part.rows(self.total),
            None => 0..self.total,
        };
        let meta = self.study.meta(self.part.map(|part| part.to_string()));
        let stamp = self
            .part
            .and_then(|part| Stamp::new(&meta.study_sha256, part, self.total));
        let same = |row: usize, found: &StringRecord| {
            let mut out = StringRecord::new();
            record(&fire(&mut Workspace::default(), row), &mut out);
            out == *found
        };
        let mut number = 0;
        let mut file = None;
        if let Some(path) = self.csv {
            let resume = Resume {
                wanted: self.resume,
                most: rows.len(),
                first: rows.start,
                stamp,
                rest: Known {
                    keys: self.keys,
                    same,
                    each: kept,
                },
            };
            let (opened, found) = Rows::open(path, &self.head(), meta, resume)?;
            number = found;
            file = Some((path, opened));
        }
        let watch = Watch::new("firing", rows.len(), number);
        let mut out = StringRecord::new();
        // Trouble, or none where the user ends it.
        let ended = each_in_order(rows.start + number..rows.end, &fire, |fired| {
            if let Some((_, file)) = &mut file {
                record(&fired, &mut out);
                if let Some(stamp) = stamp {
                    out = stamp.put(rows.start + number, &out);
                }
                file.put(&out).map_err(Some)?;
            }
            number += 1;
            watch.step();
            if watch.stopped() {
                return Err(None);
            }
            each(fired);
            Ok(())
        });
        drop(watch);
        match ended {
            Err(Some(trouble)) => Err(trouble),
            Err(None) => stopped(file, number, rows.len()),
            Ok(()) => file.map_or(Ok(()), |(_, file)| file.finish()),
        }
    }

    fn head(&self) -> Vec<String> {
        let stamp = self.part.map(|_| COLUMNS.map(String::from));
        let stamp = stamp.into_iter().flatten();
        stamp.chain(self.head.iter().cloned()).collect()
    }
}

/// Ctrl-C: what is finished stays.
fn stopped(file: Option<(&Path, Rows)>, done: usize, total: usize) -> Result<(), Trouble> {
    let Some((path, mut file)) = file else {
        return Err(Trouble::Stopped("stopped; nothing was written".into()));
    };
    file.flush()?;
    Err(Trouble::Stopped(format!(
        "stopped: {done} of {total} rows are in {}\nhelp: the same command with --resume continues from there",
        unfinished(path).display()
    )))
}
