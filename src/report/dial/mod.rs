//! What a dial found: the page in the terminal here, its words, its values, its JSON.

mod json;
mod value;
mod words;

pub use json::json;
pub use words::{NO_HIGHER, beyond, limit_name, nowhere};

use value::{energy, is_mark, margin, marked, set, text};
use words::limit;

use crate::cautions::SCREEN;
use crate::format::{percent, wrap};
use crate::mark;
use crate::pairs::remarks_of;
use crate::quantity;
use crate::terminal::{Sheet, WIDTH};
use arcplunge_core::simulation::verdict::Verdict;
use arcplunge_core::study::dial::{Dial, FLAT, Nowhere, Reached, Window};
use arcplunge_core::study::sweep::Outcome;

/// What was asked, and what came of it.
pub enum Found {
    /// The key's window.
    Window(Window),
    /// Two keys: the pair, and the window of each through it.
    Pair([f64; 2], [Window; 2]),
    /// No setting in the range is sound, and why.
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

/// The page of a dial. Colour only where asked for.
pub fn page(dial: &Dial, found: &Found, color: bool) -> String {
    let mut sheet = Sheet::new(color);
    sheet.heading(dial.base());
    sheet.lines(answer(dial, found));
    sheet.line("");
    for remark in remarks_of(dial.base()) {
        sheet.paragraph(remark);
    }
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
            let found = dial.fire(&[at]);
            let line = setting(dial, 0, at, &found);
            let middle = if window.is_cut() {
                "the middle of what was searched, not of the window"
            } else {
                "the middle of its sound window"
            };
            if line.chars().count() + 3 + middle.len() <= WIDTH {
                lines.push(format!("{line}   {middle}"));
            } else {
                lines.extend([line, middle.to_string()]);
            }
            lines.push(String::new());
            lines.extend(span(dial, 0, window));
            lines.extend(figures(&found));
        }
        Found::Pair(at, windows) => {
            let at = [0, 1].map(|k| set(&keys[k], at[k], windows[k].low, windows[k].high));
            let found = dial.fire(&at);
            lines.extend([0, 1].map(|k| setting(dial, k, at[k], &found)));
            lines.extend(wrap(&widest(dial), WIDTH));
            lines.push(String::new());
            for (k, window) in windows.iter().enumerate() {
                lines.extend(span(dial, k, window));
            }
            lines.extend(figures(&found));
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

/// What to set key `k` to.
fn setting(dial: &Dial, k: usize, value: f64, found: &Outcome) -> String {
    let vary = &dial.turned()[k];
    let (value, energy) = (marked(dial, k, value), energy(vary, found));
    format!("{} = {value}{energy}", vary.address)
}

/// What was looked for among pairs.
fn widest(dial: &Dial) -> String {
    let near = percent(1.0 - FLAT);
    let mut text = format!(
        "the pair with the widest margin; of those within {near} of it the one nearest the case"
    );
    let turned = dial.turned().iter().enumerate();
    let others: Vec<String> = turned
        .filter(|(k, _)| !dial.by_ratio(*k))
        .map(|(_, vary)| vary.address.to_string())
        .collect();
    if !others.is_empty() {
        let others = others.join(" and ");
        text += &format!("; the margin of {others} counts as a share of the range searched");
    }
    text
}

fn span(dial: &Dial, k: usize, window: &Window) -> Vec<String> {
    let vary = &dial.turned()[k];
    let (low, high) = (text(vary, window.low), text(vary, window.high));
    let mut out = vec![format!(
        "   {}: sound from {low} to {high} ({})",
        vary.address,
        margin(dial, k, window)
    )];
    let path = vary.address.to_string();
    let mark = |value| mark::mark(dial.base(), &path, value).filter(|_| !is_mark(vary));
    if let (Some(low), Some(high)) = (mark(window.low), mark(window.high)) {
        out.push(format!("     marks  {low} to {high}"));
    }
    out.push(format!(
        "     below  {}",
        limit(dial, k, window.below, window.low)
    ));
    out.push(format!(
        "     above  {}",
        limit(dial, k, window.above, window.high)
    ));
    if window.is_cut() {
        let path = &vary.address;
        out.push(format!(
            "     it goes on: --turn {path}=FROM..TO looks further"
        ));
    }
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
        ("stored_energy_J", Some(f.stored_energy_J)),
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
            let found = dial.fire(&[*value]);
            let setting = setting(dial, 0, *value, &found);
            let mut out = vec![format!("{setting}   {words} {goal}")];
            if let Some(now) = dial.now(0) {
                out.push(format!("now {}", marked(dial, 0, now)));
            }
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
