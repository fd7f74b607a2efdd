//! The chart's words: the rig, a line's cells, why a stud cannot be welded.

use crate::case::catalogue::OWN;
use crate::case::keys::scale_of;
use crate::case::model::Method;
use crate::report::dial::{beyond, nowhere};
use crate::report::format::{engineering, milliseconds, percent, trimmed};
use crate::report::mark;
use crate::study::chart::{Answer, Chart, KEYS, Line};
use crate::study::dial::{Limit, Why, Window};

/// What a line says of a stud that can be welded.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cells {
    pub stud: String,
    pub voltage: String,
    /// Marks of voltage and force, empty without a scale.
    pub marks: [String; 2],
    /// "57 to 74 V"
    pub sound: String,
    /// Half the window over its middle.
    pub margin: String,
    pub force: String,
    pub arc_time: String,
    /// Stored in the bank.
    pub energy: String,
}

/// A line in short: cells, or why not.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Short {
    Sound(Cells),
    Not { stud: String, why: String },
}

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
    let method = match super::method_of_all(chart) {
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

/// Where was searched.
pub fn searched(chart: &Chart) -> String {
    let [v, f] = &chart.ranges;
    format!(
        "Each setting has the widest margin between {} and {} V and {} and {} N; whether bank and \
         tool reach that far, their maker says.",
        trimmed(v.from),
        trimmed(v.to),
        trimmed(f.from),
        trimmed(f.to)
    )
}

/// The stud of a line.
fn stud(line: &Line) -> String {
    match line.job.size.as_str() {
        OWN => "own".into(),
        size => size.to_string(),
    }
}

/// A line in short.
pub fn cells(chart: &Chart, line: &Line) -> Short {
    match &line.answer {
        Answer::Sound(s) => Short::Sound(Cells {
            stud: stud(line),
            voltage: format!("{} V", trimmed(s.voltage)),
            marks: [(0, s.voltage), (1, s.force)]
                .map(|(k, value)| mark::mark(&chart.base, KEYS[k], value).unwrap_or_default()),
            sound: span(&s.voltages),
            margin: format!("± {}", percent(s.voltages.margin())),
            force: format!("{} N", trimmed(s.force)),
            arc_time: s.figures.arc_time_s.map_or("–".into(), milliseconds),
            energy: engineering(s.figures.stored_energy_J, "J"),
        }),
        other => Short::Not {
            stud: stud(line),
            why: short(other),
        },
    }
}

/// Both ends of a window in volts, rounded inwards; a star at an end of the range searched.
fn span(window: &Window) -> String {
    let (low, high) = (window.low.ceil(), window.high.floor());
    let (low, high) = if high - low >= 2.0 {
        (trimmed(low), trimmed(high))
    } else {
        (trimmed(window.low), trimmed(window.high))
    };
    let star = |limit| if limit == Limit::Range { "*" } else { "" };
    format!(
        "{low}{} to {high}{} V",
        star(window.below),
        star(window.above)
    )
}

/// Why a stud cannot be welded, in a few words.
pub fn short(answer: &Answer) -> String {
    let found = match answer {
        Answer::Nowhere(found) => found,
        Answer::NoCase(why) => return why.clone(),
        Answer::Sound(_) => return String::new(),
    };
    let fill = found.best.map_or(0.0, |(_, fill, _)| fill);
    let at_best = format!("(fill {fill:.2} at best)");
    match found.why {
        Why::NoArc => "no arc strikes".into(),
        Why::ArcOut => "the arc is out before the stud is down".into(),
        Why::Boils if fill >= 1.0 => "too much boils off where melt fills the wedge".into(),
        Why::Boils => format!("boils before the wedge is full {at_best}"),
        Why::RangeEnds => format!("melt does not fill the wedge {at_best}"),
        Why::MeltsThrough => "the sheet melts too deep".into(),
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
    for group in super::groups(chart) {
        for line in group.lines {
            let text = match &line.answer {
                Answer::Sound(_) => continue,
                Answer::Nowhere(found) => {
                    let (reason, help) = nowhere(found);
                    format!("{reason} {help}")
                }
                Answer::NoCase(why) => format!("This is no case: {why}."),
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
    let windows: Vec<&Window> = chart
        .lines
        .iter()
        .filter_map(|line| match &line.answer {
            Answer::Sound(s) => Some(&s.voltages),
            _ => None,
        })
        .collect();
    if windows.is_empty() {
        return "No stud asked for can be welded with this rig.".into();
    }
    let mut text = String::from(
        "Set voltage and spring force as named: at that force the weld is sound between the two \
         voltages; the margin is half of that over its middle. Energy is that of the charged bank.",
    );
    for (side, of) in [
        ("Below the voltages", (|w| w.below) as fn(&Window) -> Limit),
        ("Above them", |w| w.above),
    ] {
        let mut causes: Vec<&str> = Vec::new();
        for w in &windows {
            if let Some(why) = beyond(of(w)).filter(|why| !causes.contains(why)) {
                causes.push(why);
            }
        }
        if !causes.is_empty() {
            text.push_str(&format!(" {side} {}.", causes.join(", or ")));
        }
    }
    if KEYS.iter().any(|key| scale_of(&chart.base, key).is_some()) {
        text.push_str(
            " Marks are those of the scales in the case, measured on this bank and tool; off is \
             beyond them.",
        );
    }
    text.push_str(" Another sheet, lead or tool wants another chart.");
    let ends = |w: &&Window| w.below == Limit::Range || w.above == Limit::Range;
    if windows.iter().any(ends) {
        text.push_str(" A star marks an end of the range searched.");
    }
    text
}
