//! Many rows of a study: fired on all cores, streamed to a file, gone on with after a stop, or a
//! part of them.

use std::path::Path;

use csv::StringRecord;

use super::outcome::Trouble;
use super::part::{COLUMNS, Part, Stamp, fingerprint};
use super::progress::Watch;
use super::rows::{Resume, Rows, part as unfinished};
use arcplunge_core::simulation::fire::Workspace;
use arcplunge_core::study::batch::in_order;

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
    /// All that decides what the rows hold, in words.
    pub study: String,
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
        let stamp = self.part.map(|part| Stamp {
            study: fingerprint(&format!("{}\n{}", env!("CARGO_PKG_VERSION"), self.study)),
            part,
            rows: self.total,
        });
        let write = |row: usize, fired: &T, out: &mut StringRecord| {
            record(fired, out);
            if let Some(stamp) = stamp {
                *out = stamp.put(row, out);
            }
        };
        let same = |k: usize, found: &StringRecord| {
            let row = rows.start + k;
            let mut out = StringRecord::new();
            write(row, &fire(&mut Workspace::default(), row), &mut out);
            out == *found
        };
        let mut number = 0;
        let mut file = None;
        if let Some(path) = self.csv {
            let resume = Resume {
                wanted: self.resume,
                most: rows.len(),
                same,
                each: kept,
            };
            let (opened, found) = Rows::open(path, &self.head(), resume)?;
            number = found;
            file = Some((path, opened));
        }
        let watch = Watch::new("firing", rows.len(), number);
        let mut out = StringRecord::new();
        for fired in in_order(rows.start + number..rows.end, &fire) {
            if let Some((_, file)) = &mut file {
                write(rows.start + number, &fired, &mut out);
                file.put(&out)?;
            }
            number += 1;
            watch.step();
            if watch.stopped() {
                drop(watch);
                return stopped(file, number, rows.len());
            }
            each(fired);
        }
        drop(watch);
        file.map_or(Ok(()), |(_, file)| file.finish())
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
        return Err(Trouble::Failed("stopped; nothing was written".into()));
    };
    file.flush()?;
    Err(Trouble::Failed(format!(
        "stopped: {done} of {total} rows are in {}\nhelp: the same command with --resume continues from there",
        unfinished(path).display()
    )))
}
