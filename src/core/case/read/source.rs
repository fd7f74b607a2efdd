//! A case file from the disk, guarded against anything that is not a case file.

use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

use crate::case::diagnose::{Fault, LARGEST_FILE};

/// The text of a case file.
pub(super) fn load(path: &Path) -> Result<String, Fault> {
    let about = std::fs::metadata(path).map_err(cannot)?;
    if about.is_dir() {
        return Err(Fault::Directory);
    }
    if about.len() > LARGEST_FILE {
        return Err(Fault::TooLarge { size: about.len() });
    }
    bytes(File::open(path).map_err(cannot)?)
}

/// The text of whatever can be read, such as standard input.
pub(super) fn bytes(source: impl Read) -> Result<String, Fault> {
    let mut bytes = Vec::new();
    // A device or a pipe tells no size beforehand.
    let mut limited = source.take(LARGEST_FILE + 1);
    limited.read_to_end(&mut bytes).map_err(cannot)?;
    if bytes.len() as u64 > LARGEST_FILE {
        return Err(Fault::Endless);
    }
    text(bytes)
}

fn text(bytes: Vec<u8>) -> Result<String, Fault> {
    let line = |at: usize, bytes: &[u8]| 1 + bytes[..at].iter().filter(|&&b| b == b'\n').count();
    if let Some(at) = bytes.iter().position(|&b| b == 0) {
        // UTF-16 is full of zero bytes but is a text, if the wrong one.
        let line = line(at, &bytes);
        let utf16 = bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]);
        return Err(if utf16 {
            Fault::NotUtf8 { line }
        } else {
            Fault::Binary { line }
        });
    }
    String::from_utf8(bytes).map_err(|error| {
        let at = error.utf8_error().valid_up_to();
        let line = line(at, error.as_bytes());
        Fault::NotUtf8 { line }
    })
}

fn cannot(error: io::Error) -> Fault {
    Fault::CannotRead {
        reason: why_unread(&error),
    }
}

/// Why a file cannot be read, in words.
pub fn why_unread(error: &io::Error) -> String {
    match error.kind() {
        io::ErrorKind::NotFound => "there is no such file".to_string(),
        io::ErrorKind::PermissionDenied => "permission denied".to_string(),
        _ => error.to_string(),
    }
}
