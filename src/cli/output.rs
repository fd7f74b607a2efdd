//! Results: to standard output, or to a file that appears whole or not at all.

use std::fs::{File, OpenOptions};
use std::io::{BufWriter, Error, ErrorKind, Write};
use std::path::{Path, PathBuf};

use tempfile::NamedTempFile;

use super::outcome::Trouble;

/// Where a result goes. A file is opened before the work starts, beside its final place.
pub enum Output {
    Standard,
    /// A plain file, new or replaced whole.
    Whole {
        path: PathBuf,
        file: NamedTempFile,
    },
    /// A pipe, a terminal or a device: written straight through.
    Through {
        path: PathBuf,
        file: File,
    },
}

impl Output {
    /// Opens `path`, or standard output for "-".
    pub fn open(path: &Path) -> Result<Self, Trouble> {
        if is_standard(path) {
            return Ok(Output::Standard);
        }
        open(path).map_err(|e| trouble(path, &e))
    }

    /// Writes the whole result and puts the file in its place.
    pub fn put(self, bytes: &[u8]) -> Result<(), Trouble> {
        self.put_with(|out| out.write_all(bytes).map_err(Stop::Write))
    }

    /// Lets `write` write the result, and puts the file in its place if all went well.
    pub fn put_with(
        self,
        write: impl FnOnce(&mut (dyn Write + Send)) -> Result<(), Stop>,
    ) -> Result<(), Trouble> {
        let filled = |out: &mut (dyn Write + Send)| {
            let mut buffer = BufWriter::new(out);
            write(&mut buffer)?;
            buffer.flush().map_err(Stop::Write)
        };
        let (done, path) = match self {
            Output::Standard => (filled(&mut std::io::stdout()), None),
            Output::Through { path, mut file } => (filled(&mut file), Some(path)),
            Output::Whole { path, mut file } => {
                let done = filled(&mut file);
                let done = done.and_then(|()| {
                    let put = file.persist(&path).map(|_| ());
                    put.map_err(|e| Stop::Write(e.error))
                });
                (done, Some(path))
            }
        };
        done.map_err(|stop| match (stop, path) {
            (Stop::Trouble(trouble), _) => trouble,
            (Stop::Write(e), Some(path)) if e.kind() != ErrorKind::BrokenPipe => trouble(&path, &e),
            (Stop::Write(e), path) => match path {
                None if e.kind() != ErrorKind::BrokenPipe => standard(&e),
                _ => Trouble::ClosedPipe,
            },
        })
    }
}

/// Why writing a result stopped.
pub enum Stop {
    Write(Error),
    Trouble(Trouble),
}

fn standard(e: &Error) -> Trouble {
    Trouble::Failed(format!("error: cannot write to standard output: {e}"))
}

fn open(path: &Path) -> Result<Output, Error> {
    let Ok(there) = std::fs::metadata(path) else {
        let file = beside(path, None)?;
        return Ok(Output::Whole {
            path: path.to_path_buf(),
            file,
        });
    };
    if there.is_dir() {
        return Err(ErrorKind::IsADirectory.into());
    }
    if !there.is_file() {
        let file = OpenOptions::new().write(true).open(path)?;
        return Ok(Output::Through {
            path: path.to_path_buf(),
            file,
        });
    }
    // A link stays a link, a file that may not be written stays as it is.
    OpenOptions::new().append(true).open(path)?;
    if there.permissions().readonly() {
        return Err(ErrorKind::PermissionDenied.into());
    }
    let target = path.canonicalize()?;
    let file = beside(&target, Some(there.permissions()))?;
    Ok(Output::Whole { path: target, file })
}

/// A temporary file in the folder of `path`, with the rights of the file it will replace.
fn beside(path: &Path, rights: Option<std::fs::Permissions>) -> Result<NamedTempFile, Error> {
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
    let file = builder.tempfile_in(folder)?;
    if let Some(rights) = rights {
        file.as_file().set_permissions(rights)?;
    }
    Ok(file)
}

fn trouble(path: &Path, e: &Error) -> Trouble {
    // The system's own words: a wrapped error would name the temporary file.
    let folder = path
        .parent()
        .filter(|f| !f.as_os_str().is_empty() && !f.exists());
    if let Some(folder) = folder {
        let text = format!(
            "error: cannot write {}: there is no folder {}",
            path.display(),
            folder.display()
        );
        return Trouble::Failed(text);
    }
    let why = e.raw_os_error().map_or_else(
        || e.kind().to_string(),
        |code| Error::from_raw_os_error(code).to_string(),
    );
    Trouble::Failed(format!("error: cannot write {}: {why}", path.display()))
}

/// Whether a path means standard output.
pub fn is_standard(path: &Path) -> bool {
    path == Path::new("-")
}

/// Whether two paths mean the same file, as far as can be told before it is written.
pub fn same_file(a: &Path, b: &Path) -> bool {
    let full = |p: &Path| match (p.canonicalize(), p.parent(), p.file_name()) {
        (Ok(whole), ..) => whole,
        (Err(_), Some(folder), Some(name)) => {
            let folder = if folder.as_os_str().is_empty() {
                Path::new(".")
            } else {
                folder
            };
            folder
                .canonicalize()
                .map_or_else(|_| p.to_path_buf(), |f| f.join(name))
        }
        _ => p.to_path_buf(),
    };
    full(a) == full(b)
}

/// No two results may go to one place, and none over a file that is read: `inputs`, each with what it is.
pub fn distinct(inputs: &[(&str, &Path)], outputs: &[&Path]) -> Result<(), Trouble> {
    let wrong = |text: String| Err(Trouble::Wrong(format!("error: {text}")));
    for (n, one) in outputs.iter().enumerate() {
        let over = |(_, input): &&(&str, &Path)| !is_standard(input) && same_file(input, one);
        if let Some((what, _)) = inputs.iter().find(over) {
            return wrong(format!(
                "{} is {what}; a result would overwrite it",
                one.display()
            ));
        }
        if outputs[..n].iter().any(|other| same_file(one, other)) {
            let place = if is_standard(one) {
                "standard output (\"-\")".into()
            } else {
                one.display().to_string()
            };
            return wrong(format!("two results cannot both go to {place}"));
        }
    }
    Ok(())
}

/// Prints to standard output; a closed pipe is no error.
pub fn print(bytes: &[u8]) -> Result<(), Trouble> {
    Output::Standard.put(bytes)
}
