//! `card`: how to set a rig up, prove its first welds, and watch it.

use clap::Args;

use super::case_input::{CaseInput, FaultInput};
use super::files::Files;
use super::fire::stopped;
use super::input::faulted;
use super::outcome::{Outcome, Trouble, failed, wrong};
use arcplunge_core::case::Case;
use arcplunge_core::case::check::check;
use arcplunge_core::case::keys::{Key, Number, Range, by_path};
use arcplunge_core::case::model::CentreMark;
use arcplunge_core::case::quantity::Dimension;
use arcplunge_core::study::card::{Asked, card};
use arcplunge_report::card::{csv, document, json, svg};
use arcplunge_report::provenance::Study;

#[derive(Debug, Args)]
#[command(
    after_help = "Fires the case at the setting that `chart` gives its stud, and every loose joint, tilt, punch mark \
    and fault there. --report is one sheet of A4 with plan, drawn welds and lines for the record. The sections \
    [charger] and [wear] of the case file say how fast the set is ready and how the chuck wears."
)]
pub struct Arguments {
    #[command(flatten)]
    pub input: CaseInput,
    /// Keep the case's own voltage and spring force, and search no others
    #[arg(long)]
    pub as_set: bool,
    /// Depth of the punch mark whose cost is told; default: the case's own, or 0.3 mm
    #[arg(long, value_name = "LENGTH")]
    pub mark_depth: Option<String>,
    /// Included angle of that mark; default: the case's own, or 90 deg
    #[arg(long, value_name = "ANGLE")]
    pub mark_angle: Option<String>,
    /// Diameter of what goes through the template's hole
    #[arg(long, value_name = "LENGTH", default_value = "25mm")]
    pub guide: String,
    /// Diameter of that hole over it
    #[arg(long, value_name = "LENGTH", default_value = "0.2mm")]
    pub clearance: String,
    /// Thickness of the template
    #[arg(long, value_name = "LENGTH", default_value = "10mm")]
    pub template: String,
    /// Coefficient of friction in thread and under the nut
    #[arg(long, value_name = "NUMBER", default_value = "0.14")]
    pub friction: String,
    /// Share of yield, or of what weld and sheet bear, that the torque test uses
    #[arg(long, value_name = "NUMBER", default_value = "0.7")]
    pub share: String,
    #[command(flatten)]
    pub faults: FaultInput,
    #[command(flatten)]
    pub files: Files,
}

pub fn run(a: &Arguments) -> Result<Outcome, Trouble> {
    a.files.check(&a.input, &[], &[])?;
    let resolved = faulted(&a.input, &a.faults)?.0;
    let case = resolved.case;
    if case.stud.short_resistance.is_some() {
        return wrong("a discharge test (stud.short_resistance) has no weld to set up".into());
    }
    let asked = asked(a, &case)?;
    let mut out = a.files.open(false)?;
    let card = card(&case, &resolved.tolerances, &asked).map_err(stopped)?;
    let study = Study::new("card", &card.weld.case)
        .map_err(failed)?
        .with("as_set", a.as_set)
        .with("mark_m", asked.mark.depth)
        .with("mark_rad", asked.mark.angle)
        .with("template_tilt_rad", card.template.tilt);
    out.csv(&study, |bytes| csv(bytes, &card))?;
    out.json(|| json(&card))?;
    out.plot(|| svg(&card))?;
    let drawn = out.reports();
    out.show(&document(&card, &case, drawn))?;
    Ok(Outcome::Done)
}

/// Bounds of the template's and the thread's numbers.
const GUIDE: Number = Number::new(Dimension::Length, "mm", Range::from_to(1e-3, 0.3));
const CLEARANCE: Number = Number::new(Dimension::Length, "mm", Range::from_to(0.0, 0.01));
const TEMPLATE: Number = Number::new(Dimension::Length, "mm", Range::from_to(5e-4, 0.2));
const FRICTION: Number = Number::bare(Range::from_to(0.02, 1.0));
const SHARE: Number = Number::bare(Range::from_to(0.05, 1.0));

fn asked(a: &Arguments, case: &Case) -> Result<Asked, Trouble> {
    Ok(Asked {
        mark: mark(a, case)?,
        friction: read("--friction", &FRICTION, &a.friction)?,
        share: read("--share", &SHARE, &a.share)?,
        guide: read("--guide", &GUIDE, &a.guide)?,
        clearance: read("--clearance", &CLEARANCE, &a.clearance)?,
        template: read("--template", &TEMPLATE, &a.template)?,
        as_set: a.as_set,
    })
}

/// The mark asked for; one that is, and cannot be made in the sheet, is refused.
fn mark(a: &Arguments, case: &Case) -> Result<CentreMark, Trouble> {
    let mut mark = Asked::usual(case).mark;
    for (option, key, text, value) in [
        (
            "--mark-depth",
            "sheet.centre_mark.depth",
            &a.mark_depth,
            &mut mark.depth,
        ),
        (
            "--mark-angle",
            "sheet.centre_mark.angle",
            &a.mark_angle,
            &mut mark.angle,
        ),
    ] {
        let number = by_path(key).and_then(Key::number);
        if let (Some(text), Some(number)) = (text, number) {
            *value = read(option, number, text)?;
        }
    }
    let mut marked = case.clone();
    marked.sheet.centre_mark = Some(mark);
    match check(&marked).first() {
        Some(broken) if a.mark_depth.is_some() => wrong(format!("--mark-depth: {broken}")),
        _ => Ok(mark),
    }
}

/// The number of an option, within its bounds \[SI\].
fn read(option: &str, number: &Number, text: &str) -> Result<f64, Trouble> {
    number
        .read(text)
        .or_else(|e| wrong(format!("{option}: {e}")))
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::Parser;

    #[derive(Parser)]
    struct Line {
        #[command(flatten)]
        card: Arguments,
    }

    #[test]
    fn the_defaults_are_what_is_usual() {
        let case = Case::default();
        let asked = asked(&Line::parse_from(["card"]).card, &case);
        assert!(asked.is_ok_and(|asked| asked == Asked::usual(&case)));
    }
}
