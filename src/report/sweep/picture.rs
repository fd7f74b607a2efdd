//! A sweep as a picture: curves over one key, a map over two.

use super::{curves, map};
use crate::plot::Size;
use arcplunge_core::study::sweep::{Row, Sweep};

/// `show` names the figures, `usual` says whether they are those shown unless others are asked for.
pub fn picture(sweep: &Sweep, rows: &[Row], show: &[&'static str], usual: bool) -> String {
    match sweep.vary.as_slice() {
        [vary] => {
            let now = vary.address.number(&sweep.base);
            let height = 230 + 150 * show.len().min(curves::MOST) as u32;
            let size = Size {
                height,
                ..Size::default()
            };
            curves::figure(sweep, rows, show, now).draw(size).svg
        }
        _ => {
            // The lines that bound the verdicts are there anyway.
            let extra = if usual { None } else { show.first().copied() };
            map::svg(sweep, rows, extra, Size::default())
        }
    }
}
