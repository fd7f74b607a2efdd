//! The contrast in the terminal, 80 columns: verdicts and causes, figures, ledger moves, cautions.

use super::own_remarks;
use super::remedies::remedy;
use super::reserve::reserve;
use super::sentences::{cause, change, seen};
use super::tables::{SIDE_BY_SIDE, lying, moves, moves_in_words, upright};
use crate::borderline;
use crate::cautions::{LIMITS, SCREEN};
use crate::format::wrap;
use crate::joints;
use crate::pairs::remarks_of;
use crate::terminal::{AMBER, Sheet, WIDTH, verdict};
use crate::title::deciding;
use arcplunge_core::study::contrast::{Contrast, Fired};

/// The whole page. Colour only where asked for.
pub fn page(c: &Contrast, color: bool) -> String {
    let mut p = Page(Sheet::new(color));
    p.0.heading(&c.base.case);
    p.verdict(None, &c.base);
    p.remarks(&remarks_of(&c.base.case));
    p.0.line("");
    for v in &c.variations {
        p.verdict(Some(&c.base), v);
        p.remarks(&own_remarks(c, v));
        p.why(c, v);
        p.0.line("");
    }
    let few = c.variations.len() <= SIDE_BY_SIDE;
    let figures = if few { upright(c) } else { lying(c) };
    p.0.lines(figures);
    p.0.line("");
    p.moves(c, few);
    p.joints(c);
    p.closing();
    p.0.text
}

struct Page(Sheet);

impl Page {
    /// Name, verdict, the figure that decides it, and what is left of it.
    fn verdict(&mut self, base: Option<&Fired>, s: &Fired) {
        let (mut word, mut code) = verdict(s.shot.verdict);
        let unsure = borderline::short(s.band.as_ref()).map(|unsure| format!("{word}, {unsure}"));
        if let Some(unsure) = &unsure {
            (word, code) = (unsure, AMBER);
        }
        let name = wrap(&s.name, WIDTH.saturating_sub(word.len() + 2).max(20));
        let last = name.len().saturating_sub(1);
        for (n, l) in name.iter().enumerate() {
            let bold = self.0.paint(l, "1");
            if n == last {
                let wide = l.chars().count() + word.chars().count() + 2;
                let word = self.0.paint(word, code);
                if wide > WIDTH {
                    self.0.line(format!("{bold}:"));
                    self.0.line(format!("   {word}"));
                } else {
                    self.0.line(format!("{bold}: {word}"));
                }
            } else {
                self.0.line(bold);
            }
        }
        self.0.indented(&deciding(&s.case, &s.shot), "   ", 3);
        if let Some(reserve) = reserve(base, s).filter(|_| base.is_some()) {
            let code = if reserve.fell { AMBER } else { "0" };
            let words = self.0.paint(&reserve.words, code);
            self.0.line(format!("   {words}"));
        }
    }

    /// What is not judged of the metals.
    fn remarks(&mut self, remarks: &[&str]) {
        for remark in remarks {
            self.0.indented(remark, "   ", 3);
        }
    }

    /// What was changed, what it did, what is seen, what helps.
    fn why(&mut self, c: &Contrast, v: &Fired) {
        let about: Vec<&str> = v.faults.iter().map(|f| f.about.as_str()).collect();
        let changes: Vec<String> = v.changes.iter().map(change).collect();
        let mut put = |name: &str, text: &str| {
            if !text.is_empty() {
                self.0.indented(text, &format!("   {name:<8}"), 11);
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
            self.0.line("where the joules moved");
        }
        for v in &c.variations {
            if few {
                if c.variations.len() > 1 {
                    let name = self.0.paint(&v.name, "1");
                    self.0.line(format!("   {name}"));
                }
                self.0.lines(moves(c, v));
                self.0.line("");
            } else {
                let text = format!("{}: {}", v.name, moves_in_words(c, v));
                self.0.indented(&text, "  ", 4);
            }
        }
        if !few {
            self.0.line("");
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
        self.0.line(joints::head());
        for (s, rows) in tables {
            let name = self.0.paint(&s.name, "1");
            self.0.line(format!("  {name}"));
            self.0.lines(rows);
        }
        self.0.lines(joints::foot());
        self.0.line("");
    }

    fn closing(&mut self) {
        let text = "Changes are in per cent of the base, those of shares in percentage points (pts). \
                    What is seen on a weld and the remedies are common practice, no source.";
        self.0.paragraph(text);
        self.0.paragraph(SCREEN);
        self.0.indented(
            &LIMITS.replace("the band shows that", "a borderline verdict shows that"),
            "",
            0,
        );
        self.0.cautions();
    }
}
