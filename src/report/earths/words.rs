//! What pushes, how far, and what is missing, in sentences.

use std::f64::consts::PI;

use super::clock::clock;
use crate::format::{engineering, percent, significant, trimmed};
use arcplunge_core::case::Case;
use arcplunge_core::case::catalogue;
use arcplunge_core::case::model::{Earth, Joint};
use arcplunge_core::case::quantity::number;
use arcplunge_core::physics::blow::Plane;
use arcplunge_core::physics::rim::Bare;
use arcplunge_core::study::earths::{Blow, NOTHING, Place, Remedy, is_worn, polar};

/// What the law leaves out.
pub const LIMITS: &str = "Arc blow is computed from first principles in one layer: a wide, even sheet without \
edges or iron, leads as straight filaments, the melt as one free mass. Its directions agree with common \
practice; its magnitude is not validated. Trust which set-up drifts more, not by how much, and make test \
welds.";

/// What the rim will show, in a word or two: `None` where the stud did not come down, or has no wedge.
pub fn witness(blow: &Blow) -> Option<&'static str> {
    Some(match blow.bare()? {
        Bare::Nowhere => "whole",
        Bare::Within { .. } => "one-sided",
        Bare::Everywhere => "missing",
    })
}

/// The word for the page, and the sentence that says cause and effect.
pub fn headline(case: &Case, blow: &Blow) -> (&'static str, String) {
    let Some(distance) = blow.distance() else {
        return no_arc(case, blow);
    };
    let word = match witness(blow) {
        Some(word) => word,
        None if blow.shot.figures.touchdown_s.is_none() => "no weld",
        None => "no wedge",
    };
    (
        word,
        format!("{} {}", cause(case, blow, distance), effect(case, blow)),
    )
}

fn no_arc(case: &Case, blow: &Blow) -> (&'static str, String) {
    let fields = if blow.time.is_some() {
        "The flux densities are those at the peak current."
    } else {
        "No current flows."
    };
    match case.stud.short_resistance {
        Some(_) => (
            "discharge test",
            format!("No arc, so no melt to push. {fields}"),
        ),
        None => (
            "no arc",
            format!("No arc strikes, so no melt drifts. {fields}"),
        ),
    }
}

/// "200 mm away at 9 o'clock".
pub fn place(at: Plane) -> String {
    let (distance, angle) = polar(at);
    format!("{} away at {}", length(distance), clock(angle))
}

/// "200 mm, 9 o'clock", for tables.
pub fn spot(at: Plane) -> String {
    let (distance, angle) = polar(at);
    format!("{}, {}", length(distance), clock(angle))
}

/// A length of a rig, in mm up to a metre.
pub fn length(metres: f64) -> String {
    let (value, unit) = if metres < 0.9995 {
        (metres * 1e3, "mm")
    } else {
        (metres, "m")
    };
    format!("{} {unit}", trimmed(value))
}

/// A drift for people; below the noticeable it is none.
pub fn drift(metres: f64) -> String {
    if metres < NOTHING {
        "none".into()
    } else if metres < 0.9995e-3 {
        // Micrometres without a third digit that means nothing.
        format!("{} µm", significant(metres * 1e6, 2))
    } else {
        engineering(metres, "m")
    }
}

fn cause(case: &Case, blow: &Blow, distance: f64) -> String {
    let (Some(culprit), Some(heading)) = (blow.culprit(), blow.heading()) else {
        return if case.earths.len() > 1 {
            "The forces of the clamps cancel: the melt does not drift.".into()
        } else {
            "No force moves the melt by a noticeable distance.".into()
        };
    };
    let (far, to) = (drift(distance), clock(heading));
    match culprit {
        Place::Sheet(k) if case.earths.len() == 1 => {
            let at = place(case.earths[k].at);
            let (_, angle) = polar(case.earths[k].at);
            if clock(angle + PI) == to {
                format!("The clamp {at} pushes the melt {far} away from it, towards {to}.")
            } else {
                format!("The clamp {at} pushes most; the melt drifts {far} towards {to}.")
            }
        }
        Place::Sheet(k) => format!(
            "The clamp of earth {k}, {}, takes {} of the charge and pushes most; the melt drifts {far} towards \
             {to}.",
            place(case.earths[k].at),
            percent(blow.share(k)),
        ),
        Place::EarthLead(k) => format!(
            "The lead of earth {k}, which does not lie flat, pushes most; the melt drifts {far} towards {to}."
        ),
        Place::GunLead => format!(
            "The gun lead, leaning to {}, pushes most; the melt drifts {far} towards {to}.",
            clock(case.lead.direction)
        ),
    }
}

fn effect(case: &Case, blow: &Blow) -> String {
    let fill = significant(blow.shot.figures.fill_ratio.unwrap_or(0.0), 3);
    let (Some(bare), Some(weakest)) = (blow.bare(), blow.weakest()) else {
        if blow.shot.figures.touchdown_s.is_none() {
            return "The stud did not come down: no rim is filled.".into();
        }
        return "The face has no wedge to fill.".into();
    };
    let weak = significant(weakest, 3);
    let tilt = case.tool.tilt;
    let (it, the) = match tilt > 0.0 {
        true => {
            let with = format!("With the tilt of {}°", trimmed(tilt.to_degrees()));
            (format!("{with} it"), format!("{with} the"))
        }
        false => ("It".into(), "The".into()),
    };
    match (bare, blow.weakest_at()) {
        (Bare::Nowhere, None) => format!("{it} reaches the rim all round (fill {fill})."),
        (Bare::Nowhere, Some(at)) => format!(
            "{it} still reaches the rim all round: the fill is {weak} at {}, the weakest side (1 needed).",
            clock(at)
        ),
        (Bare::Within { middle, half }, _) => format!(
            "{the} witness will be missing {} (fill down to {weak}).",
            stretch(middle, half)
        ),
        (Bare::Everywhere, _) => format!(
            "The witness is missing all round, with or without arc blow (fill {fill}, 1 needed)."
        ),
    }
}

/// "from 10 to 2 o'clock": clockwise, to the half hour.
pub fn stretch(middle: f64, half: f64) -> String {
    let (from, to) = (clock(middle + half), clock(middle - half));
    if from == to {
        return if half < 0.5 * PI {
            format!("around {from}")
        } else {
            format!("nearly all round, but for {}", clock(middle + PI))
        };
    }
    let from = match to.ends_with("o'clock") {
        true => from.trim_end_matches(" o'clock"),
        false => &from,
    };
    format!("from {from} to {to}")
}

/// A remedy in a few words, the tool squared beside it where it is tilted.
pub fn remedy(case: &Case, remedy: Remedy) -> String {
    let change = change(case, remedy);
    match remedy {
        Remedy::Squared => change,
        _ if case.tool.tilt > 0.0 => format!("{change}, and the tool square"),
        _ => change,
    }
}

/// The remedy alone.
pub fn change(case: &Case, remedy: Remedy) -> String {
    match remedy {
        Remedy::Squared => "the tool square".into(),
        Remedy::Mirrored { like, at } | Remedy::Added { like, at } => {
            let like = match case.earths.len() {
                _ if is_worn(&case.earths[like]) => ", tight".to_string(),
                1 => " like it".into(),
                _ => format!(" like {like}"),
            };
            format!("one more clamp{like}, {}", place(at))
        }
        Remedy::Moved { at, .. } if case.earths.len() == 1 => {
            format!("the clamp moved, {}", place(at))
        }
        Remedy::Moved { earth, at } => format!("clamp {earth} moved, {}", place(at)),
        Remedy::Alike => {
            let lengths = case.earths.iter().map(|e| e.length);
            let sections = case.earths.iter().map(|e| e.section);
            format!(
                "earth leads alike, {} m of {} mm²",
                trimmed(lengths.fold(f64::MAX, f64::min)),
                trimmed(sections.fold(0.0, f64::max) * 1e6)
            )
        }
        Remedy::Tight => "all earth terminals and clamps tight".into(),
        Remedy::LeadUp => "gun lead straight up".into(),
        Remedy::Turned { direction } => {
            format!("tool turned, gun lead to {}", clock(direction))
        }
    }
}

/// A joint by its name and its figures.
pub fn joint(joint: &Joint) -> String {
    let mut text = format!("{} mohm", number(joint.resistance * 1e3, 3));
    if let Some(force) = joint.force {
        text.push_str(&format!(", {} N", number(force, 3)));
    }
    if let Some(drop) = joint.drop.filter(|drop| *drop > 0.0) {
        text.push_str(&format!(", {} V", number(drop, 3)));
    }
    match catalogue::find_joint(&joint.name) {
        Some(_) => format!("{}, {text}", joint.name),
        None => text,
    }
}

/// What makes the field, in words.
pub fn name(case: &Case, place: Place) -> String {
    match place {
        Place::Sheet(k) => format!("sheet current to clamp {k}"),
        Place::EarthLead(k) => format!("earth lead {k}, {}", lies(&case.earths[k])),
        Place::GunLead if case.lead.elevation >= std::f64::consts::FRAC_PI_2 => {
            "gun lead, straight up".into()
        }
        Place::GunLead => format!("gun lead, leaning to {}", clock(case.lead.direction)),
    }
}

fn lies(earth: &Earth) -> &'static str {
    match earth.elevation {
        e if e > 0.0 => "rising from the clamp",
        e if e < 0.0 => "hanging from the clamp",
        _ => "flat on the sheet",
    }
}

/// What is left where pushes cancel is rounding.
const ROUNDING: f64 = 1e-12;

/// A drift \[m\] without what rounding left of none.
pub fn settled(metres: f64) -> f64 {
    if metres.abs() < ROUNDING { 0.0 } else { metres }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stretches_are_told_clockwise() {
        let at = |hour: f64| super::super::clock::angle(hour);
        assert_eq!(stretch(at(12.0), PI / 3.0), "from 10 to 2 o'clock");
        assert_eq!(stretch(at(11.75), PI / 3.5), "from 10 o'clock to 1:30");
        assert_eq!(stretch(at(9.0), PI / 4.0), "from 7:30 to 10:30");
        assert_eq!(stretch(at(9.0), 0.05), "around 9 o'clock");
        assert_eq!(
            stretch(at(9.0), PI - 0.05),
            "nearly all round, but for 3 o'clock"
        );
    }

    #[test]
    fn lengths_and_drifts_read_well() {
        assert_eq!(place([-0.2, 0.0]), "200 mm away at 9 o'clock");
        assert_eq!(place([0.0, 1.5]), "1.5 m away at 12 o'clock");
        assert_eq!(drift(29.4e-6), "29 µm");
        assert_eq!(drift(1e-9), "none");
    }
}
