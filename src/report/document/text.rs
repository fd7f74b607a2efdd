//! A document for a terminal: 80 columns, in colour only where asked for.

use super::block::{Block, Blocks, Document, Look};
use super::layout;
use super::table::{Cell, Row, Table};
use super::tone::{Medium, Tone};
use crate::format::{marked, wrap};

/// Columns of a terminal.
pub const WIDTH: usize = 80;

/// Columns of what a row says instead of cells, and of its name.
const SAID: usize = 16;
const NAME: usize = 8;

impl Document {
    /// The document as text, in brief.
    pub fn text(&self, color: bool) -> String {
        self.set(color, Medium::Brief)
    }

    /// The same with all that is only said where it is asked for.
    pub fn full_text(&self, color: bool) -> String {
        self.set(color, Medium::Full)
    }

    fn set(&self, color: bool, extent: Medium) -> String {
        let mut page = Page {
            text: String::new(),
            color,
            extent,
        };
        page.blocks(&self.blocks);
        marked(&page.text)
    }
}

struct Page {
    text: String,
    color: bool,
    /// In brief or in full.
    extent: Medium,
}

impl Page {
    fn blocks(&mut self, blocks: &Blocks) {
        for block in &blocks.0 {
            self.block(block);
        }
    }

    fn block(&mut self, block: &Block) {
        match block {
            Block::Title(own, what) => {
                for part in wrap(own, WIDTH) {
                    self.line(self.paint(&part, Tone::Strong));
                }
                self.hang(what, "", 0);
                self.line("");
            }
            Block::Heading(rank, words, None) => {
                let indent = if *rank < 4 { 0 } else { 3 };
                let words = self.paint(words, Tone::Strong);
                self.line(format!("{:indent$}{words}", ""));
            }
            Block::Heading(_, words, Some((word, tone))) => self.named(words, word, *tone),
            Block::Paragraph(Look::Line, words) => self.line(words),
            Block::Paragraph(Look::Hanging, words) => self.hang(words, "  ", 4),
            Block::Paragraph(look, words) => {
                let indent = match look {
                    Look::Inset | Look::Amber | Look::Note => 3,
                    _ => 0,
                };
                let tone = match look {
                    Look::Amber => Tone::Amber,
                    _ => Tone::Plain,
                };
                for part in wrap(words, WIDTH - indent) {
                    self.line(format!("{:indent$}{}", "", self.paint(&part, tone)));
                }
            }
            Block::Verdict {
                word: (word, tone),
                column,
                sentence,
            } => self.verdict(word, *tone, *column, sentence),
            Block::List(points) => {
                for point in points {
                    self.hang(point, "  - ", 4);
                }
            }
            Block::Table(table) => self.table(table),
            Block::Pairs([indent, column], pairs) => {
                let width = column - indent;
                for ([name, _], words) in pairs {
                    self.hang(words, &format!("{:indent$}{name:<width$}", ""), *column);
                }
            }
            Block::Art(lines) => lines.iter().for_each(|line| self.line(line)),
            Block::Group(_, _, blocks) | Block::Only(Medium::Text, blocks) => self.blocks(blocks),
            Block::Only(medium, blocks) if *medium == self.extent => self.blocks(blocks),
            Block::Gap => self.line(""),
            Block::Picture(_) | Block::Form(..) | Block::Folded(..) | Block::Only(..) => {}
        }
    }

    /// A name and the word beside it, on the next line where there is no room.
    fn named(&mut self, name: &str, word: &str, tone: Tone) {
        let parts = wrap(name, WIDTH.saturating_sub(word.len() + 2).max(20));
        let word_is = self.paint(word, tone);
        for (n, part) in parts.iter().enumerate() {
            let bold = self.paint(part, Tone::Strong);
            if n + 1 < parts.len() {
                self.line(bold);
            } else if part.chars().count() + word.chars().count() + 2 > WIDTH {
                self.line(format!("{bold}:"));
                self.line(format!("   {word_is}"));
            } else {
                self.line(format!("{bold}: {word_is}"));
            }
        }
    }

    /// A word, and beside it, or below it where it is long, the sentence.
    fn verdict(&mut self, word: &str, tone: Tone, column: usize, sentence: &str) {
        let painted = self.paint(word, tone);
        let length = word.chars().count();
        if length + 2 > column {
            self.line(painted);
            self.hang(sentence, &" ".repeat(column), column);
        } else {
            let gap = " ".repeat(column - length);
            self.hang(sentence, &format!("{painted}{gap}"), column);
        }
    }

    fn table(&mut self, table: &Table) {
        if table.head.iter().any(|cell| !cell.text.is_empty()) {
            self.cells(&table.layout, &table.head);
        }
        for row in &table.rows {
            match row {
                Row::Cells(cells) | Row::Only(Medium::Text, cells) => {
                    self.cells(&table.layout, cells);
                }
                Row::Only(..) => {}
                Row::Group(indent, words) => {
                    self.line(format!("{:indent$}{}", "", self.paint(words, Tone::Strong)));
                }
                Row::Said(name, word, words) => {
                    self.hang(words, &format!("   {name:<NAME$}{word}: "), SAID);
                }
                Row::Remark(words) => self.hang(words, "   ", 3),
            }
        }
    }

    fn cells(&mut self, layout: &str, cells: &[Cell]) {
        let paint = |cell: &Cell, text: &str| self.paint(text, cell.tone);
        self.line(layout::set(layout, cells, paint));
    }

    /// Words broken into lines, `first` before the first, `indent` blanks before the others.
    fn hang(&mut self, words: &str, first: &str, indent: usize) {
        for (n, part) in wrap(words, WIDTH - indent).into_iter().enumerate() {
            if n == 0 {
                self.line(format!("{first}{part}"));
            } else {
                self.line(format!("{:indent$}{part}", ""));
            }
        }
    }

    fn line(&mut self, line: impl AsRef<str>) {
        self.text.push_str(line.as_ref().trim_end());
        self.text.push('\n');
    }

    fn paint(&self, text: &str, tone: Tone) -> String {
        let code = match tone {
            Tone::Plain => "",
            Tone::Strong => "1",
            Tone::Good => "1;32",
            Tone::Cold => "1;34",
            Tone::Wrong => "1;31",
            Tone::Amber => "1;33",
        };
        if self.color && !code.is_empty() {
            format!("\x1b[{code}m{text}\x1b[0m")
        } else {
            text.to_string()
        }
    }
}
