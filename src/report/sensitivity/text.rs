//! Sobol indices on a terminal: for each figure the keys its scatter comes from.

use super::{doubts, name, none, ordered};
use crate::cautions::SCREEN;
use crate::format::bar;
use crate::quantity::with_half;
use crate::scatter::counted;
use crate::terminal::Sheet;
use arcplunge_core::study::scatter::Scatter;
use arcplunge_core::study::sensitivity::indices::Index;
use arcplunge_core::study::sensitivity::{Found, SOUND, shots};

/// Most keys of a figure.
const MOST: usize = 10;

/// Width of an interval from which on an index says little.
const UNSETTLED: f64 = 0.5;

/// Columns of a bar, and of the longest key beside its figures.
const BAR: usize = 9;
const LONGEST: usize = 24;

/// The page. Colour only where asked for.
pub fn page(scatter: &Scatter, found: &[Found], color: bool) -> String {
    let mut sheet = Sheet::new(color);
    sheet.heading(&scatter.base);
    let keys = scatter.draws.len();
    sheet.paragraph(&format!(
        "{} samples of {keys} keys, {} shots, {}, seed {}, 95 % intervals",
        counted(scatter.shots as u64),
        counted(shots(scatter.shots, keys) as u64),
        scatter.points.sampling.words(),
        scatter.points.seed,
    ));
    for figure in found {
        sheet.line("");
        one(scatter, figure, &mut sheet);
    }
    sheet.line("");
    sheet.paragraph(
        "First order: the share of the variance that goes when the key alone is held (Saltelli \
         2010). Total: with all it does together with others (Jansen 1999). Shares of a small \
         scatter are shares of little; they hold for these spreads only.",
    );
    sheet.paragraph(SCREEN);
    sheet.cautions();
    sheet.text
}

fn one(scatter: &Scatter, found: &Found, sheet: &mut Sheet) {
    let head = sheet.paint(name(found.figure), "1");
    let about = match (found.mean, found.deviation) {
        (Some(mean), Some(_)) if found.figure == SOUND => {
            format!(": {:.1} % of the welds are sound", 100.0 * mean)
        }
        (Some(mean), Some(deviation)) => {
            let text = with_half(found.figure, mean, deviation);
            format!(": {text} (mean, standard deviation)")
        }
        _ => String::new(),
    };
    sheet.line(format!("{head}{about}"));
    let Some(shares) = &found.indices else {
        return sheet.line(format!("   {}", none(found)));
    };
    let (all, faint) = ordered(found);
    let keys: Vec<String> = all
        .iter()
        .take(MOST)
        .map(|(k, _)| scatter.draws[*k].address().to_string())
        .collect();
    let wide = keys
        .iter()
        .map(|k| k.chars().count())
        .max()
        .unwrap_or(0)
        .max(14);
    // Long names of metals: the figures stand below their keys.
    let below = wide > LONGEST;
    let lead = if below { 3 } else { 3 + wide + 2 };
    let columns = format!("{:<21} {:<20}", "first order", "total");
    sheet.line(format!("{:lead$}{columns}", ""));
    for (key, (_, i)) in keys.iter().zip(&all) {
        let first = if below {
            sheet.line(format!("   {key}"));
            String::new()
        } else {
            format!("   {key}")
        };
        let bar = bar(i.total.value, BAR);
        let cells = format!("{:<21} {:<20}", cell(i.first), cell(i.total));
        sheet.line(format!("{first:<lead$}{cells} {bar}"));
    }
    let widest = all
        .iter()
        .map(|(_, i)| i.total.high - i.total.low)
        .fold(0.0, f64::max);
    if widest > UNSETTLED {
        sheet.line("   not settled: the intervals are wide; give more --samples");
    }
    let more = all.len().saturating_sub(MOST) + faint;
    if more > 0 {
        let limit = if all.len() > MOST {
            "less"
        } else {
            "below 0.005"
        };
        sheet.line(format!("   {more} more keys, each {limit}"));
    }
    sheet.line(format!(
        "   together only, by interaction: {}",
        cell(shares.interaction)
    ));
    for doubt in doubts(found, scatter.shots) {
        sheet.indented(&doubt, "   ", 3);
    }
}

/// `0.97, 0.94 to 0.99`.
pub(super) fn cell(index: Index) -> String {
    let number = |v: f64| format!("{:.2}", if v.abs() < 0.005 { 0.0 } else { v });
    let (value, low, high) = (number(index.value), number(index.low), number(index.high));
    format!("{value}, {low} to {high}").replace('-', "−")
}
