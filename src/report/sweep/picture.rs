//! A sweep as a picture: curves over one key, a map over two.

use super::{curves, map};
use crate::plot::Size;
use arcplunge_core::study::sweep::{Row, Sweep};

/// What a dial found in the range of its keys.
#[derive(Debug, Clone, PartialEq)]
pub struct Found {
    /// Values of the keys \[SI\].
    pub at: Vec<f64>,
    /// How far each may be off at once \[SI\]; 0 where that is not known.
    pub off: Vec<f64>,
    /// Words for it: "found, ± 15 %".
    pub word: String,
}

/// `show` names the figures, `usual` says whether they are those shown unless others are asked for; what a dial `found` is
/// marked.
pub fn picture(
    sweep: &Sweep,
    rows: &[Row],
    show: &[&'static str],
    usual: bool,
    found: Option<&Found>,
) -> String {
    match sweep.vary.as_slice() {
        [_] => {
            let height = 230 + 150 * show.len().min(curves::MOST) as u32;
            let size = Size {
                height,
                ..Size::default()
            };
            curves::figure(sweep, rows, show, found).draw(size).svg
        }
        _ => {
            // The lines that bound the verdicts are there anyway.
            let extra = if usual { None } else { show.first().copied() };
            map::svg(sweep, rows, extra, found, Size::default())
        }
    }
}
