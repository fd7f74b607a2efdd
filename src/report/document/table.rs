//! Tables: cells that may read otherwise on paper, rows over all columns, bars.

use super::tone::{Medium, Tone};
use crate::format;

/// Rows and columns; see [`super::layout`] for how a terminal sets them.
#[derive(Debug, Clone, PartialEq)]
pub struct Table {
    /// How a terminal sets a row: `"   {:<21} {:>8}"`.
    pub layout: String,
    /// Heads of the columns; none where all are empty.
    pub head: Vec<Cell>,
    /// From top to bottom.
    pub rows: Vec<Row>,
    /// How paper sets it.
    pub style: Style,
}

/// How paper sets a table.
#[derive(Debug, Clone, PartialEq)]
pub enum Style {
    /// Columns from this one on are numbers.
    Figures(usize),
    /// Numbers and bars.
    Bars,
    /// A class for the whole, and for each column's head and cells; what stands in them does not break.
    Classed(&'static str, Vec<[&'static str; 2]>),
}

/// A row of a table.
#[derive(Debug, Clone, PartialEq)]
pub enum Row {
    /// A cell for each column.
    Cells(Vec<Cell>),
    /// The same in one medium.
    Only(Medium, Vec<Cell>),
    /// What the rows below have in common; a terminal indents it by so much.
    Group(usize, String),
    /// A name, a word, and what is said instead of the other cells.
    Said(String, &'static str, String),
    /// What is to be known of the rows above.
    Remark(String),
}

/// A cell of a table.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Cell {
    pub(super) text: String,
    pub(super) tone: Tone,
    pub(super) paper: Paper,
}

/// What a cell reads on paper.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) enum Paper {
    /// As on a terminal.
    #[default]
    Same,
    /// Otherwise.
    Words(String),
    /// A bar of a share of the column, and whether it stands for less.
    Bar(f64, bool),
}

impl<T: Into<String>> From<T> for Cell {
    fn from(text: T) -> Cell {
        Cell {
            text: text.into(),
            ..Cell::default()
        }
    }
}

impl Cell {
    /// Words in a tone.
    pub fn toned(text: impl Into<String>, tone: Tone) -> Cell {
        Cell {
            tone,
            ..Cell::from(text)
        }
    }

    /// Words that read otherwise on paper.
    pub fn both(text: impl Into<String>, paper: impl Into<String>) -> Cell {
        Cell {
            paper: Paper::Words(paper.into()),
            ..Cell::from(text)
        }
    }

    /// A bar of a share of `width` characters.
    pub fn bar(share: f64, width: usize) -> Cell {
        Cell::drawn(format::bar(share, width), share, false)
    }

    /// A bar drawn as `text` on a terminal, and whether it stands for less.
    pub fn drawn(text: String, share: f64, less: bool) -> Cell {
        Cell {
            paper: Paper::Bar(share, less),
            ..Cell::from(text)
        }
    }
}

impl Table {
    /// A table without rows; on paper its columns from `numbers` on are numbers.
    pub fn new<const N: usize>(
        layout: impl Into<String>,
        head: [impl Into<Cell>; N],
        numbers: usize,
    ) -> Table {
        Table::of(layout, head.into_iter().map(Into::into).collect(), numbers)
    }

    /// The same with any number of columns.
    pub fn of(layout: impl Into<String>, head: Vec<Cell>, numbers: usize) -> Table {
        Table {
            layout: layout.into(),
            head,
            rows: Vec::new(),
            style: Style::Figures(numbers),
        }
    }

    /// Adds a row.
    pub fn row<const N: usize>(&mut self, cells: [impl Into<Cell>; N]) {
        self.cells(cells);
    }

    /// Adds a row of any number of cells.
    pub fn cells(&mut self, cells: impl IntoIterator<Item = impl Into<Cell>>) {
        let cells = cells.into_iter().map(Into::into).collect();
        self.rows.push(Row::Cells(cells));
    }

    /// Adds a row that one medium shows.
    pub fn only<const N: usize>(&mut self, medium: Medium, cells: [impl Into<Cell>; N]) {
        let cells = cells.into_iter().map(Into::into).collect();
        self.rows.push(Row::Only(medium, cells));
    }
}
