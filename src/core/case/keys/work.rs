//! Keys of the work and of the model: stud, sheet, arc, constants.

use super::key::{Choice, Key, Kind, Place};
use super::number::{Number, Range};
use super::rig::number;
use crate::case::model::{Case, CentreMark, Polarity};
use crate::case::quantity::Dimension;

/// A bare number.
macro_rules! bare {
    ($path:literal, $range:expr, $section:ident.$field:ident, $about:literal) => {
        Key {
            path: $path,
            about: $about,
            kind: Kind::Number(
                Number::bare($range),
                Place::Case(
                    |case| Some(case.$section.$field),
                    |case| Some(&mut case.$section.$field),
                ),
            ),
        }
    };
}

pub(super) use bare;

/// A bare number that says others in other words.
macro_rules! view {
    ($path:literal, $range:expr, $get:expr, $put:expr, $about:literal) => {
        Key {
            path: $path,
            about: $about,
            kind: Kind::Number(Number::bare($range), Place::View($get, $put)),
        }
    };
}

const SHARE: Range = Range::from_to(0.0, 1.0);

/// Stud, sheet, arc and model. Bounds are generous: they keep absurdities from the solver and
/// judge no weld.
#[rustfmt::skip]
pub(super) const KEYS: &[Key] = &[
    Key { path: "stud.size", about: "catalogue size, M3 to M8, or own", kind: Kind::Size },
    number!("stud.flange", Length, "mm", Range::from_to(1e-3, 0.05), stud.flange, "flange diameter"),
    number!("stud.pip_diameter", Length, "mm", Range::from_to(1e-4, 0.01), stud.pip_diameter, "pip diameter"),
    number!("stud.pip_length", Length, "mm", Range::from_to(5e-5, 0.01), stud.pip_length, "pip length"),
    Key {
        path: "stud.metal",
        about: "metal of the stud",
        kind: Kind::Metal(|case| &case.stud.metal, |case| &mut case.stud.metal),
    },
    Key {
        path: "stud.polarity",
        about: "pole of the stud; negative, the cathode, is usual for steel",
        kind: Kind::Choice(Choice {
            words: &["negative", "positive"],
            get: |case| case.stud.polarity as usize,
            put: |case, index| case.stud.polarity = [Polarity::Negative, Polarity::Positive][index],
        }),
    },
    number!("stud.cone", Angle, "deg", Range::from_to(0.1 * DEGREE, 30.0 * DEGREE), stud.cone, "cone angle of the flange's face"),
    Key {
        path: "stud.short_resistance",
        about: "a bolted short instead of the stud, for a discharge test",
        kind: Kind::Number(
            Number::new(Dimension::Resistance, "mohm", Range::from_to(0.0, 1.0)),
            Place::Maybe(|case| case.stud.short_resistance, |case| &mut case.stud.short_resistance),
        ),
    },

    Key {
        path: "sheet.metal",
        about: "metal of the sheet",
        kind: Kind::Metal(|case| &case.sheet.metal, |case| &mut case.sheet.metal),
    },
    number!("sheet.thickness", Length, "mm", Range::from_to(1e-4, 0.05), sheet.thickness, "thickness of the sheet"),
    Key { path: "sheet.centre_mark", about: "a centre punch mark under the pip", kind: Kind::CentreMark },
    Key {
        path: "sheet.centre_mark.depth",
        about: "its depth",
        kind: Kind::Number(
            MARK_DEPTH,
            Place::Case(
                |case| case.sheet.centre_mark.map(|mark| mark.depth),
                |case| Some(&mut case.sheet.centre_mark.get_or_insert(SQUARE_MARK).depth),
            ),
        ),
    },
    Key {
        path: "sheet.centre_mark.angle",
        about: "its included angle, 90 deg unless given",
        kind: Kind::Number(
            Number::new(Dimension::Angle, "deg", Range::from_to(20.0 * DEGREE, 170.0 * DEGREE)),
            Place::Case(
                |case| case.sheet.centre_mark.map(|mark| mark.angle),
                |case| case.sheet.centre_mark.as_mut().map(|mark| &mut mark.angle),
            ),
        ),
    },

    Key {
        path: "arc.fall",
        about: "sum of the electrode falls; none is that of the metals",
        kind: Kind::Number(
            Number::new(Dimension::Voltage, "V", Range::from_to(0.0, 100.0)),
            Place::Follows(|case| case.arc.fall, Case::arc_fall, |case| &mut case.arc.fall),
        ),
    },
    number!("arc.field", Field, "V/mm", Range::from_to(0.0, 1e5), arc.field, "field of the column"),
    number!("arc.resistance", Resistance, "mohm", Range::from_to(0.0, 0.1), arc.resistance, "slope resistance of the arc"),
    bare!("arc.to_cathode", SHARE, arc.to_cathode, "share of the arc's power into the cathode"),
    bare!("arc.to_anode", SHARE, arc.to_anode, "share of the arc's power into the anode"),
    view!("arc.to_stud", SHARE, |case| case.heat_shares()[0], |case, share| *pole_of(case, 0) = share, "older name of the share of the pole the stud is"),
    view!("arc.to_sheet", SHARE, |case| case.heat_shares()[1], |case, share| *pole_of(case, 1) = share, "older name of the share of the pole the sheet is"),
    view!("arc.to_both", SHARE, to_both, |case, sum| share_out(case, sum, split(case)), "to_cathode and to_anode together; their difference is kept"),
    view!("arc.split", Range::from_to(-1.0, 1.0), split, |case, split| share_out(case, to_both(case), split), "to_cathode less to_anode; their sum is kept"),

    bare!("model.burst_share", SHARE, model.burst_share, "share of the heat of vaporisation the pip absorbs before it bursts"),
    bare!("model.pip_share", SHARE, model.pip_share, "share of the pip's volume that ends up as filler"),
    number!("model.forge_resistance", Resistance, "uohm", Range::from_to(0.0, 0.1), model.forge_resistance, "resistance of the weld once the arc is shorted"),
    number!("model.stud_depth", Length, "mm", Range::from_to(2e-4, 0.05), model.stud_depth, "depth of stud that takes part in conduction"),
    number!("model.end_time", Time, "ms", Range::from_to(1e-3, 10.0), model.end_time, "longest record of a discharge that does not end by itself"),
    bare!("model.hot_share", SHARE, model.hot_share, "vapour share above which a weld is called hot"),
    bare!("model.burn_share", SHARE, model.burn_share, "share of the sheet's thickness that may melt before it is called burnt through"),
    bare!("model.overfill", Range::from_to(1.0, 1000.0), model.overfill, "fill above which most of the melt leaves as spatter and a weld is called hot"),
];

/// The share of the pole that a face is; 0 the stud's, 1 the sheet's.
fn pole_of(case: &mut Case, face: usize) -> &mut f64 {
    let cathode = usize::from(case.stud.polarity == Polarity::Positive);
    if face == cathode {
        &mut case.arc.to_cathode
    } else {
        &mut case.arc.to_anode
    }
}

fn to_both(case: &Case) -> f64 {
    case.arc.to_cathode + case.arc.to_anode
}

fn split(case: &Case) -> f64 {
    case.arc.to_cathode - case.arc.to_anode
}

fn share_out(case: &mut Case, sum: f64, split: f64) {
    case.arc.to_cathode = 0.5 * (sum + split);
    case.arc.to_anode = 0.5 * (sum - split);
}

/// Depth of a centre mark.
pub(super) const MARK_DEPTH: Number = Number::new(Dimension::Length, "mm", Range::above_zero(0.01));

const DEGREE: f64 = std::f64::consts::PI / 180.0;

/// A mark whose depth is still to be set.
pub(super) const SQUARE_MARK: CentreMark = CentreMark {
    depth: 0.0,
    angle: std::f64::consts::FRAC_PI_2,
};
