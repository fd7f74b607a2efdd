//! The parts of a document.

use super::inline::titled;
use super::table::Table;
use super::tone::{Medium, Tone};
use crate::title::what;
use arcplunge_core::case::Case;

/// What a command has to say.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Document {
    /// What a browser calls it.
    pub title: String,
    /// In the order of reading.
    pub blocks: Blocks,
}

/// How a paragraph is set.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Look {
    /// Over the whole width.
    Body,
    /// Below what it belongs to.
    Inset,
    /// The same, to be watched.
    Amber,
    /// Beneath a title.
    Soft,
    /// At the foot.
    Small,
    /// Small, below what it belongs to.
    Note,
    /// A name and what is said of it, one of several.
    Hanging,
    /// As it stands, not broken into lines.
    Line,
}

/// A part of a document.
#[derive(Debug, Clone, PartialEq)]
pub enum Block {
    /// The document's own title, if it has one, and what it is about.
    Title(String, String),
    /// A heading of a rank from 1, and what stands beside it; one of the fourth rank is indented on a terminal.
    Heading(u8, String, Option<(String, Tone)>),
    /// Words in a row.
    Paragraph(Look, String),
    /// A word that judges, and the sentence in a column beside it.
    Verdict {
        /// The word and its tone.
        word: (String, Tone),
        /// Column of the sentence on a terminal.
        column: usize,
        /// Why.
        sentence: String,
    },
    /// Points, each with a dash or dot.
    List(Vec<String>),
    /// Rows and columns.
    Table(Table),
    /// Names, as a terminal and as paper has them, and what each stands for; on a terminal names and words
    /// stand at these columns.
    Pairs([usize; 2], Vec<([&'static str; 2], String)>),
    /// Lines in which every blank counts.
    Art(Vec<String>),
    /// A drawing as SVG; paper only.
    Picture(String),
    /// Lines to be filled in by hand under a caption; paper only.
    Form(&'static str, Vec<&'static str>),
    /// Keys and values, folded under a summary; paper only.
    Folded(String, Vec<(String, String)>),
    /// Blocks that belong together on paper: element, class, content.
    Group(&'static str, &'static str, Blocks),
    /// Blocks of one medium.
    Only(Medium, Blocks),
    /// An empty line on a terminal.
    Gap,
}

/// Blocks in the order of reading.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Blocks(pub Vec<Block>);

impl Document {
    /// A document about a case, under its title.
    pub fn of(case: &Case) -> Document {
        let mut document = Document::about(case);
        document.blocks.title(case);
        document
    }

    /// An empty document about a case.
    pub fn about(case: &Case) -> Document {
        Document {
            title: titled(&case.title, &what(case)),
            blocks: Blocks::default(),
        }
    }
}

impl Blocks {
    /// Adds a case's title, and what is welded with what.
    pub fn title(&mut self, case: &Case) {
        self.0.push(Block::Title(case.title.clone(), what(case)));
    }

    /// Adds a paragraph over the whole width.
    pub fn say(&mut self, words: impl Into<String>) {
        self.paragraph(Look::Body, words);
    }

    /// Adds a small remark to what stands above it.
    pub fn note(&mut self, words: impl Into<String>) {
        self.paragraph(Look::Note, words);
    }

    /// Adds a line that is not broken.
    pub fn line(&mut self, words: impl Into<String>) {
        self.paragraph(Look::Line, words);
    }

    /// Adds a paragraph.
    pub fn paragraph(&mut self, look: Look, words: impl Into<String>) {
        self.0.push(Block::Paragraph(look, words.into()));
    }

    /// Adds a heading of a rank from 1.
    pub fn heading(&mut self, rank: u8, words: impl Into<String>) {
        self.0.push(Block::Heading(rank, words.into(), None));
    }

    /// Adds a heading of the third rank with what stands beside it.
    pub fn named(&mut self, words: impl Into<String>, beside: (String, Tone)) {
        self.0.push(Block::Heading(3, words.into(), Some(beside)));
    }

    /// Adds a word that judges, and the sentence in a column beside it.
    pub fn verdict(&mut self, word: (String, Tone), column: usize, sentence: String) {
        self.0.push(Block::Verdict {
            word,
            column,
            sentence,
        });
    }

    /// Adds lines in which every blank counts.
    pub fn art(&mut self, lines: Vec<String>) {
        self.0.push(Block::Art(lines));
    }

    /// Adds points.
    pub fn list(&mut self, points: impl IntoIterator<Item = impl Into<String>>) {
        let points = points.into_iter().map(Into::into).collect();
        self.0.push(Block::List(points));
    }

    /// Adds a table.
    pub fn table(&mut self, table: Table) {
        self.0.push(Block::Table(table));
    }

    /// Adds an empty line on a terminal.
    pub fn gap(&mut self) {
        self.0.push(Block::Gap);
    }

    /// Adds what belongs together on paper.
    pub fn group(
        &mut self,
        element: &'static str,
        class: &'static str,
        fill: impl FnOnce(&mut Blocks),
    ) {
        self.0
            .push(Block::Group(element, class, Blocks::filled(fill)));
    }

    /// Adds what a terminal shows in brief, and what it shows where all is asked for.
    pub fn in_brief_or_full(
        &mut self,
        brief: impl FnOnce(&mut Blocks),
        full: impl FnOnce(&mut Blocks),
    ) {
        self.0
            .push(Block::Only(Medium::Brief, Blocks::filled(brief)));
        self.0.push(Block::Only(Medium::Full, Blocks::filled(full)));
    }

    /// Adds what only a terminal shows.
    pub fn in_text(&mut self, fill: impl FnOnce(&mut Blocks)) {
        self.0.push(Block::Only(Medium::Text, Blocks::filled(fill)));
    }

    /// Adds what only paper shows.
    pub fn on_paper(&mut self, fill: impl FnOnce(&mut Blocks)) {
        self.0
            .push(Block::Only(Medium::Paper, Blocks::filled(fill)));
    }

    fn filled(fill: impl FnOnce(&mut Blocks)) -> Blocks {
        let mut blocks = Blocks::default();
        fill(&mut blocks);
        blocks
    }
}
