//! The place of a result: a plain file, or a pipe or device that is written through.

use std::fs::{File, OpenOptions, Permissions};
use std::io::{Error, ErrorKind};
use std::path::{Path, PathBuf};

/// Most links followed, as the system does.
const MOST_LINKS: usize = 40;

/// Where a result goes, its links followed.
pub enum Place {
    /// A pipe, a terminal or a device.
    Through(File),
    /// A plain file, and what is there already.
    Whole(PathBuf, Option<Kept>),
}

/// What a new file takes over from the one it replaces.
pub struct Kept {
    rights: Permissions,
    #[cfg(unix)]
    owner: (u32, u32),
}

impl Kept {
    /// Gives `file` mode and owner of the file before it.
    pub fn put_on(&self, file: &File) -> Result<(), Error> {
        #[cfg(unix)]
        {
            use std::os::unix::fs::{MetadataExt, fchown};
            let now = file.metadata()?;
            if self.owner != (now.uid(), now.gid()) {
                // Only the superuser gives files away; for others the file stays theirs.
                let _ = fchown(file, Some(self.owner.0), Some(self.owner.1));
            }
        }
        file.set_permissions(self.rights.clone())
    }
}

/// Finds the place of `path`. A link is followed, also one to a file that is not there yet; a folder or a file that
/// may not be written is an error.
pub fn find(path: &Path) -> Result<Place, Error> {
    let there = match std::fs::metadata(path) {
        Ok(there) => there,
        Err(e) if e.kind() == ErrorKind::NotFound => return Ok(Place::Whole(end(path)?, None)),
        Err(e) => return Err(e),
    };
    if there.is_dir() {
        return Err(ErrorKind::IsADirectory.into());
    }
    if !there.is_file() {
        return Ok(Place::Through(OpenOptions::new().write(true).open(path)?));
    }
    // A link stays a link, a file that may not be written stays as it is.
    OpenOptions::new().append(true).open(path)?;
    if there.permissions().readonly() {
        return Err(ErrorKind::PermissionDenied.into());
    }
    let kept = Kept {
        rights: there.permissions(),
        #[cfg(unix)]
        owner: {
            use std::os::unix::fs::MetadataExt;
            (there.uid(), there.gid())
        },
    };
    Ok(Place::Whole(path.canonicalize()?, Some(kept)))
}

/// Where the links of a path lead whose end is not there.
pub fn end(path: &Path) -> Result<PathBuf, Error> {
    let mut at = path.to_path_buf();
    for _ in 0..MOST_LINKS {
        let Ok(next) = std::fs::read_link(&at) else {
            return Ok(at);
        };
        at = folder(&at).join(next);
    }
    Err(Error::other("too many links"))
}

/// The folder a file is in.
pub fn folder(path: &Path) -> &Path {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    }
}
