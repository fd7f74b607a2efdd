//! What a dial found: on a terminal and as JSON.

use serde_json::{Value, json};

use super::cautions::SCREEN;
use super::format::{percent, significant, wrap};
use super::mark;
use super::quantity;
use super::sheet::{Sheet, WIDTH};
use crate::case::keys::{mark_of, scale_of};
use crate::cycle::verdict::{Cause, Verdict};
use crate::study::dial::{Dial, Limit, Nowhere, Reached, Why, Window};
use crate::study::sweep::Outcome;
use crate::study::vary::Vary;

/// What was asked, and what came of it.
pub enum Found {
    /// The key's window.
    Window(Window),
    /// Two keys: the pair, and the window of each through it.
    Pair([f64; 2], [Window; 2]),
    Nowhere(Nowhere),
    /// A figure by name, its goal, and whether it is reached.
    Figure(&'static str, f64, Reached),
}

impl Found {
    /// Whether the goal can be had.
    pub fn is_there(&self) -> bool {
        match self {
            Found::Window(_) | Found::Pair(..) => true,
            Found::Nowhere(_) => false,
            Found::Figure(_, _, reached) => matches!(reached, Reached::At(_)),
        }
    }
}

/// A value rounded to three digits where that stays inside, as one sets it on a knob.
fn set(vary: &Vary, value: f64, low: f64, high: f64) -> f64 {
    let handy = significant(value, 3).parse().unwrap_or(value);
    let handy = if value.abs() < 1.0 { value } else { handy };
    if (low..=high).contains(&handy) && vary.number.range.holds(handy) {
        handy
    } else {
        value
    }
}

/// A value of a key to four digits, with its unit.
fn text(vary: &Vary, value: f64) -> String {
    vary.text(format!("{value:.3e}").parse().unwrap_or(value))
}

/// The same, with its mark where it is set on a scale.
fn marked(dial: &Dial, k: usize, value: f64) -> String {
    let vary = &dial.turned()[k];
    let path = vary.address.to_string();
    text(vary, value) + &mark::beside(dial.base(), &path, value)
}

/// Whether a mark itself is turned.
fn is_mark(vary: &Vary) -> bool {
    let path = vary.address.to_string();
    mark_of(&path).is_some_and(|(key, _)| key.path == path)
}

fn limit(limit: Limit) -> String {
    match limit {
        Limit::Range => "end of the range searched".into(),
        Limit::NoCase => "no case any more".into(),
        Limit::Verdict(verdict, cause) => {
            let why = because(cause);
            format!("{}: {why}", verdict.map_or("none", Verdict::name))
        }
    }
}

/// What happens beyond the end of a window; `None` at an end of the range searched.
pub(super) fn beyond(limit: Limit) -> Option<&'static str> {
    match limit {
        Limit::Range => None,
        Limit::NoCase => Some("there is no case any more"),
        Limit::Verdict(_, cause) => Some(because(cause)),
    }
}

fn because(cause: Cause) -> &'static str {
    match cause {
        Cause::Underfilled => "melt does not reach the rim all round",
        Cause::BoiledOff => "too much of the arc's energy boils metal off",
        Cause::MeltedThrough => "the sheet melts too deep",
        Cause::ArcOut => "the arc goes out before the stud is down",
        Cause::Stub => "the pip is crushed before it bursts",
        Cause::NoIgnition => "the pip does not burst",
        Cause::NeverTouched => "the stud does not come down",
        Cause::ArcEndless | Cause::RecordEnded => "the record ends before the weld is done",
        Cause::NeverConducted => "the bank drives no current",
        Cause::DischargeTest | Cause::Filled => "no weld to judge",
    }
}

/// What ends a window, as files name it: the cause beyond, `range` or `no-case`.
pub(super) fn limit_name(limit: Limit) -> &'static str {
    match limit {
        Limit::Range => "range",
        Limit::NoCase => "no-case",
        Limit::Verdict(_, cause) => cause.name(),
    }
}

/// Why no value is sound, and what would help.
pub(super) fn nowhere(found: &Nowhere) -> (&'static str, &'static str) {
    match found.why {
        Why::NoArc => (
            "No arc strikes anywhere in the range.",
            "Mend or shorten the leads, use more voltage, or less spring force.",
        ),
        Why::ArcOut => (
            "The current is gone before the stud is down.",
            "Use a stronger spring or less mass, or more capacitance.",
        ),
        Why::Boils if found.best.is_some_and(|(_, fill, _)| fill >= 1.0) => (
            "Where melt fills the wedge, too much of it boils off.",
            "Use a longer and milder arc: more capacitance at less voltage, or a weaker spring.",
        ),
        Why::Boils => (
            "Melt stops growing: the surface boils before the wedge is full.",
            "Use a longer and milder arc: a weaker spring, more capacitance at less voltage; or a \
             flatter cone.",
        ),
        Why::RangeEnds => (
            "Melt does not fill the wedge up to the end of the range.",
            "Search further, shorten the leads, or use more capacitance.",
        ),
        Why::MeltsThrough => (
            "The sheet melts too deep before the wedge is full.",
            "Use a thicker sheet, or a shorter arc (stronger spring, gap method).",
        ),
    }
}

/// The page of a dial. Colour only where asked for.
pub fn page(dial: &Dial, found: &Found, color: bool) -> String {
    let mut sheet = Sheet::new(color);
    sheet.heading(dial.base());
    sheet.lines(answer(dial, found));
    sheet.line("");
    sheet.paragraph(SCREEN);
    sheet.cautions();
    sheet.text
}

fn answer(dial: &Dial, found: &Found) -> Vec<String> {
    let mut lines = Vec::new();
    let keys = dial.turned();
    match found {
        Found::Window(window) => {
            let at = set(&keys[0], window.middle(), window.low, window.high);
            lines.push(format!(
                "{} = {}   the middle of its sound window",
                keys[0].address,
                marked(dial, 0, at)
            ));
            lines.push(String::new());
            lines.extend(span(dial, 0, window));
            lines.extend(figures(&dial.fire(&[at])));
        }
        Found::Pair(at, windows) => {
            let at = [0, 1].map(|k| set(&keys[k], at[k], windows[k].low, windows[k].high));
            for (k, value) in at.into_iter().enumerate() {
                let value = marked(dial, k, value);
                lines.push(format!("{} = {value}", keys[k].address));
            }
            lines.push("the pair with the widest margin".into());
            lines.push(String::new());
            for (k, window) in windows.iter().enumerate() {
                lines.extend(span(dial, k, window));
            }
            lines.extend(figures(&dial.fire(&at)));
        }
        Found::Nowhere(why) => {
            let ranges: Vec<String> = keys
                .iter()
                .map(|v| {
                    format!(
                        "{} from {} to {}",
                        v.address,
                        text(v, v.from),
                        text(v, v.to)
                    )
                })
                .collect();
            lines.extend(wrap(
                &format!("Sound nowhere: {}.", ranges.join(", ")),
                WIDTH,
            ));
            let (reason, help) = nowhere(why);
            lines.extend(wrap(reason, WIDTH));
            if let Some((at, fill, vapour)) = why.best {
                let at: Vec<String> = keys.iter().zip(at).map(|(v, x)| text(v, x)).collect();
                lines.push(format!(
                    "At best fill {fill:.2}, at {}, with {} boiled off.",
                    at.join(" and "),
                    percent(vapour)
                ));
            }
            lines.extend(wrap(help, WIDTH));
        }
        Found::Figure(name, goal, reached) => {
            lines.extend(figure(dial, name, *goal, reached));
        }
    }
    lines
}

fn span(dial: &Dial, k: usize, window: &Window) -> Vec<String> {
    let vary = &dial.turned()[k];
    let (low, high) = (text(vary, window.low), text(vary, window.high));
    let mut out = vec![format!(
        "   {}: sound from {low} to {high} (± {})",
        vary.address,
        percent(window.margin())
    )];
    let path = vary.address.to_string();
    let mark = |value| mark::mark(dial.base(), &path, value).filter(|_| !is_mark(vary));
    if let (Some(low), Some(high)) = (mark(window.low), mark(window.high)) {
        out.push(format!("     marks  {low} to {high}"));
    }
    out.push(format!("     below  {}", limit(window.below)));
    out.push(format!("     above  {}", limit(window.above)));
    if let Some(now) = dial.now(k) {
        let place = if now < window.low {
            "below the window"
        } else if now > window.high {
            "above the window"
        } else {
            "inside"
        };
        out.push(format!("     now    {}, {place}", marked(dial, k, now)));
    }
    out
}

fn figures(outcome: &Outcome) -> Vec<String> {
    let Some(f) = outcome.figures() else {
        return Vec::new();
    };
    let mut out = vec![String::new()];
    for (name, value) in [
        ("fill_ratio", f.fill_ratio),
        ("vapour_share", f.vapour_share),
        ("arc_time_s", f.arc_time_s),
        ("arc_energy_J", f.arc_energy_J),
        ("peak_current_A", f.peak_current_A),
        ("melt_sheet_m", f.melt_sheet_m),
    ] {
        let words = quantity::words(name).name;
        out.push(format!("   {words:<21} {}", quantity::text(name, value)));
    }
    out
}

fn figure(dial: &Dial, name: &'static str, goal: f64, reached: &Reached) -> Vec<String> {
    let vary = &dial.turned()[0];
    let words = quantity::words(name).name;
    let goal = quantity::text(name, Some(goal));
    match reached {
        Reached::At(value) => {
            let mut out = vec![format!(
                "{} = {}   {words} {goal}",
                vary.address,
                marked(dial, 0, *value)
            )];
            if let Some(now) = dial.now(0) {
                out.push(format!("now {}", marked(dial, 0, now)));
            }
            let found = dial.fire(&[*value]);
            let verdict = found.verdict().map_or("none", Verdict::name);
            out.push(format!("verdict there: {verdict}"));
            out.extend(figures(&found));
            out
        }
        Reached::Between([least, most]) => vec![
            format!("{words} does not reach {goal}."),
            format!(
                "It goes from {} (at {}) to {} (at {}).",
                quantity::text(name, Some(least.0)),
                text(vary, least.1),
                quantity::text(name, Some(most.0)),
                text(vary, most.1)
            ),
        ],
        Reached::Never => vec![format!("{words} has no value anywhere in the range.")],
    }
}

/// The result for programs, SI throughout.
pub fn json(dial: &Dial, found: &Found) -> Value {
    let key = |k: usize| dial.turned()[k].address.to_string();
    // Null off the scale; keys without a scale are not there.
    let marks = |values: &[f64]| -> Value {
        let mark = |(k, value): (usize, &f64)| {
            let scale = scale_of(dial.base(), &key(k)).filter(|_| !is_mark(&dial.turned()[k]))?;
            Some((key(k), json!(scale.mark(*value))))
        };
        values.iter().enumerate().filter_map(mark).collect()
    };
    let window = |k: usize, w: &Window| {
        let end = |limit: Limit| match limit {
            Limit::Range => json!("range"),
            Limit::NoCase => json!("no-case"),
            Limit::Verdict(verdict, cause) => {
                json!({"verdict": verdict.map(Verdict::name), "cause": cause.name()})
            }
        };
        json!({
            "key": key(k), "low": w.low, "high": w.high, "margin": w.margin(),
            "below": end(w.below), "above": end(w.above), "now": dial.now(k),
        })
    };
    match found {
        Found::Window(w) => {
            json!({"goal": "sound", "reached": true, "values": {key(0): w.middle()}, "marks": marks(&[w.middle()]), "windows": [window(0, w)]})
        }
        Found::Pair(at, w) => json!({
            "goal": "sound", "reached": true,
            "values": {key(0): at[0], key(1): at[1]}, "marks": marks(at),
            "windows": [window(0, &w[0]), window(1, &w[1])],
        }),
        Found::Nowhere(why) => {
            let (reason, help) = nowhere(why);
            json!({"goal": "sound", "reached": false, "reason": reason, "remedy": help})
        }
        Found::Figure(name, goal, Reached::At(value)) => {
            json!({"goal": {*name: goal}, "reached": true, "values": {key(0): value}, "marks": marks(&[*value])})
        }
        Found::Figure(name, goal, Reached::Between([least, most])) => json!({
            "goal": {*name: goal}, "reached": false,
            "least": {"value": least.0, "at": least.1}, "most": {"value": most.0, "at": most.1},
        }),
        Found::Figure(name, goal, Reached::Never) => {
            json!({"goal": {*name: goal}, "reached": false})
        }
    }
}
