//! FILE.part, the rows of an unfinished run: one process at a time writes it.

use std::fs::{File, OpenOptions};
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

use fs4::{FileExt, TryLockError};

use super::outcome::Trouble;
use super::output::trouble;

/// The file that holds the rows of an unfinished run.
pub fn part(path: &Path) -> PathBuf {
    let mut name = path.as_os_str().to_os_string();
    name.push(".part");
    name.into()
}

/// Opens a plain file that is there and locks it for this process; `None` if there is none.
pub fn claim(path: &Path) -> Result<Option<File>, Trouble> {
    match std::fs::symlink_metadata(path) {
        Err(e) if e.kind() == ErrorKind::NotFound => return Ok(None),
        Err(e) => return Err(trouble(path, &e)),
        // A link or a pipe set there by others leads the rows who knows where.
        Ok(there) if !there.is_file() => {
            return Err(Trouble::Failed(format!(
                "error: cannot write {}: it is no plain file",
                path.display()
            )));
        }
        Ok(_) => {}
    }
    let file = OpenOptions::new().read(true).write(true).open(path);
    locked(path, file.map_err(|e| trouble(path, &e))?).map(Some)
}

/// Makes the file, which must not be there, and locks it.
pub fn create(path: &Path) -> Result<File, Trouble> {
    let mut new = OpenOptions::new();
    match new.read(true).write(true).create_new(true).open(path) {
        Ok(file) => locked(path, file),
        Err(e) if e.kind() == ErrorKind::AlreadyExists => Err(taken(path)),
        Err(e) => Err(trouble(path, &e)),
    }
}

fn locked(path: &Path, file: File) -> Result<File, Trouble> {
    match FileExt::try_lock(&file) {
        Ok(()) => {}
        Err(TryLockError::WouldBlock) => return Err(taken(path)),
        Err(TryLockError::Error(e)) => return Err(trouble(path, &e)),
    }
    // Between opening and locking, the other process may have finished it and moved it away.
    let locked = file.try_clone().and_then(same_file::Handle::from_file);
    let there = same_file::Handle::from_path(path);
    match (locked, there) {
        (Ok(locked), Ok(there)) if locked == there => Ok(file),
        _ => Err(taken(path)),
    }
}

fn taken(path: &Path) -> Trouble {
    Trouble::Failed(format!(
        "error: cannot write {}: another process writes it",
        path.display()
    ))
}
