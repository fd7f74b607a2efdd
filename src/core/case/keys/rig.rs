//! Keys of the rig: bank, leads, joints and tool.

use std::f64::consts::{FRAC_PI_2, TAU};

use super::key::{Choice, JointPlace, Key, Kind, MARK, MarkPlace, Place, ScalePlace};
use super::number::{Number, Range};
use crate::case::model::{Attitude, Method};
use crate::case::quantity::Dimension;

/// A quantity in the case.
macro_rules! number {
    ($path:literal, $dimension:ident, $unit:literal, $range:expr, $section:ident.$field:ident, $about:literal) => {
        Key {
            path: $path,
            about: $about,
            kind: Kind::Number(
                Number::new(Dimension::$dimension, $unit, $range),
                Place::Case(
                    |case| Some(case.$section.$field),
                    |case| Some(&mut case.$section.$field),
                ),
            ),
        }
    };
}
pub(super) use number;

/// A quantity in an earth lead.
macro_rules! earth {
    ($path:literal, $dimension:ident, $unit:literal, $range:expr, $field:ident $([$index:literal])?, $about:literal) => {
        Key {
            path: $path,
            about: $about,
            kind: Kind::Number(
                Number::new(Dimension::$dimension, $unit, $range),
                Place::Earth(
                    |earth| earth.$field$([$index])?,
                    |earth| &mut earth.$field$([$index])?,
                ),
            ),
        }
    };
}

/// Bounds that reach past any joint that still conducts.
pub(super) const RESISTANCE: Number =
    Number::new(Dimension::Resistance, "mohm", Range::from_to(0.0, 1.0));
const DROP: Number = Number::new(Dimension::Voltage, "V", Range::from_to(0.0, 100.0));

const CONTACT_FORCE: Number = Number::new(Dimension::Force, "N", Range::from_to(0.0, 1e5));

/// A joint, and its parts.
macro_rules! joint {
    ($path:literal, $place:expr, $about:literal) => {
        Key {
            path: $path,
            about: $about,
            kind: Kind::Joint($place),
        }
    };
}
macro_rules! part {
    ($path:literal, $number:expr, $place:expr, $about:expr) => {
        Key {
            path: $path,
            about: $about,
            kind: Kind::Number($number, $place),
        }
    };
}
const ITS_RESISTANCE: &str = "its resistance";
const ITS_FORCE: &str =
    "the force that holds it; the current parts it beyond, none is apart from the start";
const ITS_DROP: &str =
    "voltage of its arc once it has parted; without a force it is apart from the start";

const VOLTAGE: Number = Number::new(Dimension::Voltage, "V", Range::from_to(0.01, 1000.0));
const FORCE: Number = Number::new(Dimension::Force, "N", Range::from_to(0.1, 5000.0));

const LENGTH: Range = Range::from_to(0.1, 200.0);
const SECTION: Range = Range::from_to(1e-6, 1e-3);
/// A direction in the plane of the sheet.
const TURN: Range = Range::from_to(-TAU, TAU);
/// A coordinate of a clamp.
pub(super) const COORDINATE: Number =
    Number::new(Dimension::Length, "mm", Range::from_to(-20.0, 20.0));

const TERMINAL: JointPlace =
    JointPlace::Earth(|earth| &earth.terminal, |earth| &mut earth.terminal);
const CLAMP: JointPlace = JointPlace::Earth(|earth| &earth.clamp, |earth| &mut earth.clamp);
const BANK: JointPlace = JointPlace::Case(|case| &case.joints.bank, |case| &mut case.joints.bank);
const TOOL: JointPlace = JointPlace::Case(|case| &case.joints.tool, |case| &mut case.joints.tool);
const CHUCK: JointPlace =
    JointPlace::Case(|case| &case.joints.chuck, |case| &mut case.joints.chuck);

/// Title, bank, lead, earth, joints and tool. Bounds are generous: they keep absurdities from the
/// solver and judge no rig.
#[rustfmt::skip]
pub(super) const KEYS: &[Key] = &[
    Key { path: "title", about: "title shown above results", kind: Kind::Title },

    number!("bank.capacitance", Capacitance, "mF", Range::from_to(1e-6, 10.0), bank.capacitance, "capacitance of the bank"),
    number!("bank.voltage", Voltage, "V", VOLTAGE.range, bank.voltage, "charging voltage"),
    Key {
        path: "bank.voltage_max",
        about: "highest charging voltage of the bank, from its nameplate",
        kind: Kind::Number(
            VOLTAGE,
            Place::Maybe(|case| case.bank.voltage_max, |case| &mut case.bank.voltage_max),
        ),
    },
    Key {
        path: "bank.scale",
        about: "voltages measured at the marks of a dial that is not in volts; linear interpolation",
        kind: Kind::Scale(ScalePlace {
            number: VOLTAGE,
            get: |case| &case.bank.scale,
            get_mut: |case| &mut case.bank.scale,
        }),
    },
    Key {
        path: "bank.voltage_mark",
        about: "mark of that dial, instead of voltage",
        kind: Kind::Number(MARK, Place::Mark(MarkPlace { number: "bank.voltage", scale: "bank.scale" })),
    },
    number!("bank.esr", Resistance, "mohm", Range::from_to(0.0, 1.0), bank.esr, "equivalent series resistance of the capacitors"),
    number!("bank.switch_drop", Voltage, "V", Range::from_to(0.0, 20.0), bank.switch_drop, "constant part of the thyristor's forward drop"),
    number!("bank.switch_slope", Resistance, "mohm", Range::from_to(0.0, 0.1), bank.switch_slope, "slope resistance of the thyristor"),
    number!("bank.internal_resistance", Resistance, "mohm", Range::from_to(0.0, 1.0), bank.internal_resistance, "resistance of the internal wiring"),
    number!("bank.internal_inductance", Inductance, "uH", Range::from_to(0.0, 1e-3), bank.internal_inductance, "inductance of the internal wiring"),
    number!("bank.diode_drop", Voltage, "V", Range::from_to(0.0, 20.0), bank.diode_drop, "forward drop of the free-wheel diode"),

    number!("lead.length", Length, "m", LENGTH, lead.length, "length, including any coiled part"),
    number!("lead.section", Area, "mm2", SECTION, lead.section, "copper section of the lead"),
    number!("lead.spacing", Length, "m", Range::from_to(5e-3, 20.0), lead.spacing, "mean distance from the earth leads, and between them"),
    Key {
        path: "lead.turns",
        about: "turns of surplus lead coiled on the floor",
        kind: Kind::Number(
            Number::bare(Range::from_to(0.0, 100.0)),
            Place::Case(|case| Some(case.lead.turns), |case| Some(&mut case.lead.turns)),
        ),
    },
    number!("lead.coil_diameter", Length, "m", Range::from_to(0.05, 5.0), lead.coil_diameter, "diameter of that coil"),
    number!("lead.temperature", Temperature, "degC", Range::from_to(273.15 - 60.0, 273.15 + 200.0), lead.temperature, "temperature of all leads"),
    number!("lead.elevation", Angle, "deg", Range::from_to(0.0, FRAC_PI_2), lead.elevation, "angle above the sheet at which it leaves the tool; 90 deg is straight up"),
    number!("lead.direction", Angle, "deg", TURN, lead.direction, "direction in which it leans there, counterclockwise from x, seen from the tool"),
    number!("lead.height", Length, "mm", Range::from_to(0.01, 5.0), lead.height, "height above the sheet at which it leaves the tool"),
    number!("lead.straight_length", Length, "m", LENGTH, lead.straight_length, "straight length there, and of the earth leads at their clamps"),

    earth!("earth.N.length", Length, "m", LENGTH, length, "length of this earth lead"),
    earth!("earth.N.section", Area, "mm2", SECTION, section, "copper section of this earth lead"),
    joint!("earth.N.terminal", TERMINAL, "its terminal at the bank, a joint"),
    part!("earth.N.terminal.resistance", RESISTANCE, Place::Resistance(TERMINAL), ITS_RESISTANCE),
    part!("earth.N.terminal.force", CONTACT_FORCE, Place::Force(TERMINAL), ITS_FORCE),
    part!("earth.N.terminal.drop", DROP, Place::Drop(TERMINAL), ITS_DROP),
    joint!("earth.N.clamp", CLAMP, "its clamp on the sheet, a joint"),
    part!("earth.N.clamp.resistance", RESISTANCE, Place::Resistance(CLAMP), ITS_RESISTANCE),
    part!("earth.N.clamp.force", CONTACT_FORCE, Place::Force(CLAMP), ITS_FORCE),
    part!("earth.N.clamp.drop", DROP, Place::Drop(CLAMP), ITS_DROP),
    earth!("earth.N.clamp_radius", Length, "mm", Range::from_to(1e-4, 1.0), clamp_radius, "radius of the clamp's contact with the sheet"),
    Key { path: "earth.N.at", about: "position of the clamp relative to the stud, in the plane of the sheet", kind: Kind::Position },
    earth!("earth.N.at.x", Length, "mm", COORDINATE.range, at[0], "its first coordinate"),
    earth!("earth.N.at.y", Length, "mm", COORDINATE.range, at[1], "its second coordinate"),
    earth!("earth.N.elevation", Angle, "deg", Range::from_to(-FRAC_PI_2, FRAC_PI_2), elevation, "angle above the sheet at which it leaves the clamp; 0 deg lies flat, -90 deg hangs"),
    earth!("earth.N.azimuth", Angle, "deg", TURN, azimuth, "azimuth there, counterclockwise from the direction away from the stud; 180 deg leads back"),

    joint!("joints.bank", BANK, "joint of the gun lead at the bank"),
    part!("joints.bank.resistance", RESISTANCE, Place::Resistance(BANK), ITS_RESISTANCE),
    part!("joints.bank.force", CONTACT_FORCE, Place::Force(BANK), ITS_FORCE),
    part!("joints.bank.drop", DROP, Place::Drop(BANK), ITS_DROP),
    joint!("joints.tool", TOOL, "joint of the gun lead at the tool"),
    part!("joints.tool.resistance", RESISTANCE, Place::Resistance(TOOL), ITS_RESISTANCE),
    part!("joints.tool.force", CONTACT_FORCE, Place::Force(TOOL), ITS_FORCE),
    part!("joints.tool.drop", DROP, Place::Drop(TOOL), ITS_DROP),
    joint!("joints.chuck", CHUCK, "joint of chuck and stud"),
    part!("joints.chuck.resistance", RESISTANCE, Place::Resistance(CHUCK), ITS_RESISTANCE),
    part!("joints.chuck.force", CONTACT_FORCE, Place::Force(CHUCK), ITS_FORCE),
    part!("joints.chuck.drop", DROP, Place::Drop(CHUCK), ITS_DROP),

    Key {
        path: "tool.method",
        about: "contact: the pip rests on the sheet before the trigger; gap: the stud starts lifted",
        kind: Kind::Choice(Choice {
            words: &["contact", "gap"],
            get: |case| case.tool.method as usize,
            put: |case, index| case.tool.method = [Method::Contact, Method::Gap][index],
        }),
    },
    number!("tool.lift", Length, "mm", Range::from_to(0.0, 0.02), tool.lift, "gap method: tip above the sheet at release"),
    number!("tool.moving_mass", Mass, "g", Range::from_to(1e-3, 10.0), tool.moving_mass, "stud, chuck and slide together"),
    number!("tool.spring_force", Force, "N", FORCE.range, tool.spring_force, "spring force on the stud at the start"),
    Key {
        path: "tool.spring_min",
        about: "weakest spring force the tool can be set to",
        kind: Kind::Number(
            FORCE,
            Place::Maybe(|case| case.tool.spring_min, |case| &mut case.tool.spring_min),
        ),
    },
    Key {
        path: "tool.spring_max",
        about: "strongest spring force the tool can be set to",
        kind: Kind::Number(
            FORCE,
            Place::Maybe(|case| case.tool.spring_max, |case| &mut case.tool.spring_max),
        ),
    },
    Key {
        path: "tool.scale",
        about: "spring forces measured at the marks of the tool; linear interpolation",
        kind: Kind::Scale(ScalePlace {
            number: FORCE,
            get: |case| &case.tool.scale,
            get_mut: |case| &mut case.tool.scale,
        }),
    },
    Key {
        path: "tool.spring_mark",
        about: "mark of the tool, instead of spring_force",
        kind: Kind::Number(MARK, Place::Mark(MarkPlace { number: "tool.spring_force", scale: "tool.scale" })),
    },
    number!("tool.spring_rate", SpringRate, "N/mm", Range::from_to(0.0, 1e6), tool.spring_rate, "decrease of spring force per unit of travel"),
    number!("tool.friction", Force, "N", Range::from_to(0.0, 1000.0), tool.friction, "friction of the slide"),
    Key {
        path: "tool.attitude",
        about: "where the tool points: down, level or up",
        kind: Kind::Choice(Choice {
            words: &["down", "level", "up"],
            get: |case| case.tool.attitude as usize,
            put: |case, index| case.tool.attitude = [Attitude::Down, Attitude::Level, Attitude::Up][index],
        }),
    },
    number!("tool.tilt", Angle, "deg", Range::below(std::f64::consts::FRAC_PI_4), tool.tilt, "angle between the stud's axis and the sheet's normal"),
    Key {
        path: "tool.tilt_towards",
        about: "hour of the clock towards which the tool's top leans; 12 is along y",
        kind: Kind::Number(
            Number::bare(Range::from_to(0.0, 12.0)),
            Place::Case(|case| Some(case.tool.tilt_towards), |case| Some(&mut case.tool.tilt_towards)),
        ),
    },
];
