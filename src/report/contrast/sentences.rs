//! What a variation did and why, in sentences with the numbers of the run.

use super::rows::signed;
use crate::case::settings::Difference;
use crate::cycle::joints::{JointHeat, Spot, joints};
use crate::cycle::shot::Shot;
use crate::report::format::{engineering, milliseconds, percent, significant};
use crate::report::reasons::advice;
use crate::study::contrast::{Fired, ledger_moves, relative};

/// A figure that moves less than this share of the base is not worth a word.
const NOTED: f64 = 0.02;

/// An element that gains less than this share of the bank is not.
const GAINED: f64 = 0.01;

/// "joints.tool: tight to loose".
pub fn change(d: &Difference) -> String {
    match (&d.from, &d.to) {
        (Some(from), Some(to)) => format!("{}: {from} to {to}", d.key),
        (Some(_), None) => format!("{} taken away", d.key),
        _ => format!("{} added", d.key),
    }
}

/// The cause, in one or two sentences, most telling first.
pub fn cause(base: &Fired, v: &Fired) -> String {
    let mut all: Vec<String> = burning(base, v);
    all.extend(bank(&base.shot, &v.shot));
    all.extend(inductance(&base.shot, &v.shot));
    if all.is_empty() {
        all.extend(gainer(base, v));
    }
    all.extend(timing(&base.shot, &v.shot));
    all.extend(outcome(&base.shot, &v.shot));
    if all.is_empty() {
        all.push(format!(
            "No key figure moves by {} or more.",
            percent(NOTED)
        ));
    }
    let unseen: Vec<&str> = v
        .faults
        .iter()
        .filter_map(|f| f.unseen.as_deref())
        .collect();
    if !unseen.is_empty() {
        all.push(format!("Not computed: {}.", unseen.join("; ")));
    }
    all.join(" ")
}

/// Joints that burn and did not burn so in the base.
fn burning(base: &Fired, v: &Fired) -> Vec<String> {
    let before = joints(&base.rig, &base.shot);
    let stored = v.shot.figures.stored_energy_J;
    let mut hot: Vec<JointHeat> = joints(&v.rig, &v.shot)
        .into_iter()
        .filter(|j| {
            let was = before.iter().find(|b| b.key == j.key);
            let gained = j.energy_J - was.map_or(0.0, |b| b.energy_J);
            j.spot != Spot::Cool
                && (gained > GAINED * stored || was.is_none_or(|b| b.spot < j.spot))
        })
        .collect();
    hot.sort_by(|a, b| b.energy_J.total_cmp(&a.energy_J));
    hot.iter().map(|j| burns(j, stored)).collect()
}

fn burns(j: &JointHeat, stored: f64) -> String {
    let heat = format!(
        "The {} turned {} into heat, {} of the bank; its contact reached {} V",
        j.name,
        engineering(j.energy_J, "J"),
        percent(j.energy_J / stored),
        significant(j.peak_V, 2),
    );
    match (j.spot, j.melts_from_s) {
        (Spot::Melts, from) => {
            let far = if j.peak_V > 3.0 * j.melting_V {
                "far above"
            } else {
                "above"
            };
            let since = from.map_or(String::new(), |t| {
                format!(", and it melts from {} on", milliseconds(t))
            });
            format!(
                "{heat}, {far} the {} V at which {} melts{since}.",
                j.melting_V, j.metal
            )
        }
        _ => format!(
            "{heat}; {} softens at {} V and melts at {} V.",
            j.metal, j.softening_V, j.melting_V
        ),
    }
}

fn bank(base: &Shot, other: &Shot) -> Option<String> {
    let (from, to) = (base.figures.stored_energy_J, other.figures.stored_energy_J);
    let moved = relative(Some(from), Some(to))?;
    (moved.abs() >= 1e-3).then(|| {
        format!(
            "The bank held {} in place of {} ({}).",
            engineering(to, "J"),
            engineering(from, "J"),
            signed(moved * 100.0, "%")
        )
    })
}

fn inductance(base: &Shot, other: &Shot) -> Option<String> {
    let (a, b) = (&base.figures, &other.figures);
    let (from, to) = (a.loop_inductance_H, b.loop_inductance_H);
    let moved = relative(Some(from), Some(to))?;
    (moved.abs() >= 0.05).then(|| {
        let mut text = format!(
            "The loop's inductance went from {} to {} ({})",
            engineering(from, "H"),
            engineering(to, "H"),
            signed(moved * 100.0, "%")
        );
        if let (Some(i), Some(k)) = (a.peak_current_A, b.peak_current_A) {
            text += &format!(
                ", its resistance from {} to {}; the current peaks at {} in place of {}",
                engineering(a.loop_resistance_ohm, "Ω"),
                engineering(b.loop_resistance_ohm, "Ω"),
                engineering(k, "A"),
                engineering(i, "A")
            );
        }
        text + "."
    })
}

/// The element of the loop that gained most.
fn gainer(base: &Fired, v: &Fired) -> Option<String> {
    let stored = v.shot.figures.stored_energy_J;
    let most = ledger_moves(&base.shot, &v.shot)
        .into_iter()
        .filter(|m| !m.name.starts_with("arc ") && !m.name.starts_with("left "))
        .find(|m| m.gain() > GAINED * stored)?;
    Some(format!(
        "The {} took {} in place of {}, {} of the bank more.",
        most.name,
        engineering(most.to, "J"),
        engineering(most.from, "J"),
        percent(most.gain() / stored)
    ))
}

/// What moved in the timing: pip, gap, speed.
fn timing(base: &Shot, other: &Shot) -> Vec<String> {
    let (a, b) = (&base.figures, &other.figures);
    let moved = |from: Option<f64>, to: Option<f64>| {
        let (from, to) = (from?, to?);
        let moved = relative(Some(from), Some(to))?;
        (moved.abs() >= NOTED).then_some((from, to))
    };
    let mut out = Vec::new();
    if let Some((from, to)) = moved(a.ignition_s, b.ignition_s) {
        out.push(format!(
            "The pip burst at {} in place of {}.",
            milliseconds(to),
            milliseconds(from)
        ));
    }
    if let Some((from, to)) = moved(a.gap_at_ignition_m, b.gap_at_ignition_m) {
        out.push(format!(
            "The arc started from a gap of {} in place of {}.",
            engineering(to, "m"),
            engineering(from, "m")
        ));
    }
    if let Some((from, to)) = moved(a.touchdown_speed_m_per_s, b.touchdown_speed_m_per_s) {
        out.push(format!(
            "The stud came down at {} m/s in place of {} m/s.",
            significant(to, 3),
            significant(from, 3)
        ));
    }
    if let Some((from, to)) = moved(a.arc_time_s, b.arc_time_s) {
        let how = if to > from { "longer" } else { "shorter" };
        out.push(format!(
            "The arc burned {how}: {} in place of {}.",
            milliseconds(to),
            milliseconds(from)
        ));
    }
    out
}

/// What came of it: the arc's energy, the melt, the fill.
fn outcome(base: &Shot, other: &Shot) -> Option<String> {
    let (a, b) = (&base.figures, &other.figures);
    let mut parts = Vec::new();
    let mut part = |name: &str, from: Option<f64>, to: Option<f64>, text: fn(f64) -> String| {
        let Some(moved) = relative(from, to).filter(|m| m.abs() >= NOTED) else {
            return;
        };
        if let (Some(from), Some(to)) = (from, to) {
            let way = if moved < 0.0 { "fell" } else { "rose" };
            parts.push(format!(
                "{name} {way} {} ({} to {})",
                percent(moved.abs()),
                text(from),
                text(to)
            ));
        }
    };
    let joules = |v| engineering(v, "J");
    let metres = |v| engineering(v, "m");
    let bare = |v| significant(v, 3);
    part("arc energy", a.arc_energy_J, b.arc_energy_J, joules);
    part("melt in the sheet", a.melt_sheet_m, b.melt_sheet_m, metres);
    part("fill", a.fill_ratio, b.fill_ratio, bare);
    let (last, rest) = parts.split_last()?;
    let text = if rest.is_empty() {
        last.clone()
    } else {
        format!("{} and {last}", rest.join(", "))
    };
    let mut letters = text.chars();
    let first = letters.next()?.to_uppercase().to_string();
    Some(format!("{first}{}.", letters.as_str()))
}

/// What is seen on the weld; none for changed keys.
pub fn seen(v: &Fired) -> Vec<&str> {
    v.faults.iter().map(|f| f.seen.as_str()).collect()
}

/// What helps, with what it brings back.
pub fn remedy(base: &Fired, v: &Fired) -> Vec<String> {
    let mut out: Vec<String> = v.faults.iter().map(|f| f.remedy.clone()).collect();
    if v.faults.is_empty() && v.shot.verdict != base.shot.verdict {
        out.extend(advice(&v.case, &v.rig, &v.shot));
    }
    let arcs = (base.shot.figures.arc_energy_J, v.shot.figures.arc_energy_J);
    let joules = |v| engineering(v, "J");
    match arcs {
        (Some(from), Some(to)) if !v.faults.is_empty() && (from - to).abs() > 0.01 * from => {
            out.push(format!(
                "Mended, the arc has {} again in place of {}.",
                joules(from),
                joules(to)
            ));
        }
        (Some(from), None) if !v.faults.is_empty() => {
            out.push(format!("Mended, there is an arc of {} again.", joules(from)));
        }
        _ => {}
    }
    out
}
