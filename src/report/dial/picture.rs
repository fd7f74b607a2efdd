//! What a dial searched, as a picture: the curves or the map of its range, with the case marked, and what was found.

use super::found::Found;
use super::value::{advised, margin, together};
use crate::sweep::{Found as Mark, picture};
use arcplunge_core::study::dial::{Advice, Dial, Reached};
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
    picture(&sweep, &rows, &show, true, mark(dial, found).as_ref())
}

/// What was found, as the picture marks it; `None` where nothing was.
fn mark(dial: &Dial, found: &Found) -> Option<Mark> {
    let at = advised(dial, found);
    let (word, off) = match found {
        Found::Window(advice) if dial.is_from_none(0, &advice.window) => {
            ("found".into(), vec![0.0])
        }
        Found::Window(Advice { value, window }) => {
            let word = format!("found, {}", margin(dial, 0, window, *value));
            (word, vec![(value - window.low).min(window.high - value)])
        }
        Found::Pair(pair) => {
            let off = [0, 1].map(|k| pair.off(dial, k)).to_vec();
            let both = pair.margin > 0.0 && dial.by_ratio(0) && dial.by_ratio(1);
            let word = match both {
                true => format!("found, {}", together(dial, pair)),
                false => "found".into(),
            };
            (word, off)
        }
        Found::Figure(_, _, Reached::At(_)) => ("found".into(), vec![0.0]),
        Found::Figure(..) | Found::Nowhere(_) => return None,
    };
    Some(Mark { at, off, word })
}
