//! `catalogue`: what a case file may call by name.

use super::args::{Catalogue, CataloguePart as Part};
use super::output::print;
use super::{Outcome, Trouble};
use arcplunge_report::catalogue;

pub fn run(a: &Catalogue) -> Result<Outcome, Trouble> {
    let wants = |part| a.part.is_none_or(|p| p == part);
    let mut parts = Vec::new();
    if wants(Part::Studs) {
        parts.push(catalogue::studs());
    }
    if wants(Part::Metals) {
        parts.push(catalogue::metals());
    }
    if wants(Part::Joints) {
        parts.push(catalogue::joints());
    }
    if wants(Part::Leads) {
        parts.push(catalogue::leads());
    }
    if wants(Part::Faults) {
        parts.push(catalogue::faults());
    }
    if wants(Part::Tolerances) {
        parts.push(catalogue::tolerances());
    }
    print(parts.join("\n").as_bytes())?;
    Ok(Outcome::Done)
}
