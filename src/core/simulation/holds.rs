//! What a pull would break: the least of three loads, all upper bounds.

use serde::Serialize;

use super::rig::Rig;
use crate::physics::strength;

/// Angle to which a stud welded by tip ignition is bent in the test and must hold \[°\]: ISO 14555, from memory.
pub const BEND_TEST: f64 = 30.0;

/// What may break.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Part {
    /// The weld tears off.
    Weld,
    /// The stud breaks in its thread.
    Stud,
    /// A plug comes out of the sheet.
    Sheet,
}

impl Part {
    /// Name in files.
    pub fn name(self) -> &'static str {
        match self {
            Part::Weld => "weld",
            Part::Stud => "stud",
            Part::Sheet => "sheet",
        }
    }
}

/// Loads at which they break.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize)]
#[allow(non_snake_case)] // the names of the JSON file, units included
pub struct Holds {
    /// The weld: the weaker metal over the welded share of the flange; `None` without a touchdown \[N\].
    pub weld_N: Option<f64>,
    /// The stud's thread; `None` for a stud that is not the catalogue's \[N\].
    pub stud_N: Option<f64>,
    /// The sheet; `None` without a stud \[N\].
    pub sheet_N: Option<f64>,
    /// What breaks at the least of them; `None` without a weld, and of a sheet that was molten through.
    pub breaks_first: Option<Part>,
}

impl Holds {
    /// The loads of a weld with this share of its flange welded, the sheet's back as hot as `back` \[K\]; without a weld, or a
    /// sheet that is not molten through, nothing is to be pulled at.
    pub fn new(rig: &Rig, welded_share: Option<f64>, back: Option<f64>) -> Self {
        if rig.circuit.bolted.is_some() {
            return Holds::default();
        }
        let s = &rig.strength;
        let weaker = s.metals[0].min(s.metals[1]);
        let mut out = Holds {
            weld_N: welded_share.map(|share| strength::weld(weaker, rig.stud.flange_area, share)),
            stud_N: s.stud,
            sheet_N: Some(s.sheet),
            breaks_first: None,
        };
        let melts = rig.faces[1].enthalpy.melting_point;
        let whole = back.is_none_or(|hottest| hottest < melts);
        if out.weld_N.is_some() && whole {
            out.breaks_first = out.least().map(|(part, _)| part);
        }
        out
    }

    /// The least load \[N\], and what it breaks.
    pub fn least(&self) -> Option<(Part, f64)> {
        let all = [
            (Part::Weld, self.weld_N),
            (Part::Stud, self.stud_N),
            (Part::Sheet, self.sheet_N),
        ];
        all.into_iter()
            .filter_map(|(part, load)| Some((part, load?)))
            .min_by(|a, b| a.1.total_cmp(&b.1))
    }
}
