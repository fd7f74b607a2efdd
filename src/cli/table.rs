//! A table in a CSV file and what it comes from beside it: written, and put in place, together.

use std::io::{Result as Written, Write};
use std::path::Path;

use super::meta;
use super::outcome::{Trouble, failed};
use super::output::{Output, Stop};
use arcplunge_report::provenance::{Hash, Meta};

/// The two files, opened before the work starts.
pub struct Table {
    csv: Output,
    /// None beside what is written through.
    meta: Option<Output>,
}

impl Table {
    /// Opens `csv` ("-" for standard output) and FILE.meta.json beside it.
    pub fn open(csv: &Path) -> Result<Table, Trouble> {
        let csv = Output::open(csv)?;
        let beside = csv.whole().map(meta::path);
        let meta = beside.as_deref().map(Output::open).transpose()?;
        Ok(Table { csv, meta })
    }

    /// Lets `write` write the table, and puts both in their places if all went well.
    pub fn put_with(
        self,
        mut meta: Meta,
        write: impl FnOnce(&mut (dyn Write + Send)) -> Result<(), Stop>,
    ) -> Result<(), Trouble> {
        let mut hash = Hash::default();
        let csv = self.csv.fill_with(|out| {
            write(&mut Hashing {
                out,
                hash: &mut hash,
            })
        })?;
        if let Some(out) = self.meta {
            meta.csv_sha256 = Some(hash.digits());
            out.put(meta.text().map_err(failed)?.as_bytes())?;
        }
        csv.place()
    }
}

/// Hashes what goes through.
struct Hashing<'a> {
    out: &'a mut (dyn Write + Send),
    hash: &'a mut Hash,
}

impl Write for Hashing<'_> {
    fn write(&mut self, bytes: &[u8]) -> Written<usize> {
        let written = self.out.write(bytes)?;
        self.hash.update(&bytes[..written]);
        Ok(written)
    }

    fn flush(&mut self) -> Written<()> {
        self.out.flush()
    }
}
