//! A new file that has no name until it is whole, so that nothing is left behind however the program ends.

use std::fs::File;
use std::io::{Error, Seek, Write};
use std::path::Path;

use tempfile::NamedTempFile;

use super::place::folder;

/// A file on its way to its place.
pub enum Unnamed {
    /// Without a name: it is gone with the process that wrote it.
    Bare(File),
    /// With a hidden name, where the file system has no files without one.
    Hidden(NamedTempFile),
}

impl Unnamed {
    /// A file in the folder of `path`.
    ///
    /// # Errors
    /// When the folder takes none.
    pub fn beside(path: &Path) -> Result<Self, Error> {
        match bare(folder(path)) {
            Ok(file) => Ok(Unnamed::Bare(file)),
            // The folder may still take a file with a name; if not, that error says why.
            Err(_) => Ok(Unnamed::Hidden(hidden(folder(path))?)),
        }
    }

    /// The open file.
    pub fn file(&self) -> &File {
        match self {
            Unnamed::Bare(file) => file,
            Unnamed::Hidden(file) => file.as_file(),
        }
    }

    /// Puts the file in its place, over what is there.
    ///
    /// # Errors
    /// When the folder does not take it; what is there then stays.
    pub fn place(self, path: &Path) -> Result<(), Error> {
        let hidden = match self {
            Unnamed::Hidden(file) => file,
            Unnamed::Bare(file) => match linked(&file, path) {
                Ok(()) => return Ok(()),
                Err(_) => copied(file, path)?,
            },
        };
        hidden.persist(path).map(|_| ()).map_err(|e| e.error)
    }
}

impl Write for Unnamed {
    fn write(&mut self, bytes: &[u8]) -> Result<usize, Error> {
        match self {
            Unnamed::Bare(file) => file.write(bytes),
            Unnamed::Hidden(file) => file.write(bytes),
        }
    }

    fn flush(&mut self) -> Result<(), Error> {
        match self {
            Unnamed::Bare(file) => file.flush(),
            Unnamed::Hidden(file) => file.flush(),
        }
    }
}

#[cfg(target_os = "linux")]
fn bare(folder: &Path) -> Result<File, Error> {
    use std::os::unix::fs::OpenOptionsExt;
    let flags = i32::try_from(rustix::fs::OFlags::TMPFILE.bits()).map_err(Error::other)?;
    // The rights an ordinary new file would get; the umask still takes its share.
    let mut new = std::fs::OpenOptions::new();
    new.read(true)
        .write(true)
        .mode(0o666)
        .custom_flags(flags)
        .open(folder)
}

#[cfg(not(target_os = "linux"))]
fn bare(_: &Path) -> Result<File, Error> {
    Err(std::io::ErrorKind::Unsupported.into())
}

/// Gives the file its name: at once where there is none of that name, else over it by way of a hidden one.
#[cfg(target_os = "linux")]
fn linked(file: &File, path: &Path) -> Result<(), Error> {
    use rustix::fs::{AtFlags, CWD, linkat};
    use std::os::fd::AsRawFd;
    let open = format!("/proc/self/fd/{}", file.as_raw_fd());
    let link = |name: &Path| linkat(CWD, &open, CWD, name, AtFlags::SYMLINK_FOLLOW);
    if path.symlink_metadata().is_err() {
        return Ok(link(path)?);
    }
    let hidden = folder(path).join(format!(".arcplunge-{}", std::process::id()));
    // What stands there is of a process that is gone: the number of a living one is its own.
    let _ = std::fs::remove_file(&hidden);
    link(&hidden)?;
    std::fs::rename(&hidden, path).inspect_err(|_| drop(std::fs::remove_file(&hidden)))
}

#[cfg(not(target_os = "linux"))]
fn linked(_: &File, _: &Path) -> Result<(), Error> {
    Err(std::io::ErrorKind::Unsupported.into())
}

/// The file's bytes in one with a hidden name, where none can be given to it.
fn copied(mut file: File, path: &Path) -> Result<NamedTempFile, Error> {
    let mut copy = hidden(folder(path))?;
    file.rewind()?;
    std::io::copy(&mut file, &mut copy)?;
    copy.as_file()
        .set_permissions(file.metadata()?.permissions())?;
    Ok(copy)
}

fn hidden(folder: &Path) -> Result<NamedTempFile, Error> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(".arcplunge-");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        builder.permissions(std::fs::Permissions::from_mode(0o666));
    }
    builder.tempfile_in(folder)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(folder: &Path) -> Vec<String> {
        let all = std::fs::read_dir(folder).unwrap();
        let mut all: Vec<String> = all
            .map(|one| one.unwrap().file_name().into_string().unwrap())
            .collect();
        all.sort();
        all
    }

    #[test]
    fn a_file_has_no_name_before_it_is_whole() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a");
        for text in ["first", "second"] {
            let mut file = Unnamed::beside(&path).unwrap();
            file.write_all(text.as_bytes()).unwrap();
            if matches!(file, Unnamed::Bare(_)) {
                assert!(
                    !names(folder.path())
                        .iter()
                        .any(|name| name.starts_with('.'))
                );
            }
            file.place(&path).unwrap();
            assert_eq!(std::fs::read_to_string(&path).unwrap(), text);
            assert_eq!(names(folder.path()), ["a"]);
        }
        drop(Unnamed::beside(&path).unwrap());
        assert_eq!(names(folder.path()), ["a"]);
    }

    #[test]
    fn a_file_that_takes_no_name_is_copied() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a");
        let mut file = tempfile::tempfile_in(folder.path()).unwrap();
        file.write_all(b"text").unwrap();
        copied(file, &path).unwrap().persist(&path).unwrap();
        assert_eq!(std::fs::read_to_string(&path).unwrap(), "text");
        assert_eq!(names(folder.path()), ["a"]);
    }
}
