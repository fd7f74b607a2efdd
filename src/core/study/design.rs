//! Points of a study that a table gives, a row each: designs, chains and correlated draws made elsewhere.

mod cell;
mod error;
mod numbers;

use std::collections::HashMap;
use std::io::Read;

use csv::{ReaderBuilder, StringRecord, Trim};

use super::outcome::{Outcome, changed};
use super::range::{column, meant, turned};
use crate::case::Case;
use crate::case::keys::{Address, KeyError, Number, nearest};
use crate::simulation::fire::{Settings, Workspace};
use crate::simulation::named::FIGURES;

pub use cell::Unit;
use cell::{split, value};
pub use error::DesignError;
use error::unread;

/// Most cells of a table: 80 MB of numbers.
pub const MOST_CELLS: usize = 10_000_000;

/// Most different combinations of words (sizes, metals, methods).
pub const MOST_BASES: usize = 10_000;

/// Columns beside the figures that a result's own table has; a table may be fired that was a result before.
const OWN: [&str; 8] = [
    "shot", "verdict", "cause", "note", "study", "part", "row", "rows",
];

/// What a column of a design holds.
#[derive(Debug, Clone)]
pub enum Column {
    /// Numbers of a key.
    Number {
        /// Where they stand in a case.
        address: Address,
        /// What is known of the number: unit and bounds.
        number: Number,
        /// In which unit the cells are.
        unit: Unit,
    },
    /// Words of a key: a size, a metal, a method.
    Word {
        /// The key.
        path: String,
    },
}

impl Column {
    /// The key.
    pub fn key(&self) -> String {
        match self {
            Column::Number { address, .. } => address.to_string(),
            Column::Word { path } => path.clone(),
        }
    }

    /// Its name in a file of SI values: `bank.voltage_V`, `stud.size`.
    pub fn name(&self) -> String {
        match self {
            Column::Number {
                address, number, ..
            } => column(address, number),
            Column::Word { path } => path.clone(),
        }
    }
}

/// A column that is no key and that the caller reads himself.
#[derive(Debug, Clone, PartialEq)]
pub struct Aside {
    /// Which of the names that were given.
    pub name: &'static str,
    /// Unit in the head.
    pub unit: Option<String>,
    place: usize,
    /// Row by row: the line of the table, and what stands there.
    pub cells: Vec<(u64, String)>,
}

/// What stands in a cell.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Cell<'a> {
    /// A number \[SI\].
    Number(f64),
    /// A word.
    Word(&'a str),
}

/// A base case and a table of what is changed in it.
#[derive(Debug, Clone)]
pub struct Design {
    /// The case that the rows change.
    pub base: Case,
    /// How each row is fired.
    pub settings: Settings,
    /// Keys that the table gives.
    pub columns: Vec<Column>,
    /// Heads of columns that are results and not keys.
    pub passed: Vec<String>,
    /// Columns that the caller reads himself.
    pub asides: Vec<Aside>,
    /// The words that occur together, with the case they make.
    bases: Vec<(Vec<String>, Case)>,
    /// Row by row: which of `bases`.
    chosen: Vec<u32>,
    /// Row by row: the numbers \[SI\].
    numbers: Vec<f64>,
}

/// A row of a design and what came of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// Its number, counted from 0.
    pub index: usize,
    /// What came of it.
    pub outcome: Outcome,
}

impl Design {
    /// Reads a table (CSV with a head): each head is a key, with its unit as in `bank.voltage [V]` or `bank.voltage_V`
    /// or none where the cells have theirs. Columns of results are passed over. `case` gives `base` with overrides as of
    /// `--set`.
    ///
    /// # Errors
    /// When a head is no key, a cell no value of it, or `case` refuses a word.
    pub fn read(
        table: impl Read,
        base: Case,
        settings: Settings,
        case: impl Fn(&[String]) -> Result<Case, String>,
    ) -> Result<Design, DesignError> {
        Design::read_with(table, base, settings, &[], case)
    }

    /// The same of a table that also has columns of these names, which the caller reads himself; with one of them no
    /// column need be a key.
    ///
    /// # Errors
    /// As [`Design::read`].
    pub fn read_with(
        table: impl Read,
        base: Case,
        settings: Settings,
        asides: &[&'static str],
        case: impl Fn(&[String]) -> Result<Case, String>,
    ) -> Result<Design, DesignError> {
        let mut reader = ReaderBuilder::new()
            .trim(Trim::All)
            .comment(Some(b'#'))
            .from_reader(table);
        let head = reader.headers().map_err(|e| unread(&e))?.clone();
        let mut design = Design {
            base,
            settings,
            columns: Vec::new(),
            passed: Vec::new(),
            asides: Vec::new(),
            bases: Vec::new(),
            chosen: Vec::new(),
            numbers: Vec::new(),
        };
        let places = design.heads(&head, asides)?;
        let mut known: HashMap<Vec<String>, u32> = HashMap::new();
        let mut cells = StringRecord::new();
        while reader.read_record(&mut cells).map_err(|e| unread(&e))? {
            let line = cells.position().map_or(0, csv::Position::line);
            for aside in &mut design.asides {
                aside.cells.push((line, cells[aside.place].to_string()));
            }
            design.line(line, &cells, &places, &mut known, &case)?;
        }
        if design.count() == 0 {
            return Err(DesignError::at(1, "the table has a head but no rows"));
        }
        Ok(design)
    }

    /// Takes the heads; where the columns of keys stand.
    fn heads(
        &mut self,
        head: &StringRecord,
        asides: &[&'static str],
    ) -> Result<Vec<usize>, DesignError> {
        let mut places = Vec::new();
        for (place, name) in head.iter().enumerate() {
            let name = name.trim_start_matches('\u{feff}');
            let (plain, unit) = split(name);
            if let Some(aside) = asides.iter().find(|aside| **aside == plain) {
                if self.asides.iter().any(|other| other.name == *aside) {
                    return Err(DesignError::of(1, name, "the column is given twice"));
                }
                self.asides.push(Aside {
                    name: aside,
                    unit: unit.map(String::from),
                    place,
                    cells: Vec::new(),
                });
                continue;
            }
            let result = FIGURES.iter().any(|(figure, _)| *figure == name);
            if name.is_empty() || result || OWN.contains(&name) {
                self.passed.push(name.to_string());
                continue;
            }
            let column =
                self.head(name)
                    .map_err(|e| match nearest(plain, asides.iter().copied()) {
                        Some(aside) => DesignError {
                            nearest: Some(aside.into()),
                            ..e
                        },
                        None => e,
                    })?;
            if self.columns.iter().any(|other| other.key() == column.key()) {
                return Err(DesignError::of(1, name, "the key is given twice"));
            }
            self.columns.push(column);
            places.push(place);
        }
        if places.is_empty() && self.asides.is_empty() {
            return Err(DesignError::at(1, "no column is a key of a case file"));
        }
        Ok(places)
    }

    /// The column under a head.
    fn head(&self, head: &str) -> Result<Column, DesignError> {
        if head.contains([';', '\t']) {
            return Err(DesignError::of(1, head, "cells are separated by commas"));
        }
        let (path, unit) = split(head);
        match turned(&self.base, path) {
            Ok((address, number)) => {
                let unit = match unit {
                    None => Unit::OfCell,
                    Some(unit) => Unit::OfHead(unit.into()),
                };
                if unit != Unit::OfCell {
                    value("1", &number, &unit)
                        .map_err(|e| DesignError::of(1, head, e.to_string()))?;
                }
                Ok(Column::Number {
                    address,
                    number,
                    unit,
                })
            }
            Err(KeyError::NotANumber { path }) if unit.is_none() => Ok(Column::Word { path }),
            Err(error) => match self.si(head) {
                Some(column) => Ok(column),
                None => Err(DesignError {
                    nearest: meant(&error),
                    ..DesignError::of(1, head, error.to_string())
                }),
            },
        }
    }

    /// The column of a head that ends with its SI unit, as in `bank.voltage_V`.
    fn si(&self, head: &str) -> Option<Column> {
        let cuts = head.rmatch_indices('_').map(|(at, _)| &head[..at]);
        cuts.filter_map(|path| turned(&self.base, path).ok())
            .find(|(address, number)| column(address, number) == head)
            .map(|(address, number)| Column::Number {
                address,
                number,
                unit: Unit::Si,
            })
    }

    /// Takes a row.
    fn line(
        &mut self,
        line: u64,
        cells: &StringRecord,
        places: &[usize],
        known: &mut HashMap<Vec<String>, u32>,
        case: &impl Fn(&[String]) -> Result<Case, String>,
    ) -> Result<(), DesignError> {
        let mut words = Vec::new();
        for (column, place) in self.columns.iter().zip(places) {
            let cell = &cells[*place];
            match column {
                Column::Number { .. } if cell.trim().is_empty() => {
                    return Err(DesignError::of(line, &column.key(), "the cell is empty"));
                }
                Column::Number { number, unit, .. } => {
                    let value = value(cell, number, unit);
                    let value = value.map_err(|e| DesignError {
                        nearest: e.nearest().map(String::from),
                        ..DesignError::of(line, &column.key(), e.to_string())
                    })?;
                    self.numbers.push(value);
                }
                Column::Word { .. } => words.push(cell.to_string()),
            }
        }
        let chosen = match known.get(&words) {
            Some(chosen) => *chosen,
            None => {
                let base = self
                    .with(&words, case)
                    .map_err(|why| DesignError::at(line, why))?;
                let chosen = self.bases.len() as u32;
                if self.bases.len() == MOST_BASES {
                    let why = format!("more than {MOST_BASES} combinations of words");
                    return Err(DesignError::at(line, why));
                }
                self.bases.push((words.clone(), base));
                known.insert(words, chosen);
                chosen
            }
        };
        self.chosen.push(chosen);
        if self.numbers.len().max(self.chosen.len()) > MOST_CELLS {
            return Err(DesignError::at(
                line,
                format!("more than {MOST_CELLS} cells"),
            ));
        }
        Ok(())
    }

    /// The base with these words.
    fn with(
        &self,
        words: &[String],
        case: impl Fn(&[String]) -> Result<Case, String>,
    ) -> Result<Case, String> {
        let keys = self.columns.iter().filter_map(|column| match column {
            Column::Word { path } => Some(path),
            Column::Number { .. } => None,
        });
        let sets = keys.zip(words).map(|(key, word)| format!("{key}={word}"));
        match sets.collect::<Vec<String>>().as_slice() {
            [] => Ok(self.base.clone()),
            sets => case(sets),
        }
    }

    /// Number of rows.
    pub fn count(&self) -> usize {
        self.chosen.len()
    }

    /// The cells of row `index`, in the order of the columns.
    pub fn cells(&self, index: usize) -> impl Iterator<Item = Cell<'_>> {
        let mut numbers = self.row_numbers(index).iter();
        let mut words = self.bases[self.chosen[index] as usize].0.iter();
        self.columns.iter().filter_map(move |column| match column {
            Column::Number { .. } => numbers.next().map(|value| Cell::Number(*value)),
            Column::Word { .. } => words.next().map(|word| Cell::Word(word)),
        })
    }

    fn row_numbers(&self, index: usize) -> &[f64] {
        let wide = self.numbers.len() / self.chosen.len();
        &self.numbers[index * wide..(index + 1) * wide]
    }

    /// The base of row `index`, its words in it, and its numbers \[SI\].
    fn changes(&self, index: usize) -> (&Case, impl Iterator<Item = (&Address, f64)>) {
        let addresses = self.columns.iter().filter_map(|column| match column {
            Column::Number { address, .. } => Some(address),
            Column::Word { .. } => None,
        });
        let changes = addresses.zip(self.row_numbers(index).iter().copied());
        (&self.bases[self.chosen[index] as usize].1, changes)
    }

    /// The case of row `index`.
    ///
    /// # Errors
    /// In words, when its values are not a valid case.
    pub fn case(&self, index: usize) -> Result<Case, String> {
        let (base, changes) = self.changes(index);
        changed(base, changes)
    }

    /// Fires row `index`.
    pub fn row(&self, index: usize, work: &mut Workspace) -> Row {
        let (base, changes) = self.changes(index);
        Row {
            index,
            outcome: Outcome::of(base, changes, &self.settings, work),
        }
    }
}

#[cfg(test)]
mod tests;
