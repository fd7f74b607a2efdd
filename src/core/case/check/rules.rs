//! The rules themselves.

use super::Broken;
use crate::case::model::{Case, Method};
use crate::physics::lead::{bundle_radius, coiled_length, rope_radius};
use crate::physics::pip;
use crate::physics::plunge::{push, touch_gap};

/// The formula for a lead's inductance holds for runs much longer than the rope is thick \[m\].
const SHORTEST_RUN: f64 = 0.1;
/// Two clamps need room side by side \[m\].
const CLAMP_WIDTH: f64 = 0.01;

/// The bank is charged no higher than it may be.
pub(super) fn bank(case: &Case, broken: &mut Vec<Broken>) {
    let voltage = case.bank.voltage;
    if let Some(most) = case.bank.voltage_max.filter(|most| voltage > *most) {
        broken.push(Broken::OverCharged { voltage, most });
    }
}

/// The spring's weakest setting is not stronger than its strongest.
pub(super) fn spring(case: &Case, broken: &mut Vec<Broken>) {
    if let (Some(least), Some(most)) = (case.tool.spring_min, case.tool.spring_max)
        && least > most
    {
        broken.push(Broken::SpringRange { least, most });
    }
}

/// Coil and spacing. Ropes that clear each other and runs longer than their distance keep every
/// mutual inductance below the self inductances, so that the matrix of the branches is positive
/// definite for any lengths.
pub(super) fn leads(case: &Case, broken: &mut Vec<Broken>) {
    let lead = &case.lead;
    let spacing = lead.spacing;
    let coil = coiled_length(lead.turns, lead.coil_diameter);
    let straight = lead.length - coil;
    if coil > lead.length {
        broken.push(Broken::CoilTooLong {
            coil,
            length: lead.length,
        });
    } else if coil > 0.0 && straight <= spacing.max(SHORTEST_RUN) {
        broken.push(Broken::ShortRun {
            straight,
            least: spacing.max(SHORTEST_RUN),
        });
    }
    let bundle = 2.0 * bundle_radius(lead.turns, lead.section);
    if lead.turns > 0.0 && bundle >= lead.coil_diameter {
        broken.push(Broken::CoilTooTight {
            bundle,
            coil_diameter: lead.coil_diameter,
        });
    }
    let earths = case.earths.iter().enumerate();
    let earths = earths.map(|(number, earth)| (Some(number), earth.length));
    for (number, length) in std::iter::once((None, lead.length)).chain(earths) {
        if length <= spacing {
            let of_earth = |number| {
                (
                    format!("earth.{number}.length"),
                    format!("earth lead {number}"),
                )
            };
            let (key, lead) = number.map_or(("lead.length".into(), "the lead".into()), of_earth);
            broken.push(Broken::SpacingTooWide {
                key,
                lead,
                length,
                spacing,
            });
        }
    }
    let mut ropes: Vec<f64> = case
        .earths
        .iter()
        .map(|earth| rope_radius(earth.section))
        .collect();
    ropes.push(rope_radius(lead.section));
    ropes.sort_by(|a, b| b.total_cmp(a));
    if let [first, second, ..] = ropes[..]
        && spacing <= first + second
    {
        let least = first + second;
        broken.push(Broken::LeadsTouch { spacing, least });
    }
}

/// Clamps clear of the flange and of each other.
pub(super) fn clamps(case: &Case, broken: &mut Vec<Broken>) {
    let radius = case.stud.flange / 2.0;
    for (number, earth) in case.earths.iter().enumerate() {
        let [x, y] = earth.at;
        let distance = x.hypot(y);
        let least = radius + earth.clamp_radius;
        if distance < least {
            broken.push(Broken::ClampOnFlange {
                number,
                distance,
                least,
            });
        }
        for (first, other) in case.earths.iter().enumerate().take(number) {
            let apart = (x - other.at[0]).hypot(y - other.at[1]);
            if apart < CLAMP_WIDTH {
                broken.push(Broken::ClampsTogether {
                    first,
                    second: number,
                    apart,
                    least: CLAMP_WIDTH,
                });
            }
        }
    }
}

/// Net push on the stud at the start \[N\].
fn initial_push(case: &Case) -> f64 {
    let t = &case.tool;
    push(
        t.spring_force,
        t.moving_mass,
        t.attitude.along_axis(),
        t.friction,
    )
}

/// Pip, centre mark, lift and tilt.
pub(super) fn stud(case: &Case, broken: &mut Vec<Broken>) {
    let stud = &case.stud;
    let (pip_diameter, pip_length, flange) = (stud.pip_diameter, stud.pip_length, stud.flange);
    if pip_diameter >= flange {
        broken.push(Broken::PipTooWide {
            pip_diameter,
            flange,
        });
    }
    let mut sink = 0.0;
    if let Some(mark) = case.sheet.centre_mark {
        let thickness = case.sheet.thickness;
        let depth = mark.depth;
        if depth >= thickness {
            broken.push(Broken::MarkThroughSheet { depth, thickness });
        }
        if depth > pip_length {
            broken.push(Broken::MarkDeeperThanPip { depth, pip_length });
        }
        sink = pip::sink(depth, mark.angle, pip_diameter, pip_length);
    }
    let rim = touch_gap(0.5 * flange, case.tool.tilt, stud.cone);
    if rim >= pip_length - sink {
        broken.push(Broken::RimFirst { rim });
    }
    let push = initial_push(case);
    if case.tool.method == Method::Contact && stud.short_resistance.is_none() && push <= 0.0 {
        broken.push(Broken::NoPush { push });
    }
    if case.tool.method == Method::Gap && case.tool.lift <= 0.0 {
        broken.push(Broken::NoLift);
    }
}

/// Shares of the arc's power, and the order of melting and boiling.
pub(super) fn heat(case: &Case, broken: &mut Vec<Broken>) {
    let sum = case.arc.to_cathode + case.arc.to_anode;
    // 0.7 + 0.3 and their like may come out a rounding above one.
    if sum > 1.0 + 1e-12 {
        broken.push(Broken::Shares { sum });
    }
    let sheet = (case.sheet.metal != case.stud.metal).then_some(&case.sheet.metal);
    for metal in [&case.stud.metal].into_iter().chain(sheet) {
        if metal.boiling_point <= metal.melting_point {
            broken.push(Broken::BoilsFirst {
                metal: metal.name.clone(),
                melting: metal.melting_point,
                boiling: metal.boiling_point,
            });
        }
    }
}
