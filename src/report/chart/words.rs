//! The chart's words: the rig, what was searched, why a stud cannot be welded, what the columns mean.

use super::cells::{at_end, stud};
use super::groups::{groups, method_of_all};
use crate::dial::{NO_HIGHER, beyond, nowhere};
use crate::format::{percent, trimmed};
use arcplunge_core::case::keys::scale_of;
use arcplunge_core::case::model::Method;
use arcplunge_core::study::chart::{Answer, Chart, KEYS, Setting};
use arcplunge_core::study::dial::{FLAT, Limit};

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
        Some(Method::Gap) => format!("Gap method, lift {} mm", trimmed(c.tool.lift * 1e3)),
    };
    format!(
        "{}, bank {} mF, gun lead {} m of {} mm², {leads}, moving mass {} g, spring rate {} N/mm, \
         cone {}°, sheet {} mm.",
        method,
        trimmed(c.bank.capacitance * 1e3),
        trimmed(c.lead.length),
        trimmed(c.lead.section * 1e6),
        trimmed(c.tool.moving_mass * 1e3),
        trimmed(c.tool.spring_rate * 1e-3),
        trimmed(c.stud.cone.to_degrees()),
        trimmed(c.sheet.thickness * 1e3),
    )
}

/// Where was searched, and for what.
pub fn searched(chart: &Chart) -> String {
    let [v, f] = &chart.ranges;
    let limit = match chart.base.bank.voltage_max {
        Some(most) => format!(
            "the bank's limit is {} V; check the range of the tool in its maker's data",
            trimmed(most)
        ),
        None => "check the range of bank and tool in their makers' data".into(),
    };
    format!(
        "Each setting has the widest voltage margin between {} and {} V and {} and {} N; of the forces within \
         {} of that margin it takes the one nearest the case's {} N; {limit}.",
        trimmed(v.from),
        trimmed(v.to),
        trimmed(f.from),
        trimmed(f.to),
        percent(1.0 - FLAT),
        trimmed(chart.base.tool.spring_force),
    )
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
                Answer::Sound(_) => continue,
                Answer::Nowhere(hard) => {
                    let (reason, help) = nowhere(&hard.found);
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
        .any(|line| matches!(&line.answer, Answer::Nowhere(hard) if hard.spread.is_some()));
    let doubt = "Where the rig cannot weld a stud, the weld nearest to sound is fired again with heat shares, \
                 electrode falls and burst of the pip varied within their spread, and with up to twice the \
                 capacitance.";
    if settings().next().is_none() {
        let no = "This rig can weld none of the studs requested.";
        return if spread {
            format!("{no} {doubt}")
        } else {
            no.into()
        };
    }
    let mut text = String::from(
        "Set the voltage and spring force given: at that force the weld is sound between the two voltages; the \
         margin is half the window over its middle. The stored energy is in brackets.",
    );
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
    if settings().any(|s| s.voltages.is_cut()) {
        text.push_str(
            " A star at a voltage marks an end of the range searched, beyond which the window continues: the \
             margin is at least the one given, and the setting is the middle of the part searched, not of the \
             window; --voltage FROM..TO extends the search.",
        );
    }
    if settings().any(|s| at_end(chart, s)) {
        text.push_str(
            " A star at a spring marks an end of the forces searched: the margin may be wider beyond; --spring \
             FROM..TO extends the search.",
        );
    }
    if spread {
        text.push(' ');
        text.push_str(doubt);
    }
    text
}
