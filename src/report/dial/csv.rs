//! What a dial found as CSV, a row a key.

use std::io::Write;

use super::found::Found;
use super::words::limit_name;
use crate::csv::{Csv, cell};
use arcplunge_core::study::dial::{Dial, Reached, Window};

/// Writes key, value, window and what ends it; the cells of what was not found are empty.
///
/// # Errors
/// When the writer fails.
pub fn csv(out: impl Write, dial: &Dial, found: &Found) -> ::csv::Result<()> {
    let head = ["key", "now", "value", "low", "high", "below", "above"];
    let mut table = Csv::new(out, head)?;
    for (k, vary) in dial.turned().iter().enumerate() {
        let window: Option<&Window> = match found {
            Found::Window(advice) => Some(&advice.window),
            Found::Pair(pair) => Some(&pair.windows[k]),
            _ => None,
        };
        let value = match found {
            Found::Pair(pair) => Some(pair.at[k]),
            Found::Figure(_, _, Reached::At(value)) => Some(*value),
            Found::Window(advice) => Some(advice.value),
            _ => None,
        };
        let limit = |end: fn(&Window) -> _| {
            window.map_or(String::new(), |w| limit_name(end(w)).to_string())
        };
        table.row([
            vary.address.to_string(),
            cell(dial.now(k)),
            cell(value),
            cell(window.map(|w| w.low)),
            cell(window.map(|w| w.high)),
            limit(|w| w.below),
            limit(|w| w.above),
        ])?;
    }
    table.end()
}
