//! Results: to standard output, or to a file that appears whole or not at all.

use std::fs::File;
use std::io::{BufWriter, Error, ErrorKind, Write};
use std::path::{Path, PathBuf};

use super::outcome::Trouble;
use super::place::{Place, end, find, folder};
use super::unnamed::Unnamed;

/// Where a result goes. A file is opened before the work starts, beside its final place.
pub enum Output {
    Standard,
    /// A plain file, new or replaced whole.
    Whole {
        path: PathBuf,
        file: Unnamed,
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

    /// Writes the whole result; what is returned puts the file in its place.
    pub fn fill(self, bytes: &[u8]) -> Result<Filled, Trouble> {
        self.fill_with(|out| out.write_all(bytes).map_err(Stop::Write))
    }

    /// Lets `write` write the result, and puts the file in its place if all went well.
    pub fn put_with(
        self,
        write: impl FnOnce(&mut (dyn Write + Send)) -> Result<(), Stop>,
    ) -> Result<(), Trouble> {
        self.fill_with(write)?.place()
    }

    /// The plain file that it will be, its links followed; `None` of what is written through.
    pub fn whole(&self) -> Option<&Path> {
        match self {
            Output::Whole { path, .. } => Some(path),
            Output::Standard | Output::Through { .. } => None,
        }
    }

    /// Lets `write` write the result; what is returned puts the file in its place.
    pub fn fill_with(
        self,
        write: impl FnOnce(&mut (dyn Write + Send)) -> Result<(), Stop>,
    ) -> Result<Filled, Trouble> {
        let filled = |out: &mut (dyn Write + Send)| {
            let mut buffer = BufWriter::new(out);
            write(&mut buffer)?;
            buffer.flush().map_err(Stop::Write)
        };
        let (done, path) = match self {
            Output::Standard => (filled(&mut std::io::stdout()).map(|()| None), None),
            Output::Through { path, mut file } => (filled(&mut file).map(|()| None), Some(path)),
            Output::Whole { path, mut file } => {
                let done = filled(&mut file).map(|()| Some((file, path.clone())));
                (done, Some(path))
            }
        };
        done.map(Filled).map_err(|stop| match (stop, path) {
            (Stop::Trouble(trouble), _) => trouble,
            (Stop::Write(e), Some(path)) if e.kind() != ErrorKind::BrokenPipe => trouble(&path, &e),
            (Stop::Write(e), path) => match path {
                None if e.kind() != ErrorKind::BrokenPipe => standard(&e),
                _ => Trouble::ClosedPipe,
            },
        })
    }
}

/// A result that is written, and not yet in its place.
pub struct Filled(Option<(Unnamed, PathBuf)>);

impl Filled {
    /// Puts the file in its place.
    pub fn place(self) -> Result<(), Trouble> {
        match self.0 {
            Some((file, path)) => file.place(&path).map_err(|e| trouble(&path, &e)),
            None => Ok(()),
        }
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
    Ok(match find(path)? {
        Place::Through(file) => Output::Through {
            path: path.to_path_buf(),
            file,
        },
        Place::Whole(path, kept) => {
            let file = Unnamed::beside(&path)?;
            if let Some(kept) = kept {
                kept.put_on(file.file())?;
            }
            Output::Whole { path, file }
        }
    })
}

/// That `path` cannot be written, and why.
pub fn trouble(path: &Path, e: &Error) -> Trouble {
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
    let full = |p: &Path| {
        let p = end(p).unwrap_or_else(|_| p.to_path_buf());
        match (p.canonicalize(), p.file_name()) {
            (Ok(whole), _) => whole,
            (Err(_), Some(name)) => match folder(&p).canonicalize() {
                Ok(folder) => folder.join(name),
                Err(_) => p,
            },
            _ => p,
        }
    };
    // Two names of one file are told by its device and inode.
    same_inode(a, b) || full(a) == full(b)
}

#[cfg(unix)]
fn same_inode(a: &Path, b: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    // By metadata alone: opening a pipe would wait for its other end.
    let id = |path: &Path| std::fs::metadata(path).map(|m| (m.dev(), m.ino()));
    matches!((id(a), id(b)), (Ok(a), Ok(b)) if a == b)
}

#[cfg(not(unix))]
fn same_inode(a: &Path, b: &Path) -> bool {
    ::same_file::is_same_file(a, b).unwrap_or(false)
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
