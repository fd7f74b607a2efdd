//! Lessons: each sets the page up, asks, and answers with the figures of its own two welds.
//!
//! The built-in ones and a trainer's are files of one format, read (`read`) and held against the welds they speak
//! of (`held`) by the same code. A `lesson` by itself knows nothing of welds.

mod claim;
mod draft;
mod held;
pub(super) mod lesson;
mod read;
mod sheets;
mod wrong;

#[cfg(test)]
mod tests;

use std::path::Path;
use std::sync::OnceLock;

use arcplunge_core::case::read::why_unread;
use wrong::{Wrong, told};

pub use lesson::{Choice, Lesson};
pub use sheets::{answers, questions};

/// Largest file of lessons read \[bytes\].
const LARGEST: u64 = 1 << 20;

/// The built-in lessons.
pub fn built_in() -> &'static [Lesson] {
    static LESSONS: OnceLock<Vec<Lesson>> = OnceLock::new();
    LESSONS.get_or_init(|| {
        of_text(include_str!("built-in.toml"))
            .unwrap_or_else(|wrong| panic!("{}", told("built-in.toml", "", wrong, false)))
    })
}

/// The lessons of a trainer's file.
///
/// # Errors
/// In words with file, line and caret, when the file cannot be read, or with all that is wrong in it: an unknown key,
/// a change that makes no case, a figure that is none, a claim that its welds do not bear out.
pub fn of_file(path: &Path, color: bool) -> Result<Vec<Lesson>, String> {
    let name = path.display().to_string();
    let text = load(path).map_err(|why| format!("error: {name}: {why}"))?;
    let text = text.strip_prefix('\u{feff}').unwrap_or(&text);
    of_text(text).map_err(|wrong| told(&name, text, wrong, color))
}

fn load(path: &Path) -> Result<String, String> {
    let cannot = |e: std::io::Error| why_unread(&e);
    let about = std::fs::metadata(path).map_err(cannot)?;
    if !about.is_file() {
        return Err("expected a file of lessons (TOML)".into());
    }
    if about.len() > LARGEST {
        return Err("the file is larger than 1 MiB, too large for lessons".into());
    }
    let bytes = std::fs::read(path).map_err(cannot)?;
    String::from_utf8(bytes).map_err(|e| {
        let before = &e.as_bytes()[..e.utf8_error().valid_up_to()];
        let line = 1 + before.iter().filter(|&&b| b == b'\n').count();
        format!("line {line} is not UTF-8 text; save the file as UTF-8")
    })
}

fn of_text(text: &str) -> Result<Vec<Lesson>, Vec<Wrong>> {
    let drafts = read::read(text)?;
    let mut wrong = Vec::new();
    let mut lessons = Vec::new();
    for draft in &drafts {
        match held::hold(draft, text) {
            Ok(lesson) => lessons.push(lesson),
            Err(found) => wrong.extend(found),
        }
    }
    if wrong.is_empty() {
        Ok(lessons)
    } else {
        Err(wrong)
    }
}
