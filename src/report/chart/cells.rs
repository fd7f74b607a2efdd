//! A line of the chart in short: what to set, or why not.

use crate::asides::sound_but;
use crate::chance::count;
use crate::format::{engineering, milliseconds, percent, trimmed};
use crate::mark;
use arcplunge_core::case::Case;
use arcplunge_core::case::catalogue::OWN;
use arcplunge_core::study::chance::Chance;
use arcplunge_core::study::chart::{Answer, Chart, KEYS, Line, Setting, case};
use arcplunge_core::study::dial::{Limit, Why, Window};

/// Most decimals of the end of a window.
const FINEST: i32 = 4;

/// What a line says of a stud that can be welded.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cells {
    /// Its size in the catalogue, or "own".
    pub stud: String,
    /// "65 V"
    pub volts: String,
    /// With the energy stored: "65 V (152 J)".
    pub voltage: String,
    /// Marks of voltage and force, empty without a scale.
    pub marks: [String; 2],
    /// Sound voltages at that force, "57 to 74 V", and sound forces at that voltage.
    pub sound: [String; 2],
    /// How far voltage and force may be off at once.
    pub margin: String,
    /// "82 N"
    pub force: String,
    /// "1.424 ms"
    pub arc_time: String,
    /// "97 of 128": welds drawn that are sound.
    pub chance: String,
    /// With one spring for all: the force and margin of its own spring, "61 N, 12 %"; empty where that has no more.
    pub own: String,
}

/// A line in short: cells, or why not.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Short {
    /// The stud can be welded.
    Sound(Box<Cells>),
    /// No setting searched gives a sound weld, or the stud is not a valid case with this rig.
    Not {
        /// Its size in the catalogue, or "own".
        stud: String,
        /// Some of the welds drawn are sound.
        hardly: bool,
        /// In words, with how sure that is and a bank that would do.
        why: String,
    },
}

/// The stud of a line.
pub(super) fn stud(line: &Line) -> String {
    match line.job.size.as_str() {
        OWN => "own".into(),
        size => size.to_string(),
    }
}

/// A line in short.
pub fn cells(chart: &Chart, line: &Line) -> Short {
    match &line.answer {
        Answer::Sound(s) => {
            let more = line.own.as_deref().filter(|own| own.margin > s.margin);
            let own = more.map_or(String::new(), own);
            Short::Sound(Box::new(Cells {
                own,
                ..sound(&chart.base, stud(line), s)
            }))
        }
        other => Short::Not {
            stud: stud(line),
            hardly: matches!(other, Answer::Nowhere(h) if h.chance.is_some_and(|chance| chance.sound > 0)),
            why: full(line),
        },
    }
}

/// What is wrong with the sheet under a stud that can be welded, or with the switch.
pub fn thin(chart: &Chart, line: &Line) -> Option<String> {
    let Answer::Sound(setting) = &line.answer else {
        return None;
    };
    let mut case = case(&chart.base, &line.job)?;
    (case.bank.voltage, case.tool.spring_force) = (setting.voltage, setting.force);
    sound_but(&case)
}

/// A setting of a stud on a rig in short.
pub fn sound(base: &Case, stud: String, s: &Setting) -> Cells {
    Cells {
        stud,
        volts: format!("{} V", trimmed(s.voltage)),
        voltage: volts(s),
        marks: [(0, s.voltage), (1, s.force)]
            .map(|(k, value)| mark::mark(base, KEYS[k], value).unwrap_or_default()),
        sound: [span(&s.voltages, "V"), span(&s.forces, "N")],
        margin: margin(s),
        force: format!("{} N", trimmed(s.force)),
        arc_time: s.figures.arc_time_s.map_or("–".into(), milliseconds),
        chance: s.chance.map_or(String::new(), |chance| {
            let poor = if chance.is_poor() { "!" } else { "" };
            count(chance) + poor
        }),
        own: String::new(),
    }
}

/// "196 V (1.38 kJ)"
fn volts(s: &Setting) -> String {
    let stored = engineering(s.figures.stored_energy_J, "J");
    format!("{} V ({stored})", trimmed(s.voltage))
}

/// How far voltage and force may be off at once, or what that is at least where the range searched ends first.
fn margin(s: &Setting) -> String {
    let sign = if s.at_least { "≥" } else { "±" };
    format!("{sign} {}", percent(s.margin))
}

/// "61 N, 12 %"
fn own(s: &Setting) -> String {
    format!("{} N, {}", trimmed(s.force), percent(s.margin))
}

/// Both ends of a window, rounded inwards to whole numbers, or to as few decimals as leave two steps between them.
fn inwards(window: &Window) -> [String; 2] {
    let rounded = |decimals: i32| {
        let step = 10f64.powi(-decimals);
        [(window.low / step).ceil(), (window.high / step).floor()].map(|steps| steps * step)
    };
    let wide = |decimals: &i32| {
        let [low, high] = rounded(*decimals);
        high - low >= 1.99 * 10f64.powi(-decimals)
    };
    let decimals = (0..FINEST).find(wide).unwrap_or(FINEST);
    rounded(decimals).map(|end| match decimals {
        0 => trimmed(end),
        _ => format!("{end:.*}", decimals as usize),
    })
}

/// Both ends of a window, rounded inwards; a star at an end of the range searched.
fn span(window: &Window, unit: &str) -> String {
    let [low, high] = inwards(window);
    let star = |limit| if limit == Limit::Range { "*" } else { "" };
    format!(
        "{low}{} to {high}{} {unit}",
        star(window.below),
        star(window.above)
    )
}

/// Why a stud cannot be welded, in a few words.
pub fn short(answer: &Answer) -> String {
    let found = match answer {
        Answer::Nowhere(hard) => &hard.found,
        Answer::NoCase(why) => return why.clone(),
        Answer::Sound(_) => return String::new(),
        Answer::OtherSpring => return "sound only with another spring".into(),
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
        Why::Uneven(_) => {
            let least = found.least.unwrap_or(0.0);
            format!("one side of the rim lacks melt (fill {least:.2} there at best)")
        }
    }
}

/// The same with how sure that is, and with a spring or a bank that would do.
pub fn full(line: &Line) -> String {
    let answer = &line.answer;
    let mut text = short(answer);
    if let (Answer::OtherSpring, Some(s)) = (answer, &line.own) {
        text += &format!(
            ": {} and {}, {}",
            volts(s),
            trimmed(s.force) + " N",
            margin(s)
        );
    }
    let Answer::Nowhere(hard) = answer else {
        return text;
    };
    if let Some(Chance { sound, shots }) = hard.chance {
        let sound = match sound {
            0 => "none".to_string(),
            n => n.to_string(),
        };
        text += &format!("; {sound} of {shots} welds drawn are sound");
    }
    if let Some(larger) = &hard.larger {
        text += &format!(
            "; {} mF would suffice: {}, {} N, {}{}",
            trimmed(larger.capacitance * 1e3),
            volts(&larger.setting),
            trimmed(larger.setting.force),
            margin(&larger.setting),
            larger
                .setting
                .chance
                .map_or(String::new(), |chance| format!(", {}", count(chance))),
        );
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ends_are_rounded_inwards() {
        for (low, high, told) in [
            (101.83, 112.4, ["102", "112"]),
            (101.83, 103.4, ["101.9", "103.4"]),
            (101.83, 101.95, ["101.83", "101.95"]),
            (63.0, 65.0, ["63", "65"]),
        ] {
            let window = Window {
                low,
                high,
                below: Limit::Range,
                above: Limit::Range,
            };
            assert_eq!(inwards(&window), told, "{low} {high}");
        }
    }
}
