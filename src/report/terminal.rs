//! A page of text for the terminal, 80 columns, in colour only where asked for.

use super::cautions::CAUTIONS;
use super::format::wrap;
use super::title::what;
use arcplunge_core::case::Case;
use arcplunge_core::simulation::verdict::Verdict;

/// Columns of a page.
pub const WIDTH: usize = 80;

/// A page in the making.
pub struct Sheet {
    pub text: String,
    color: bool,
}

impl Sheet {
    pub fn new(color: bool) -> Self {
        Sheet {
            text: String::new(),
            color,
        }
    }

    pub fn line(&mut self, line: impl AsRef<str>) {
        self.text.push_str(line.as_ref().trim_end());
        self.text.push('\n');
    }

    pub fn lines(&mut self, lines: impl IntoIterator<Item = impl AsRef<str>>) {
        for line in lines {
            self.line(line);
        }
    }

    /// `text` in the colour of an escape code ("1;32").
    pub fn paint(&self, text: &str, code: &str) -> String {
        if self.color {
            format!("\x1b[{code}m{text}\x1b[0m")
        } else {
            text.to_string()
        }
    }

    /// A text broken into lines, `first` before the first, `indent` blanks before the others.
    pub fn indented(&mut self, text: &str, first: &str, indent: usize) {
        for (n, part) in wrap(text, WIDTH - indent).into_iter().enumerate() {
            let blank = " ".repeat(indent);
            let lead = if n == 0 { first } else { &blank };
            self.line(format!("{lead}{part}"));
        }
    }

    /// A text broken into lines.
    pub fn paragraph(&mut self, text: &str) {
        self.indented(text, "", 0);
    }

    /// The case's title, and what is welded with what.
    pub fn heading(&mut self, case: &Case) {
        for part in wrap(&case.title, WIDTH) {
            let part = self.paint(&part, "1");
            self.line(part);
        }
        self.paragraph(&what(case));
        self.line("");
    }

    /// The dangers of the work, at the end of every page.
    pub fn cautions(&mut self) {
        self.line("");
        let head = self.paint("Before you weld", "1");
        self.line(head);
        for caution in CAUTIONS {
            self.indented(caution, "  - ", 4);
        }
    }
}

/// Colour of what is neither right nor wrong.
pub const AMBER: &str = "1;33";

/// Word and colour of a verdict.
pub fn verdict(verdict: Option<Verdict>) -> (&'static str, &'static str) {
    match verdict {
        None => ("discharge test", "1"),
        Some(v @ Verdict::Sound) => (v.name(), "1;32"),
        Some(v @ Verdict::Cold) => (v.name(), "1;34"),
        Some(v) => (v.name(), "1;31"),
    }
}
