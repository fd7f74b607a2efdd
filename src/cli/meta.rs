//! FILE.meta.json: what stands beside a table of where it comes from.

use std::fs::File;
use std::path::{Path, PathBuf};

use super::outcome::Trouble;
use arcplunge_report::provenance::{Meta, sha256_of};

/// Largest such file that is read \[bytes\].
const LARGEST: u64 = 1 << 24;

/// The file beside the table `csv`.
pub fn path(csv: &Path) -> PathBuf {
    let mut name = csv.as_os_str().to_os_string();
    name.push(".meta.json");
    name.into()
}

/// What stands beside the table `csv`.
pub fn read(csv: &Path) -> Result<Meta, Trouble> {
    use std::io::Read;
    let path = path(csv);
    let wrong = |why: &dyn std::fmt::Display| {
        Trouble::Wrong(format!(
            "error: {}: {why}\nhelp: it says which study the rows of {} belong to; without it they cannot be used",
            path.display(),
            csv.display()
        ))
    };
    let mut text = String::new();
    let file = File::open(&path).map_err(|e| wrong(&e))?;
    file.take(LARGEST)
        .read_to_string(&mut text)
        .map_err(|e| wrong(&e))?;
    Meta::read(&text).map_err(|e| wrong(&e))
}

/// What is wrong with a finished table whose bytes are not those it was written with.
pub const CHANGED: &str = "changed since it was written: not the csv_sha256 of its .meta.json";

/// Refuses a finished table that was changed.
pub fn unchanged(csv: &Path, meta: &Meta) -> Result<(), Trouble> {
    let wrong =
        |why: &dyn std::fmt::Display| Trouble::Wrong(format!("error: {}: {why}", csv.display()));
    let now = File::open(csv).and_then(sha256_of).map_err(|e| wrong(&e))?;
    if meta.csv_sha256 == Some(now) {
        Ok(())
    } else {
        Err(wrong(&CHANGED))
    }
}
