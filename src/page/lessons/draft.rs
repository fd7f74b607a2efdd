//! A lesson as its file has it: every text with its place.

use std::ops::Range;

/// A text and the bytes of the file it stands in, quotes included.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Words {
    pub text: String,
    pub span: Range<usize>,
}

/// What a class may say.
#[derive(Debug, Clone, PartialEq)]
pub struct ChoiceDraft {
    pub say: Words,
    pub right: bool,
    pub reason: Words,
}

/// A lesson that has not met its welds yet.
#[derive(Debug, Clone, PartialEq)]
pub struct Draft {
    /// The head of its table.
    pub head: Range<usize>,
    pub title: Words,
    pub say: Words,
    pub base: Vec<Words>,
    pub change: Vec<Words>,
    pub faults: Vec<Words>,
    pub question: Words,
    pub choices: Vec<ChoiceDraft>,
    pub answer: Words,
    pub look: Words,
    pub at: Words,
    pub control: Option<Words>,
    pub claims: Vec<Words>,
}

impl Words {
    /// Bytes of the file for bytes of the text; all of it where escapes shift them.
    pub fn part(&self, file: &str, part: Range<usize>) -> Range<usize> {
        let raw = file.get(self.span.clone()).unwrap_or("");
        match raw.find(&self.text) {
            Some(at) if !self.text.is_empty() => {
                let start = self.span.start + at;
                start + part.start..start + part.end
            }
            _ => self.span.clone(),
        }
    }
}
