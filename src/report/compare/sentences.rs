//! What a variation did and why, in sentences with the numbers of the run.

use super::joules::{self, GAINED};
use crate::earths::clock;
use crate::earths::words::{drift, headline};
use crate::format::{
    capital, celsius, depth, engineering, listed, melt_volume, milliseconds, percent, significant,
    trimmed,
};
use crate::quantity::{compared, signed};
use crate::reasons::balance;
use arcplunge_core::case::keys::EARTH;
use arcplunge_core::case::model::Metal;
use arcplunge_core::case::settings::Difference;
use arcplunge_core::simulation::shot::Shot;
use arcplunge_core::simulation::verdict::Verdict;
use arcplunge_core::study::assessment::Assessment;
use arcplunge_core::study::compare::{ledger_moves, relative};

/// A figure that moves less than this share of the base is not worth mentioning.
const NOTED: f64 = 0.02;

/// A back face hotter by less than this is not \[K\].
const HOTTER: f64 = 20.0;

/// Change of the loop's inductance that is a cause in itself.
const CLEARLY: f64 = 0.15;

/// Change of what the weakest side of the rim lacks against its mean that is worth mentioning.
const UNEVEN: f64 = 0.01;

/// Validity of the law of arc blow.
const UNPROVEN: &str = "(Trust the direction of the arc blow; its magnitude is not validated.)";

/// "joints.tool: tight to loose".
pub fn change(d: &Difference) -> String {
    match (&d.from, &d.to) {
        (Some(from), Some(to)) => format!("{}: {from} to {to}", d.key),
        (Some(_), None) => format!("{} removed", d.key),
        _ => format!("{} added", d.key),
    }
}

/// The cause in a few sentences, most telling first, and where the arc is blown.
pub fn cause(base: &Assessment, v: &Assessment) -> String {
    let mut all = moved(base, v);
    all.extend(blown(base, v));
    if all.is_empty() {
        all.extend(little(&base.shot, &v.shot));
    }
    all.join(" ")
}

/// The same for a page that draws the rim: how far the melt drifts is said, the rest is seen there.
pub fn cause_beside_rim(base: &Assessment, v: &Assessment) -> String {
    let mut all = moved(base, v);
    let blow = blown(base, v).and_then(|_| Some((v.blow.distance()?, v.blow.heading()?)));
    all.extend(blow.map(|(metres, heading)| {
        let (far, to) = (drift(metres), clock(heading));
        format!("The melt drifts {far} towards {to}: see \"Rim, seen from above\".")
    }));
    if all.is_empty() {
        all.extend(little(&base.shot, &v.shot));
    }
    all.join(" ")
}

/// What moved in loop, timing and heat.
fn moved(base: &Assessment, v: &Assessment) -> Vec<String> {
    let [mut all, slight] = joules::causes(base, v);
    all.extend(metals(base, v));
    all.extend(mark(base, v));
    all.extend(tilt(base, v));
    all.extend(inductance(&base.shot, &v.shot));
    let gaps = (
        base.shot.figures.gap_at_ignition_m,
        v.shot.figures.gap_at_ignition_m,
    );
    let other_gap = relative(gaps.0, gaps.1).is_some_and(|m| m.abs() > 0.1);
    if all.is_empty() && !other_gap {
        all.extend(gainer(base, v));
    }
    all.extend(timing(&base.shot, &v.shot));
    all.extend(back_face(&base.shot, &v.shot));
    all.extend(outcome(&base.shot, &v.shot));
    if all.is_empty() {
        all.extend(slight);
    }
    if v.faults.is_empty() && v.shot.verdict != base.shot.verdict {
        all.extend(balance(&v.shot));
    }
    all
}

/// Where the melt goes, where earth leads were changed or the rim is filled less evenly than in the base.
fn blown(base: &Assessment, v: &Assessment) -> Option<String> {
    let short = |s: &Assessment| Some(1.0 - s.blow.weakest()? / s.blow.shot.figures.fill_ratio?);
    let (from, to) = (short(base).unwrap_or(0.0), short(v)?);
    let earths = v.changes.iter().any(|d| d.key.starts_with(EARTH));
    if !earths && (to - from).abs() < UNEVEN {
        return None;
    }
    let was = base.blow.distance().zip(base.blow.weakest());
    let was = was.map_or(String::new(), |(metres, weakest)| {
        let weakest = significant(weakest, 3);
        format!(" Base: drift {}, weakest side {weakest}.", drift(metres))
    });
    let now = headline(&v.case, &v.blow).1;
    Some(format!("{now}{was} {UNPROVEN}"))
}

/// What moved most, where all that moved is little.
fn little(base: &Shot, other: &Shot) -> Option<String> {
    let (a, b) = (&base.figures, &other.figures);
    let none = format!("No key figure changes by {} or more", percent(NOTED));
    let most = compared()
        .filter_map(|row| Some((row, relative(row.of(a), row.of(b))?)))
        .max_by(|p, q| p.1.abs().total_cmp(&q.1.abs()))?;
    let (row, moved) = most;
    if moved == 0.0 {
        return Some(format!("{none}."));
    }
    Some(format!(
        "{none}; {} changes most, from {} to {} ({}).",
        row.compared,
        row.value(a),
        row.value(b),
        signed(moved * 100.0, "%")
    ))
}

/// Another metal under the stud, with the constant of it that explains which way the fill went.
fn metals(base: &Assessment, v: &Assessment) -> Option<String> {
    let (from, to) = (&base.case.sheet.metal, &v.case.sheet.metal);
    if from == to {
        return None;
    }
    let fill = |a: &Assessment| a.shot.figures.fill_ratio.unwrap_or(0.0);
    let colder = fill(v) < fill(base);
    // The more of it, the less melts.
    let acts = |constant: fn(&Metal) -> f64| {
        let moved = relative(Some(constant(from)), Some(constant(to))).unwrap_or(0.0);
        moved.abs() >= NOTED && (moved > 0.0) == colder
    };
    let same = from.name == to.name;
    let what = if acts(|m| m.conductivity_solid) {
        let [from, to] = [from, to].map(|m| trimmed(m.conductivity_solid));
        Some(format!("conducts heat at {to} W/(m·K) instead of {from}"))
    } else if acts(|m| m.melting_point) {
        let [from, to] = [from, to].map(|m| celsius(m.melting_point));
        Some(format!("melts at {to} instead of {from}"))
    } else {
        None
    };
    Some(match (same, what) {
        (true, Some(what)) => format!("The sheet's {} {what}.", to.name),
        (true, None) => format!(
            "The sheet's {} has other constants, set so or learnt from test welds.",
            to.name
        ),
        (false, Some(what)) => {
            format!("The sheet is of {}, not {}: it {what}.", to.name, from.name)
        }
        (false, None) => format!("The sheet is of {}, not {}.", to.name, from.name),
    })
}

fn mark(base: &Assessment, v: &Assessment) -> Option<String> {
    let (from, to) = (&base.rig.stud, &v.rig.stud);
    (to.rim.mark > from.rim.mark).then(|| {
        let melt = format!(
            "{} of melt, {} of what the weld needs",
            melt_volume(to.rim.mark),
            percent(to.rim.mark / (to.rim.mark + to.rim.wedge()))
        );
        if to.sink <= 0.0 {
            return format!("The mark takes {melt}; the pip rests on its rim.");
        }
        format!(
            "The mark swallows {} of the pip's {} and {melt}.",
            engineering(to.sink, "m"),
            engineering(to.pip_length, "m"),
        )
    })
}

fn tilt(base: &Assessment, v: &Assessment) -> Option<String> {
    let (from, to) = (&base.rig.stud, &v.rig.stud);
    (to.touch_gap > from.touch_gap).then(|| {
        format!(
            "One side of the rim meets the sheet while the middle is still {} above it.",
            engineering(to.touch_gap, "m")
        )
    })
}

fn back_face(base: &Shot, other: &Shot) -> Option<String> {
    let (from, to) = (base.figures.back_face_K?, other.figures.back_face_K?);
    (to - from >= HOTTER).then(|| {
        format!(
            "The back face reached {} instead of {}.",
            celsius(to),
            celsius(from)
        )
    })
}

fn inductance(base: &Shot, other: &Shot) -> Option<String> {
    let (a, b) = (&base.figures, &other.figures);
    let (from, to) = (a.loop_inductance_H, b.loop_inductance_H);
    let moved = relative(Some(from), Some(to))?;
    (moved.abs() >= CLEARLY).then(|| {
        let mut text = format!(
            "The loop's inductance changed from {} to {} ({})",
            engineering(from, "H"),
            engineering(to, "H"),
            signed(moved * 100.0, "%")
        );
        if let (Some(i), Some(k)) = (a.peak_current_A, b.peak_current_A) {
            let ohms = [a.loop_resistance_ohm, b.loop_resistance_ohm];
            if (ohms[1] - ohms[0]).abs() > NOTED * ohms[0] {
                let [from, to] = ohms.map(|r| engineering(r, "Ω"));
                text += &format!(", its resistance from {from} to {to}");
            }
            text += &format!(
                "; the current peaks at {} instead of {}",
                engineering(k, "A"),
                engineering(i, "A")
            );
        }
        text + "."
    })
}

/// The element of the loop that gained most.
fn gainer(base: &Assessment, v: &Assessment) -> Option<String> {
    let stored = v.shot.figures.stored_energy_J;
    let most = ledger_moves(&base.shot, &v.shot)
        .into_iter()
        .filter(|m| !m.name.starts_with("arc ") && !m.name.starts_with("left "))
        .find(|m| m.gain() > GAINED * stored)?;
    Some(format!(
        "The {} took {} instead of {}, {} of the bank more.",
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
            "The pip burst at {} instead of {}.",
            milliseconds(to),
            milliseconds(from)
        ));
    }
    if let Some((from, to)) = moved(a.gap_at_ignition_m, b.gap_at_ignition_m) {
        out.push(format!(
            "The arc started from a gap of {} instead of {}.",
            engineering(to, "m"),
            engineering(from, "m")
        ));
    }
    if let Some((from, to)) = moved(a.touchdown_speed_m_per_s, b.touchdown_speed_m_per_s) {
        out.push(format!(
            "The stud came down at {} m/s instead of {} m/s.",
            significant(to, 3),
            significant(from, 3)
        ));
    }
    if let Some((from, to)) = moved(a.arc_time_s, b.arc_time_s) {
        let how = if to > from { "longer" } else { "shorter" };
        out.push(format!(
            "The arc burned {how}: {} instead of {}.",
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
    let bare = |v| significant(v, 3);
    part("arc energy", a.arc_energy_J, b.arc_energy_J, joules);
    part("melt in the sheet", a.melt_sheet_m, b.melt_sheet_m, depth);
    part("fill", a.fill_ratio, b.fill_ratio, bare);
    (!parts.is_empty()).then(|| format!("{}.", capital(&listed(&parts))))
}

/// What is seen on the weld; none for changed keys.
pub fn seen(base: &Assessment, v: &Assessment) -> Vec<String> {
    let mut out: Vec<String> = v.faults.iter().map(|f| f.seen.clone()).collect();
    // What is known from practice is the fault in full; here it may not have come to that, or make up for another.
    if (v.shot.verdict == base.shot.verdict || v.shot.verdict == Some(Verdict::Sound))
        && let Some(first) = out.first_mut()
    {
        let mut letters = first.chars();
        let initial = letters.next().map(|c| c.to_lowercase().to_string());
        *first = format!(
            "Where it goes further than here: {}{}",
            initial.unwrap_or_default(),
            letters.as_str()
        );
    }
    out
}
