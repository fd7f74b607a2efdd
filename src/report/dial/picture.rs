//! What a dial searched, as a picture: the curves or the map of its range, with the case marked.

use super::found::Found;
use crate::sweep::picture;
use arcplunge_core::study::dial::Dial;
use arcplunge_core::study::sweep::{Row, Sweep};

/// Values of the range of one key, and of each of two.
const CURVE: usize = 161;
const MAP: usize = 61;

/// Figures shown over one key, beside the one that was wanted.
const SHOWN: [&str; 3] = ["fill_ratio", "vapour_share", "arc_energy_J"];

/// The picture as SVG; fires the range anew.
pub fn svg(dial: &Dial, found: &Found) -> String {
    let mut vary = dial.turned().to_vec();
    let count = if vary.len() == 1 { CURVE } else { MAP };
    for (k, key) in vary.iter_mut().enumerate() {
        [key.from, key.to] = dial.ends(k);
        key.count = count;
    }
    let sweep = Sweep {
        base: dial.base().clone(),
        vary,
        settings: arcplunge_core::simulation::fire::Settings::default(),
    };
    let rows: Vec<Row> = sweep.rows(0).collect();
    let mut show = SHOWN.to_vec();
    if let Found::Figure(name, ..) = found
        && !show.contains(name)
    {
        show.insert(0, name);
    }
    picture(&sweep, &rows, &show, true)
}
