//! Rim fill against angle as CSV: RFC 4180, SI, ten significant digits.

use std::io::Write;

use super::clock::hour;
use crate::csv::{Csv, number};
use arcplunge_core::study::earths::Blow;

/// Rows round the rim: one a degree.
const ROWS: u32 = 360;

/// Writes the fill of the rim against the angle, counterclockwise from x; no rows without an arc.
///
/// # Errors
/// When the writer fails.
pub fn csv(out: impl Write, blow: &Blow) -> ::csv::Result<()> {
    let mut table = Csv::new(out, ["angle_rad", "clock_h", "fill_ratio"])?;
    for k in 0..ROWS {
        let angle = f64::from(k).to_radians();
        if let Some(fill) = blow.rim(angle) {
            table.row([angle, hour(angle), fill].map(number))?;
        }
    }
    table.end()
}
