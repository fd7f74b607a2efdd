//! A line of the chart in short: what to set, or why not.

use crate::format::{engineering, milliseconds, percent, trimmed};
use crate::mark;
use arcplunge_core::case::catalogue::OWN;
use arcplunge_core::case::keys::scale_of;
use arcplunge_core::study::chart::{Answer, Chart, KEYS, Line, Setting};
use arcplunge_core::study::dial::{Limit, Why, Window};

/// What a line says of a stud that can be welded.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cells {
    /// Its size in the catalogue, or "own".
    pub stud: String,
    /// With the energy stored: "65 V (152 J)".
    pub voltage: String,
    /// Marks of voltage and force, empty without a scale.
    pub marks: [String; 2],
    /// "57 to 74 V"
    pub sound: String,
    /// Half the window over its middle.
    pub margin: String,
    /// "82 N", with a star where the best force lies at an end of those searched and the scale goes on.
    pub force: String,
    /// "1.424 ms"
    pub arc_time: String,
}

/// A line in short: cells, or why not.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Short {
    /// The stud can be welded.
    Sound(Cells),
    /// No setting searched gives a sound weld, or the stud is not a valid case with this rig.
    Not {
        /// Its size in the catalogue, or "own".
        stud: String,
        /// Some shots within the spread of the model's constants are sound.
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
        Answer::Sound(s) => Short::Sound(Cells {
            stud: stud(line),
            voltage: volts(s),
            marks: [(0, s.voltage), (1, s.force)]
                .map(|(k, value)| mark::mark(&chart.base, KEYS[k], value).unwrap_or_default()),
            sound: span(&s.voltages),
            margin: margin(&s.voltages),
            force: format!("{} N{}", trimmed(s.force), star(at_end(chart, s))),
            arc_time: s.figures.arc_time_s.map_or("–".into(), milliseconds),
        }),
        other => Short::Not {
            stud: stud(line),
            hardly: matches!(other, Answer::Nowhere(h) if h.spread.is_some_and(|(sound, _)| sound > 0)),
            why: full(other),
        },
    }
}

/// "196 V (1.38 kJ)"
fn volts(s: &Setting) -> String {
    let stored = engineering(s.figures.stored_energy_J, "J");
    format!("{} V ({stored})", trimmed(s.voltage))
}

/// Half the window over its middle, or what it is at least where the range searched ends first.
fn margin(window: &Window) -> String {
    let sign = if window.is_cut() { "≥" } else { "±" };
    format!("{sign} {}", percent(window.margin()))
}

/// Whether the best force lies at an end of the forces searched, but for its rounding, and the tool's scale
/// goes on there.
pub(super) fn at_end(chart: &Chart, s: &Setting) -> bool {
    let [low, high] = [chart.ranges[1].from, chart.ranges[1].to];
    let step = 0.5_f64.min(0.01 * (high - low));
    let scale = scale_of(&chart.base, KEYS[1]).map(|scale| scale.values());
    let goes_on = |k: usize, end: f64| scale.is_none_or(|ends| ends[k] != end);
    (s.force <= low + step && goes_on(0, low)) || (s.force >= high - step && goes_on(1, high))
}

fn star(there: bool) -> &'static str {
    if there { "*" } else { "" }
}

/// Both ends of a window in volts, rounded inwards; a star at an end of the range searched.
fn span(window: &Window) -> String {
    let (low, high) = (window.low.ceil(), window.high.floor());
    let (low, high) = if high - low >= 2.0 {
        (trimmed(low), trimmed(high))
    } else {
        (trimmed(window.low), trimmed(window.high))
    };
    let star = |limit| star(limit == Limit::Range);
    format!(
        "{low}{} to {high}{} V",
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

/// The same with how sure that is, and with a bank that would do.
pub fn full(answer: &Answer) -> String {
    let mut text = short(answer);
    let Answer::Nowhere(hard) = answer else {
        return text;
    };
    if let Some((sound, shots)) = hard.spread {
        let sound = match sound {
            0 => "none".to_string(),
            n => n.to_string(),
        };
        text += &format!("; {sound} of {shots} shots within the constants' spread are sound");
    }
    if let Some(larger) = &hard.larger {
        text += &format!(
            "; {} mF would suffice: {}, {} N, {}",
            trimmed(larger.capacitance * 1e3),
            volts(&larger.setting),
            trimmed(larger.setting.force),
            margin(&larger.setting.voltages)
        );
    }
    text
}
