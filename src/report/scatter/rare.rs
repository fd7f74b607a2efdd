//! A small share of bad welds as a document and JSON: how small, why, and the most likely weld of them.

use serde_json::{Value, json};

use super::words::counted;
use crate::cautions;
use crate::document::{Blocks, Cell, Document, Style, Table};
use crate::envelope;
use crate::format::{percent, significant};
use arcplunge_core::study::intervals::CONFIDENCE;
use arcplunge_core::study::rare::{DIGITS, Nearest, RUNS, Rare};
use arcplunge_core::study::scatter::Scatter;

/// Columns of a bar.
const BAR: usize = 20;

/// The document.
pub fn document(scatter: &Scatter, rare: &Rare) -> Document {
    let mut document = Document::of(&scatter.base);
    let b = &mut document.blocks;
    match rare.share {
        None => b.line("not sound: fewer than one weld in 10¹², by this model and these spreads"),
        Some(share) => {
            let [about, low, high] = shares([share.share, share.low, share.high]);
            // More than every other is not one in some.
            let one = match share.share < 0.5 {
                true => format!(", one weld in {}", large(1.0 / share.share)),
                false => String::new(),
            };
            b.line(format!("not sound: {about}{one}"));
            b.line(format!("95 % interval: {low} to {high}"));
        }
    }
    b.gap();
    if !rare.causes.is_empty() {
        let mut table = Table::new("   {:<20} {:>8}  {}", ["why", "share", ""], 1);
        table.style = Style::Bars;
        for (cause, share) in &rare.causes {
            table.row([
                cause.name().into(),
                percent(*share).into(),
                Cell::bar(*share, BAR),
            ]);
        }
        b.table(table);
        b.gap();
    }
    if let Some(nearest) = &rare.nearest {
        likely(b, scatter, nearest);
    }
    b.say(format!(
        "Subset simulation in {RUNS} independent runs, seed {}, and from the nearest bad weld of each towards the most likely \
         one: {} shots. The interval comes from the spread of the runs and \
         covers neither what the model leaves out nor how well the spreads are known; a share this small hangs on \
         the far ends of the spreads, which nobody has measured.",
        scatter.points.seed,
        counted(rare.shots as u64)
    ));
    cautions::end(b);
    document
}

fn likely(b: &mut Blocks, scatter: &Scatter, nearest: &Nearest) {
    b.line(format!(
        "the most likely weld that is not sound ({}), {} deviations off:",
        nearest.cause.name(),
        significant(nearest.distance, 3)
    ));
    let mut keys: Vec<_> = scatter.draws.iter().zip(&nearest.values).collect();
    keys.sort_by(|a, b| b.1.1.abs().total_cmp(&a.1.1.abs()));
    let mut table = Table::new(
        "   {:<29} {:>13} {:>13}  {}",
        ["key", "there", "usual", "off the middle"],
        1,
    );
    // All it takes to fire it: a key that is not listed is as the case has it.
    let moved = keys
        .into_iter()
        .filter(|(draw, (value, _))| *value != draw.value);
    for (draw, (value, score)) in moved {
        let [there, usual] = [*value, draw.value].map(|value| draw.number.short(value, DIGITS));
        let off = match *score == 0.0 {
            true => "in the middle".to_string(),
            false if *score < 0.0 => format!("−{:.1} deviations", -score),
            false => format!("+{score:.1} deviations"),
        };
        table.row([draw.address().to_string(), there, usual, off]);
    }
    b.table(table);
    b.gap();
}

/// Shares in one way: per cent, or of a million where the first is below a thousandth.
fn shares(shares: [f64; 3]) -> [String; 3] {
    if shares[0] < 1e-3 {
        shares.map(|share| format!("{} of a million", significant(1e6 * share, 2)))
    } else {
        shares.map(|share| format!("{} %", significant(1e2 * share, 2)))
    }
}

/// A number to two digits, in words from a million on.
fn large(number: f64) -> String {
    let words = [(1e9, "thousand million"), (1e6, "million")];
    match words.iter().find(|(unit, _)| number >= *unit) {
        Some((unit, word)) => format!("{} {word}", significant(number / unit, 2)),
        None => significant(number, 2),
    }
}

/// The JSON text, with a closing line feed.
///
/// # Errors
/// When a number cannot be written, which finite figures never bring about.
pub fn json(scatter: &Scatter, rare: &Rare) -> serde_json::Result<String> {
    let causes: Vec<Value> = rare
        .causes
        .iter()
        .map(|(cause, share)| json!({ "cause": cause.name(), "share": share }))
        .collect();
    let nearest = rare.nearest.as_ref().map(|nearest| {
        let keys = scatter.draws.iter().zip(&nearest.values);
        let values: Vec<Value> = keys
            .map(|(draw, (value, score))| {
                let (key, unit) = (draw.address().to_string(), draw.number.dimension.si());
                json!({ "key": key, "unit": unit, "value": value, "usual": draw.value, "score": score })
            })
            .collect();
        json!({ "cause": nearest.cause.name(), "distance": nearest.distance, "values": values })
    });
    envelope::text(&json!({
        "not_sound": rare.share,
        "confidence": CONFIDENCE,
        "method": "subset simulation",
        "runs": RUNS,
        "shots": rare.shots,
        "seed": scatter.points.seed,
        "causes": causes,
        "most_likely": nearest,
        "case": &scatter.base,
    }))
}

#[cfg(test)]
mod tests {
    use super::large;

    #[test]
    fn one_weld_in_many_is_told_to_two_digits() {
        for (number, told) in [
            (3.26, "3.3"),
            (15_746.0, "15746"),
            (1.57e7, "16 million"),
            (1.57e10, "16 thousand million"),
        ] {
            assert_eq!(large(number), told);
        }
    }
}
