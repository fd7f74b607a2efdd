//! Results: to standard output, or to a file that appears whole or not at all.

use std::io::{ErrorKind, Write};
use std::path::{Path, PathBuf};

use tempfile::NamedTempFile;

use super::Trouble;

/// Where a result goes. A file is created before the work starts, beside its final place.
pub enum Output {
    Standard,
    File { path: PathBuf, file: NamedTempFile },
}

impl Output {
    /// Opens `path`, or standard output for "-".
    pub fn open(path: &Path) -> Result<Self, Trouble> {
        if is_standard(path) {
            return Ok(Output::Standard);
        }
        let fail = |e: std::io::Error| {
            Trouble::Failed(format!("error: cannot write {}: {e}", path.display()))
        };
        if path.is_dir() {
            return Err(fail(ErrorKind::IsADirectory.into()));
        }
        let folder = match path.parent() {
            Some(p) if !p.as_os_str().is_empty() => p,
            _ => Path::new("."),
        };
        let mut builder = tempfile::Builder::new();
        builder.prefix(".arcplunge-");
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt;
            // The rights an ordinary new file would get; the umask still takes its share.
            builder.permissions(std::fs::Permissions::from_mode(0o666));
        }
        let file = builder.tempfile_in(folder).map_err(fail)?;
        Ok(Output::File {
            path: path.to_path_buf(),
            file,
        })
    }

    /// Writes the whole result and puts the file in its place.
    pub fn put(self, bytes: &[u8]) -> Result<(), Trouble> {
        match self {
            Output::Standard => print(bytes),
            Output::File { path, mut file } => {
                let written = file.write_all(bytes).and_then(|()| file.flush());
                written
                    .and_then(|()| file.persist(&path).map(|_| ()).map_err(|e| e.error))
                    .map_err(|e| {
                        Trouble::Failed(format!("error: cannot write {}: {e}", path.display()))
                    })
            }
        }
    }
}

/// Whether a path means standard output.
pub fn is_standard(path: &Path) -> bool {
    path == Path::new("-")
}

/// Prints to standard output; a closed pipe is no error.
pub fn print(bytes: &[u8]) -> Result<(), Trouble> {
    let mut out = std::io::stdout().lock();
    match out.write_all(bytes).and_then(|()| out.flush()) {
        Ok(()) => Ok(()),
        Err(e) if e.kind() == ErrorKind::BrokenPipe => Err(Trouble::ClosedPipe),
        Err(e) => Err(Trouble::Failed(format!(
            "error: cannot write to standard output: {e}"
        ))),
    }
}
