//! The chart's words: the rig, what was searched, why a stud cannot be welded, what the columns mean.

use super::cells::stud;
use super::groups::{groups, method_of_all};
use crate::dial::{NO_HIGHER, beyond, nowhere};
use crate::format::trimmed;
use crate::mark;
use arcplunge_core::case::keys::scale_of;
use arcplunge_core::case::model::{Method, Tool};
use arcplunge_core::study::chance::Chance;
use arcplunge_core::study::chart::{Answer, Chart, KEYS, Setting, tool};
use arcplunge_core::study::dial::Limit;

/// Name of the page.
pub fn title(chart: &Chart) -> String {
    match chart.base.title.as_str() {
        "" => "Settings chart".into(),
        own => format!("Settings chart: {own}"),
    }
}

/// The rig the chart is for, in one line.
pub fn rig(chart: &Chart) -> String {
    let c = &chart.base;
    let leads = match c.earths.len() {
        1 => "1 earth lead".to_string(),
        n => format!("{n} earth leads"),
    };
    let method = match method_of_all(chart) {
        None => "Both methods".to_string(),
        Some(Method::Contact) => "Contact method".into(),
        Some(method @ Method::Gap) => {
            format!(
                "Gap method, lift {} mm",
                trimmed(tool(c, method).lift * 1e3)
            )
        }
    };
    // Of both methods each figure by either, where they differ.
    let tools = match method_of_all(chart) {
        Some(method) => vec![tool(c, method)],
        None => [Method::Contact, Method::Gap].map(|m| tool(c, m)).to_vec(),
    };
    let figure = |of: fn(&Tool) -> f64, unit: &str| {
        let mut all: Vec<String> = tools.iter().map(|tool| trimmed(of(tool))).collect();
        all.dedup();
        match all.as_slice() {
            [contact, gap] => format!("{contact} {unit} (gap {gap} {unit})"),
            _ => format!("{} {unit}", all.concat()),
        }
    };
    let tilt = match c.tool.tilt {
        0.0 => String::new(),
        tilt => format!(" tool {}° out of square,", trimmed(tilt.to_degrees())),
    };
    format!(
        "{}, bank {} mF, gun lead {} m of {} mm², {leads}, moving mass {}, spring rate {}, \
         cone {}°,{tilt} sheet {} mm.",
        method,
        trimmed(c.bank.capacitance * 1e3),
        trimmed(c.lead.length),
        trimmed(c.lead.section * 1e6),
        figure(|tool| tool.moving_mass * 1e3, "g"),
        figure(|tool| tool.spring_rate * 1e-3, "N/mm"),
        trimmed(c.stud.cone.to_degrees()),
        trimmed(c.sheet.thickness * 1e3),
    )
}

/// Where was searched, and for what.
pub fn searched(chart: &Chart) -> String {
    let [v, f] = &chart.ranges;
    let (bank, tool) = (&chart.base.bank, &chart.base.tool);
    let check = match (
        bank.voltage_max.is_some(),
        tool.spring_min.or(tool.spring_max).is_some(),
    ) {
        (true, true) => "those of the rig",
        (true, false) => "check the range of the spring in the tool's data",
        (false, true) => "check the highest voltage on the bank's nameplate",
        (false, false) => "check the ranges of bank and tool in their makers' data",
    };
    let ranges = format!(
        "between {} and {} V and {} and {} N ({check})",
        trimmed(v.from),
        trimmed(v.to),
        trimmed(f.from),
        trimmed(f.to),
    );
    match chart.one_spring {
        Some(force) => format!(
            "One spring for all: {} N{}, with which the worst off of the studs has the widest margin. Each voltage is \
             the one of its sound window at which most of the welds drawn are sound, {ranges}.",
            trimmed(force),
            mark::beside(&chart.base, KEYS[1], force),
        ),
        None => format!(
            "Each spring force lies amid the pairs of voltage and spring force that give a sound weld, each voltage \
             where most of the welds drawn are sound, {ranges}."
        ),
    }
}

/// A reason, and under each heading the studs it holds for.
struct Reason {
    text: String,
    studs: Vec<(String, Vec<String>)>,
}

/// Why studs cannot be welded and what helps: each reason once, with the studs it holds for.
pub fn reasons(chart: &Chart) -> Vec<(String, String)> {
    let mut all: Vec<Reason> = Vec::new();
    for group in groups(chart) {
        for line in group.lines {
            let text = match &line.answer {
                Answer::Sound(_) | Answer::OtherSpring => continue,
                Answer::Nowhere(hard) => {
                    let (reason, help) = nowhere(&hard.found, &hard.searched);
                    format!("{reason} {help}")
                }
                Answer::NoCase(why) => format!("Not a valid case: {why}."),
            };
            let place = all.iter().position(|r| r.text == text).unwrap_or_else(|| {
                let studs = Vec::new();
                all.push(Reason { text, studs });
                all.len() - 1
            });
            let studs = &mut all[place].studs;
            match studs.last_mut().filter(|(h, _)| *h == group.heading) {
                Some((_, sizes)) => sizes.push(stud(line)),
                None => studs.push((group.heading.clone(), vec![stud(line)])),
            }
        }
    }
    all.into_iter().map(|r| (who(r.studs), r.text)).collect()
}

/// "M6, M8 (copper on copper; brass on copper)": headings with the same studs together.
fn who(studs: Vec<(String, Vec<String>)>) -> String {
    let mut merged: Vec<(String, Vec<String>)> = Vec::new();
    for (heading, sizes) in studs {
        let sizes = sizes.join(", ");
        match merged.iter_mut().find(|(s, _)| *s == sizes) {
            Some((_, headings)) => headings.push(heading),
            None => merged.push((sizes, vec![heading])),
        }
    }
    let parts: Vec<String> = merged
        .into_iter()
        .map(|(sizes, headings)| format!("{sizes} ({})", headings.join("; ")))
        .collect();
    parts.join(", ")
}

/// What the columns mean.
pub fn foot(chart: &Chart) -> String {
    let settings = || {
        chart.lines.iter().filter_map(|line| match &line.answer {
            Answer::Sound(s) => Some(s),
            _ => None,
        })
    };
    let spread = chart
        .lines
        .iter()
        .any(|line| matches!(&line.answer, Answer::Nowhere(hard) if hard.chance.is_some()));
    let doubt = "Where the rig cannot weld a stud, such welds are drawn of the one nearest to sound, and up to twice the \
                 capacitance is tried.";
    if settings().next().is_none() {
        let no = "This rig can weld none of the studs requested.";
        return if spread {
            format!("{no} {doubt}")
        } else {
            no.into()
        };
    }
    let mut text = String::from(
        "Set the voltage and spring force given: at that force the weld is sound between the two voltages, at that \
         voltage between the two forces; by the margin both may be off at once.",
    );
    if chart.one_spring.is_none() {
        text.push_str(" The stored energy is in brackets.");
    } else {
        text.push_str(" Own spring: the force and margin the stud has with a spring to itself, where the one spring costs it some.");
    }
    text.push_str(
        " The last column tells how many of the welds drawn are sound there: model, rig and stud at once, each within \
         its spread.",
    );
    if settings().any(|s| s.chance.is_some_and(Chance::is_poor)) {
        text.push_str(" Where it has a !, the weld is more often not sound than sound: rely on no such setting before test welds.");
    }
    let window = |s: &Setting, above: bool| {
        let w = &s.voltages;
        if above {
            (w.above, w.high)
        } else {
            (w.below, w.low)
        }
    };
    for (side, above) in [("Below the voltages", false), ("Above them", true)] {
        let mut causes: Vec<&str> = Vec::new();
        for s in settings() {
            let why = match window(s, above) {
                (Limit::NoCase, end) if chart.base.bank.voltage_max == Some(end) => Some(NO_HIGHER),
                (limit, _) => beyond(limit),
            };
            if let Some(why) = why.filter(|why| !causes.contains(why)) {
                causes.push(why);
            }
        }
        if !causes.is_empty() {
            text.push_str(&format!(" {side} {}.", causes.join(", or ")));
        }
    }
    if KEYS.iter().any(|key| scale_of(&chart.base, key).is_some()) {
        text.push_str(
            " Marks refer to the scales in the case, measured on this bank and tool; off means outside them.",
        );
    }
    text.push_str(" Another sheet, lead or tool needs another chart.");
    stars(&mut text, &settings().map(|s| &**s).collect::<Vec<_>>());
    if spread {
        text.push(' ');
        text.push_str(doubt);
    }
    text
}

/// What stars and the signs of margins mean, where there are any.
fn stars(text: &mut String, settings: &[&Setting]) {
    if settings
        .iter()
        .any(|s| s.voltages.is_cut() || s.forces.is_cut())
    {
        text.push_str(
            " A star marks an end of the range searched, beyond which the window goes on; --voltage and --spring \
             FROM..TO extend the search.",
        );
    }
    if settings.iter().any(|s| s.at_least) {
        text.push_str(" A margin with ≥ reaches such an end.");
    }
}
