//! Lessons: each sets the page up, asks, and answers with the figures of its own two welds.
//!
//! The built-in ones and a trainer's are files of one format, read (`read`) and held against the welds they speak
//! of (`held`) by the same code.

mod claim;
mod draft;
mod held;
mod read;
mod sheets;

#[cfg(test)]
mod tests;

use std::path::Path;
use std::sync::OnceLock;

use serde::Serialize;

use arcplunge_core::case::diagnose::{Marked, Place, render};

pub use sheets::{answers, questions};

/// A lesson that has been held against its welds: the figures stand in its words.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Lesson {
    /// Heading above it.
    pub title: String,
    /// What is set up, in a sentence or two.
    pub say: String,
    /// The weld it begins with, as overrides of the demonstration case; it is pinned as the base.
    pub base: Vec<String>,
    /// What is changed to answer the question, as overrides.
    pub change: Vec<String>,
    /// Names of the faults put on to answer it.
    pub faults: Vec<String>,
    /// The question.
    pub question: String,
    /// What a class may say.
    pub choices: Vec<Choice>,
    /// The answer.
    pub answer: String,
    /// Where to look, or what to try next.
    pub look: String,
    /// Event at which the replay stands once it has played.
    pub at: String,
    /// Key of the control shown beside the answer, as the page has it; none where nothing is to be tried.
    pub control: Option<String>,
}

/// What a class may say to a question.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Choice {
    /// The words.
    pub say: String,
    /// Whether it is the right one; one of each lesson is.
    pub right: bool,
    /// Why it is right or wrong.
    pub reason: String,
}

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
    let cannot = |e: std::io::Error| match e.kind() {
        std::io::ErrorKind::NotFound => "there is no such file".to_string(),
        _ => e.to_string(),
    };
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

/// What is wrong in a file of lessons, and where.
#[derive(Debug, Clone, PartialEq)]
struct Wrong {
    /// Bytes of the file.
    span: std::ops::Range<usize>,
    /// What, as a sentence.
    title: String,
    /// What was probably meant.
    label: Option<String>,
    /// What could be done about it.
    help: Option<String>,
}

impl Wrong {
    fn new(span: std::ops::Range<usize>, title: impl Into<String>) -> Wrong {
        Wrong {
            span,
            title: title.into(),
            label: None,
            help: None,
        }
    }

    /// With the known name that is nearest to a wrong one.
    fn near(self, name: &str, known: impl IntoIterator<Item = impl AsRef<str>>) -> Wrong {
        let known: Vec<String> = known.into_iter().map(|k| k.as_ref().to_string()).collect();
        let near = arcplunge_core::case::keys::nearest(name, known.iter().map(String::as_str));
        let label = near.map(|near| format!("did you mean `{near}`?"));
        Wrong { label, ..self }
    }

    fn with_help(self, help: impl Into<String>) -> Wrong {
        let help = Some(help.into());
        Wrong { help, ..self }
    }
}

/// All that is wrong, for a terminal.
fn told(name: &str, text: &str, wrong: Vec<Wrong>, color: bool) -> String {
    let marked = |w: Wrong| Marked {
        title: w.title,
        place: Some(Place {
            name: name.to_string(),
            text: text.to_string(),
            span: w.span,
        }),
        label: w.label,
        help: w.help,
    };
    let mut wrong = wrong;
    wrong.sort_by_key(|w| w.span.start);
    render(wrong.into_iter().map(marked), color)
}
