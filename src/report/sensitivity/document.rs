//! Sobol indices as a document: for each figure the keys that cause its scatter.

use super::words::{cell, doubts, name, none, ordered};
use crate::cautions;
use crate::document::{Blocks, Cell, Document, Style, Table, Tone};
use crate::quantity::with_half;
use crate::scatter::counted;
use arcplunge_core::study::scatter::Scatter;
use arcplunge_core::study::sensitivity::{Found, SOUND, shots};

/// Most keys of a figure.
const MOST: usize = 10;

/// Columns of a bar, and of the longest key beside its figures.
const BAR: usize = 9;
const LONGEST: usize = 24;

/// The document of a sensitivity.
pub fn document(scatter: &Scatter, found: &[Found]) -> Document {
    let mut document = Document::of(&scatter.base);
    let b = &mut document.blocks;
    let keys = scatter.draws.len();
    b.say(format!(
        "{} samples of {keys} keys, {} shots, {}, seed {}, 95 % intervals",
        counted(scatter.shots as u64),
        counted(shots(scatter.shots, keys) as u64),
        scatter.points.sampling.words(),
        scatter.points.seed,
    ));
    for figure in found {
        b.gap();
        one(b, scatter, figure);
    }
    b.gap();
    b.say(
        "First order: the share of the variance removed by fixing the key alone (Saltelli 2010). Total: \
         including its interaction with others (Jansen 1999). A large share of a small scatter is still \
         little; the shares hold for these spreads only.",
    );
    cautions::end(b);
    document
}

fn one(b: &mut Blocks, scatter: &Scatter, found: &Found) {
    let about = match (found.mean, found.deviation) {
        (Some(mean), Some(_)) if found.figure == SOUND => {
            Some(format!("{:.1} % of the welds are sound", 100.0 * mean))
        }
        (Some(mean), Some(deviation)) => {
            let text = with_half(found.figure, mean, deviation);
            Some(format!("{text} (mean, standard deviation)"))
        }
        _ => None,
    };
    match about {
        Some(about) => b.named(name(found.figure), (about, Tone::Plain)),
        None => b.heading(3, name(found.figure)),
    }
    let Some(shares) = &found.indices else {
        return b.note(none(found));
    };
    let (all, faint) = ordered(found);
    let keys = all.iter().take(MOST);
    let keys = keys.map(|(k, _)| scatter.draws[*k].address().to_string());
    let keys: Vec<String> = keys.collect();
    let lengths = keys.iter().map(|k| k.chars().count());
    let wide = lengths.max().unwrap_or(0).max(14);
    // Long names of metals: the figures stand below their keys.
    let below = wide > LONGEST;
    let (lead, indent) = if below {
        (String::new(), 3)
    } else {
        (format!("   {{:<{wide}}}"), 2)
    };
    let layout = format!("{lead}{:indent$}{{:<21}} {{:<20}} {{}}", "");
    let head = ["", "first order", "total", ""];
    let mut table = Table::of(
        layout,
        head[usize::from(below)..]
            .iter()
            .map(|h| Cell::from(*h))
            .collect(),
        1,
    );
    table.style = Style::Bars;
    for (key, (_, i)) in keys.into_iter().zip(&all) {
        let mut cells = vec![key.into()];
        if below {
            table.cells(std::mem::take(&mut cells));
        }
        cells.extend([
            cell(i.first).into(),
            cell(i.total).into(),
            Cell::bar(i.total.value, BAR),
        ]);
        table.cells(cells);
    }
    b.table(table);
    let more = all.len().saturating_sub(MOST) + faint;
    if more > 0 {
        let limit = if all.len() > MOST {
            "less"
        } else {
            "below 0.005"
        };
        b.note(format!("{more} more keys, each {limit}"));
    }
    let together = cell(shares.interaction);
    b.note(format!("by interaction only: {together}"));
    for doubt in doubts(found, scatter.shots) {
        b.note(doubt);
    }
}
