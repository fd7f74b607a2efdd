//! The shots of a card as CSV: RFC 4180, SI, a row each.

use std::io::Write;

use crate::csv::{Csv, cell};
use arcplunge_core::simulation::named::FIGURES;
use arcplunge_core::simulation::shot::Shot;
use arcplunge_core::study::card::Card;

/// Writes kind, name, verdict, cause and every figure of each shot; what did not come is empty.
///
/// # Errors
/// When the writer fails.
pub fn csv(out: impl Write, card: &Card) -> ::csv::Result<()> {
    let mut head = vec!["kind", "name", "verdict", "cause"];
    head.extend(FIGURES.iter().map(|(name, _)| *name));
    let mut table = Csv::new(out, &head)?;
    for (kind, name, shot) in shots(card) {
        let mut record = vec![
            kind.to_string(),
            name,
            shot.verdict.map_or(String::new(), |v| v.name().into()),
            shot.cause.name().into(),
        ];
        record.extend(FIGURES.iter().map(|(_, read)| cell(read(&shot.figures))));
        table.row(&record)?;
    }
    table.end()
}

/// Every shot of the card by kind and name.
pub fn shots(card: &Card) -> Vec<(&'static str, String, &Shot)> {
    let mut out = vec![("card", String::new(), Some(&card.weld.shot))];
    let joints = card.joints.iter();
    out.extend(joints.map(|t| ("loose", t.what.joint.to_string(), t.shot.as_ref())));
    let tilts = card.tilts.iter();
    out.extend(tilts.map(|t| ("tilt", format!("{}", t.what), t.shot.as_ref())));
    out.push(("template", String::new(), card.template.shot.as_ref()));
    out.push(("mark", "without".into(), Some(&card.mark.without)));
    out.push(("mark", "with".into(), card.mark.with.as_ref()));
    let looks = card.looks.iter();
    out.extend(looks.map(|l| ("look", l.verdict.name().into(), Some(&l.blow.shot))));
    let faults = card.faults.iter();
    out.extend(faults.map(|t| ("fault", t.what.name.clone(), t.shot.as_ref())));
    let fired = out.into_iter();
    fired
        .filter_map(|(kind, name, shot)| Some((kind, name, shot?)))
        .collect()
}
