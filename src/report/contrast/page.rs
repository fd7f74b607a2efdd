//! The contrast in the terminal, 80 columns: verdicts and causes, figures, ledger moves, cautions.

use super::sentences::{cause, change, remedy, seen};
use super::tables::{SIDE_BY_SIDE, lying, moves, moves_in_words, upright};
use crate::cycle::verdict::Verdict;
use crate::report::cautions::{CAUTIONS, LIMITS, SCREEN};
use crate::report::format::wrap;
use crate::report::joints;
use crate::report::title::{deciding, what};
use crate::study::contrast::{Contrast, Fired};

const WIDTH: usize = 80;

/// The whole page. Colour only where asked for.
pub fn page(c: &Contrast, color: bool) -> String {
    let mut p = Page {
        text: String::new(),
        color,
    };
    p.heading(c);
    p.verdict(&c.base);
    p.line("");
    for v in &c.variations {
        p.verdict(v);
        p.why(c, v);
        p.line("");
    }
    let few = c.variations.len() <= SIDE_BY_SIDE;
    let figures = if few { upright(c) } else { lying(c) };
    p.lines(figures);
    p.line("");
    p.moves(c, few);
    p.joints(c);
    p.closing();
    p.text
}

struct Page {
    text: String,
    color: bool,
}

impl Page {
    fn line(&mut self, line: impl AsRef<str>) {
        self.text.push_str(line.as_ref().trim_end());
        self.text.push('\n');
    }

    fn lines(&mut self, lines: Vec<String>) {
        for line in lines {
            self.line(line);
        }
    }

    fn paint(&self, text: &str, code: &str) -> String {
        if self.color {
            format!("\x1b[{code}m{text}\x1b[0m")
        } else {
            text.to_string()
        }
    }

    fn indented(&mut self, text: &str, first: &str, indent: usize) {
        for (n, l) in wrap(text, WIDTH - indent).into_iter().enumerate() {
            let lead = if n == 0 {
                first.to_string()
            } else {
                " ".repeat(indent)
            };
            self.line(format!("{lead}{l}"));
        }
    }

    fn heading(&mut self, c: &Contrast) {
        let case = &c.base.case;
        if !case.title.is_empty() {
            for l in wrap(&case.title, WIDTH) {
                let l = self.paint(&l, "1");
                self.line(l);
            }
        }
        for l in wrap(&what(case), WIDTH) {
            self.line(l);
        }
        self.line("");
    }

    /// Name, verdict, and the figure that decides it.
    fn verdict(&mut self, s: &Fired) {
        let (word, code) = match s.shot.verdict {
            None => ("discharge test", "1"),
            Some(v @ Verdict::Sound) => (v.name(), "1;32"),
            Some(v @ Verdict::Cold) => (v.name(), "1;34"),
            Some(v) => (v.name(), "1;31"),
        };
        let name = wrap(&s.name, WIDTH - word.len() - 2);
        let last = name.len().saturating_sub(1);
        for (n, l) in name.iter().enumerate() {
            let bold = self.paint(l, "1");
            if n == last {
                let word = self.paint(word, code);
                self.line(format!("{bold}: {word}"));
            } else {
                self.line(bold);
            }
        }
        self.indented(&deciding(&s.case, &s.shot), "   ", 3);
    }

    /// What was changed, what it did, what is seen, what helps.
    fn why(&mut self, c: &Contrast, v: &Fired) {
        let about: Vec<&str> = v.faults.iter().map(|f| f.about.as_str()).collect();
        let changes: Vec<String> = v.changes.iter().map(change).collect();
        let mut put = |name: &str, text: &str| {
            if !text.is_empty() {
                self.indented(text, &format!("   {name:<8}"), 11);
            }
        };
        put("Fault", &about.join("; "));
        put("Changed", &changes.join("; "));
        put("Cause", &cause(&c.base, v));
        put("Seen", &seen(&c.base, v).join(" "));
        put("Remedy", &remedy(&c.base, v).join(" "));
    }

    /// Where the joules moved: tables for a few variations, sentences for many.
    fn moves(&mut self, c: &Contrast, few: bool) {
        if !few {
            self.line("where the joules moved");
        }
        for v in &c.variations {
            if few {
                if c.variations.len() > 1 {
                    let name = self.paint(&v.name, "1");
                    self.line(format!("   {name}"));
                }
                self.lines(moves(c, v));
                self.line("");
            } else {
                let text = format!("{}: {}", v.name, moves_in_words(c, v));
                self.indented(&text, "  ", 4);
            }
        }
        if !few {
            self.line("");
        }
    }

    /// Joints that suffer, of all variations.
    fn joints(&mut self, c: &Contrast) {
        let shots = std::iter::once(&c.base).chain(&c.variations);
        let tables: Vec<(&Fired, Vec<String>)> = shots
            .map(|s| (s, joints::rows(&s.rig, &s.shot)))
            .filter(|(_, rows)| !rows.is_empty())
            .collect();
        if tables.is_empty() {
            return;
        }
        self.line(joints::head());
        for (s, rows) in tables {
            let name = self.paint(&s.name, "1");
            self.line(format!("  {name}"));
            self.lines(rows);
        }
        self.lines(joints::foot());
        self.line("");
    }

    fn closing(&mut self) {
        let text = "Changes are in per cent of the base, those of shares in percentage points (pts). \
                    What is seen on a weld and the remedies are common practice, no source.";
        self.indented(text, "", 0);
        self.indented(SCREEN, "", 0);
        self.indented(
            &LIMITS.replace("the band shows that", "`fire` shows their band"),
            "",
            0,
        );
        self.line("");
        let head = self.paint("Before you weld", "1");
        self.line(head);
        for caution in CAUTIONS {
            self.indented(caution, "  - ", 4);
        }
    }
}
