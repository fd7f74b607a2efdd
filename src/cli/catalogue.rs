//! `catalogue`: what a case file may call by name.

use clap::{Args, ValueEnum};

use super::outcome::{Outcome, Trouble};
use super::output::print;
use arcplunge_report::catalogue;
use arcplunge_report::document::Document;

#[derive(Debug, Args)]
pub struct Arguments {
    /// Only one part of it
    #[arg(value_enum)]
    pub part: Option<Part>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Part {
    Studs,
    Metals,
    Joints,
    Leads,
    Faults,
    Tolerances,
}

pub fn run(a: &Arguments) -> Result<Outcome, Trouble> {
    let all: [(Part, fn() -> Document); 6] = [
        (Part::Studs, catalogue::studs),
        (Part::Metals, catalogue::metals),
        (Part::Joints, catalogue::joints),
        (Part::Leads, catalogue::leads),
        (Part::Faults, catalogue::faults),
        (Part::Tolerances, catalogue::tolerances),
    ];
    let wanted = all
        .iter()
        .filter(|(part, _)| a.part.is_none_or(|p| p == *part));
    let parts: Vec<String> = wanted.map(|(_, part)| part().text(false)).collect();
    print(parts.join("\n").as_bytes())?;
    Ok(Outcome::Done)
}
