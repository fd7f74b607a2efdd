//! The files a command writes: one set of options for all, one way from there to the disk.

use std::io::IsTerminal;
use std::path::{Path, PathBuf};

use clap::Args;

use super::case_input::CaseInput;
use super::input::wants_color;
use super::meta;
use super::outcome::{Trouble, failed};
use super::output::{Output, Stop, distinct, is_standard, print};
use super::parquet::Typed;
use super::picture::{Kind, kinds};
use super::table::Table;
use super::unfinished::part;
use arcplunge_report::document::Document;
use arcplunge_report::provenance::Study;

/// Where results go besides the terminal.
#[derive(Debug, Args)]
pub struct Files {
    /// Write the rows as CSV ("-" for standard output)
    #[arg(long, value_name = "FILE")]
    pub csv: Option<PathBuf>,
    /// Write everything as JSON ("-" for standard output)
    #[arg(long, value_name = "FILE")]
    pub json: Option<PathBuf>,
    /// Draw it: FILE.svg or FILE.png (repeatable)
    #[arg(long, value_name = "FILE")]
    pub plot: Vec<PathBuf>,
    /// Write a report to read and print: one HTML file that needs no other
    #[arg(long, value_name = "FILE")]
    pub report: Option<PathBuf>,
    /// Show all cautions, and what the model leaves out, not the dangers in brief
    #[arg(long)]
    pub cautions: bool,
}

/// The files, opened before the work starts.
pub struct Opened {
    csv: Option<Table>,
    json: Option<Output>,
    plots: Vec<(Kind, Output)>,
    report: Option<Output>,
    /// A result goes to standard output, where the page would be in its way.
    standard: bool,
    /// The page shows all cautions.
    cautions: bool,
}

impl Files {
    /// Sees that no two results go to one place and none over a file that is read, the case file or one of
    /// `read`, each with what it is; `more` are results that the command writes itself.
    pub fn check(
        &self,
        input: &CaseInput,
        read: &[(&str, &Path)],
        more: &[&Option<PathBuf>],
    ) -> Result<(), Trouble> {
        kinds(&self.plot)?;
        let beside = self.csv.as_deref().filter(|csv| !is_standard(csv));
        let beside = beside.map(meta::path);
        let single = [&self.csv, &beside, &self.json, &self.report];
        let single = single.iter().chain(more).filter_map(|file| file.as_deref());
        let outputs: Vec<&Path> = single
            .chain(self.plot.iter().map(PathBuf::as_path))
            .collect();
        let case = input.case.as_deref().map(|path| ("the case file", path));
        let inputs: Vec<(&str, &Path)> = case.into_iter().chain(read.iter().copied()).collect();
        distinct(&inputs, &outputs)
    }

    /// As `check`, for rows that stream into FILE.part.
    pub fn check_streamed(
        &self,
        input: &CaseInput,
        read: &[(&str, &Path)],
        typed: &Typed,
    ) -> Result<(), Trouble> {
        let csv = self.csv.as_deref().filter(|csv| !is_standard(csv));
        let unfinished = csv.map(part);
        let beside = unfinished.as_deref().map(meta::path);
        self.check(input, read, &[&typed.parquet, &unfinished, &beside])
    }

    /// Whether anything is shown besides the rows of a CSV.
    pub fn shows(&self) -> bool {
        self.json.is_some() || self.report.is_some() || !self.plot.is_empty()
    }

    /// Opens them all; a CSV that is `streamed` is left to who writes its rows.
    pub fn open(&self, streamed: bool) -> Result<Opened, Trouble> {
        let open = |file: &Option<PathBuf>| file.as_deref().map(Output::open).transpose();
        let single = [&self.csv, &self.json, &self.report];
        let standard = single
            .iter()
            .filter_map(|file| file.as_deref())
            .any(is_standard);
        let plots = kinds(&self.plot)?.into_iter().zip(&self.plot);
        let csv = self.csv.as_deref().filter(|_| !streamed);
        Ok(Opened {
            csv: csv.map(Table::open).transpose()?,
            json: open(&self.json)?,
            report: open(&self.report)?,
            plots: plots
                .map(|(kind, path)| Ok((kind, Output::open(path)?)))
                .collect::<Result<_, Trouble>>()?,
            standard,
            cautions: self.cautions,
        })
    }
}

impl Opened {
    /// Whether a drawing is wanted, in a file or in the report.
    pub fn draws(&self) -> bool {
        !self.plots.is_empty() || self.report.is_some()
    }

    /// Whether a report is wanted.
    pub fn reports(&self) -> bool {
        self.report.is_some()
    }

    /// Writes the CSV, if it is wanted, and what it comes from beside it.
    pub fn csv<E: std::fmt::Display>(
        &mut self,
        study: &Study,
        write: impl FnOnce(&mut Vec<u8>) -> Result<(), E>,
    ) -> Result<(), Trouble> {
        let Some(out) = self.csv.take() else {
            return Ok(());
        };
        let mut bytes = Vec::new();
        write(&mut bytes).map_err(failed)?;
        out.put_with(study.meta(None), |out| {
            out.write_all(&bytes).map_err(Stop::Write)
        })
    }

    /// Writes the JSON, if it is wanted.
    pub fn json<E: std::fmt::Display>(
        &mut self,
        text: impl FnOnce() -> Result<String, E>,
    ) -> Result<(), Trouble> {
        match self.json.take() {
            Some(out) => out.put(text().map_err(failed)?.as_bytes()),
            None => Ok(()),
        }
    }

    /// Draws the plots, if they are wanted.
    pub fn plot(&mut self, svg: impl FnOnce() -> String) -> Result<(), Trouble> {
        let plots = std::mem::take(&mut self.plots);
        if plots.is_empty() {
            return Ok(());
        }
        let svg = svg();
        for (kind, out) in plots {
            out.put(&kind.pack(svg.clone())?)?;
        }
        Ok(())
    }

    /// Writes the report, if it is wanted, and shows the page, unless a result is on standard output.
    pub fn show(self, document: &Document) -> Result<(), Trouble> {
        if let Some(out) = self.report {
            out.put(document.html().as_bytes())?;
        }
        if self.standard {
            return Ok(());
        }
        let color = wants_color(std::io::stdout().is_terminal());
        let text = match self.cautions {
            true => document.full_text(color),
            false => document.text(color),
        };
        print(text.as_bytes())
    }
}
