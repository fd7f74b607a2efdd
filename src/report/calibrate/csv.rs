//! What is known of each unknown as CSV, a row an unknown.

use std::io::Write;

use crate::csv::{Csv, number};
use arcplunge_core::study::calibrate::found::Found;

/// Writes percentiles before and after, mean and standard deviation after, and the spread left \[SI\].
///
/// # Errors
/// When the writer fails.
pub fn csv(out: impl Write, found: &Found) -> ::csv::Result<()> {
    let head = [
        "key",
        "before_5",
        "before_50",
        "before_95",
        "after_5",
        "after_50",
        "after_95",
        "mean",
        "deviation",
        "spread_left",
    ];
    let mut table = Csv::new(out, head)?;
    for m in &found.posterior.marginals {
        let mut cells = vec![m.name.clone()];
        cells.extend(m.before.iter().chain(&m.after).map(|v| number(*v)));
        cells.extend([m.mean, m.deviation, m.narrowed].map(number));
        table.row(&cells)?;
    }
    table.end()
}
