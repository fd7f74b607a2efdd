//! What a dial found as a document.

use super::found::Found;
use super::value::{
    advised, difference, ends, energy, is_mark, margin, marked, set, text, together,
};
use super::words::{limit, nowhere, sheet};
use crate::chance::{odds, poor};
use crate::document::{Blocks, Document, Table, WIDTH};
use crate::format::percent;
use crate::pairs::remarks_of;
use crate::{cautions, joints, mark, quantity};
use arcplunge_core::simulation::named::find;
use arcplunge_core::simulation::verdict::Verdict;
use arcplunge_core::study::dial::{Advice, Dial, Limit, Nowhere, Pair, Reached, Why, Window};
use arcplunge_core::study::sweep::Outcome;

/// Figures told of what was found.
const SHOWN: [&str; 7] = [
    "stored_energy_J",
    "fill_ratio",
    "vapour_share",
    "arc_time_s",
    "arc_energy_J",
    "peak_current_A",
    "melt_sheet_m",
];

/// The document of a dial.
pub fn document(dial: &Dial, found: &Found) -> Document {
    let mut document = Document::of(dial.base());
    let b = &mut document.blocks;
    match found {
        Found::Window(found) => window(b, dial, found),
        Found::Pair(found) => pair(b, dial, found),
        Found::Nowhere(why) => none(b, dial, why),
        Found::Figure(name, goal, reached) => figure(b, dial, name, *goal, reached),
    }
    b.gap();
    let keys = dial.turned().iter().map(|vary| vary.address.to_string());
    let settings = dial
        .turned()
        .iter()
        .map(|vary| &vary.address)
        .zip(advised(dial, found));
    if let Some(words) = cautions::nameplate(dial.base(), settings) {
        b.say(words);
    }
    for remark in remarks_of(dial.base()) {
        b.say(remark);
    }
    if let Some(remark) = joints::varied(keys) {
        b.say(remark);
    }
    cautions::end(b);
    document
}

fn window(b: &mut Blocks, dial: &Dial, advice: &Advice) {
    let window = &advice.window;
    let at = set(&dial.turned()[0], advice.value, window.low, window.high);
    let found = dial.fire(&[at]);
    let line = setting(dial, 0, at, &found);
    let place = if dial.is_from_none(0, window) {
        "the best: farthest from where it is no longer sound"
    } else if window.is_cut() {
        "where it is sound most often in the range searched"
    } else {
        "where it is sound most often"
    };
    if line.chars().count() + 3 + place.len() <= WIDTH {
        b.line(format!("{line}   {place}"));
    } else {
        b.line(line);
        b.line(place);
    }
    chances(b, dial, &[at]);
    b.gap();
    span(b, dial, 0, window, at);
    figures(b, &found);
    thin(b, dial, &[at]);
    buts(b, dial, at, window);
}

fn pair(b: &mut Blocks, dial: &Dial, pair: &Pair) {
    let (keys, windows) = (dial.turned(), &pair.windows);
    let at = [0, 1].map(|k| set(&keys[k], pair.at[k], windows[k].low, windows[k].high));
    let found = dial.fire(&at);
    for (k, at) in at.into_iter().enumerate() {
        b.line(setting(dial, k, at, &found));
    }
    b.say(off_together(dial, pair));
    chances(b, dial, &at);
    b.gap();
    for (k, window) in windows.iter().enumerate() {
        span(b, dial, k, window, at[k]);
    }
    figures(b, &found);
    thin(b, dial, &at);
}

fn none(b: &mut Blocks, dial: &Dial, why: &Nowhere) {
    let keys = dial.turned();
    let ranges = keys.iter().map(|v| {
        let [from, to] = [v.from, v.to].map(|end| text(v, end));
        format!("{} from {from} to {to}", v.address)
    });
    let ranges: Vec<String> = ranges.collect();
    b.say(format!("Sound nowhere: {}.", ranges.join(", ")));
    let (reason, help) = nowhere(why, keys);
    b.say(reason);
    if let Some((at, fill, vapour)) = why.best {
        let at: Vec<String> = keys.iter().zip(at).map(|(v, x)| text(v, x)).collect();
        let fill = match (why.why, why.least) {
            (Why::Uneven(_), Some(least)) => {
                format!("{least:.2} where the rim has least (mean {fill:.2})")
            }
            _ => format!("{fill:.2}"),
        };
        b.say(format!(
            "At best fill {fill}, at {}, with {} boiled off.",
            at.join(" and "),
            percent(vapour)
        ));
    }
    b.say(help);
}

/// How often the weld is sound at these values, and at the present ones.
fn chances(b: &mut Blocks, dial: &Dial, values: &[f64]) {
    let Some(there) = dial.chance(values) else {
        return;
    };
    let now = dial.chance_now();
    let now = now.map_or(String::new(), |now| {
        format!("; as it is set now, {}", now.sound)
    });
    b.say(format!("{}{now}.", odds(there)));
    if there.is_poor() {
        b.say(poor());
    }
}

/// What to set key `k` to.
fn setting(dial: &Dial, k: usize, value: f64, found: &Outcome) -> String {
    let vary = &dial.turned()[k];
    let (value, energy) = (marked(dial, k, value), energy(vary, found));
    format!("{} = {value}{energy}", vary.address)
}

/// Where the pair lies, and how far both keys may be off.
fn off_together(dial: &Dial, pair: &Pair) -> String {
    let least = if pair.at_least(dial) { "at least " } else { "" };
    let place = "amid the sound pairs";
    if pair.margin == 0.0 {
        return format!("{place}, which lie too close together for a margin");
    }
    if dial.by_ratio(0) && dial.by_ratio(1) {
        let off = together(dial, pair);
        return format!("{place}: both keys may be off by {off} at once");
    }
    let turned = dial.turned().iter().enumerate();
    let off = turned.map(|(k, vary)| {
        let off = difference(vary, pair.off(dial, k));
        format!("{} by {least}± {off}", vary.address)
    });
    let off: Vec<String> = off.collect();
    format!("{place}: at once may be off {}", off.join(" and "))
}

/// The window of a key that is set to `at`, what ends it, and where the case stands.
fn span(b: &mut Blocks, dial: &Dial, k: usize, window: &Window, at: f64) {
    let vary = &dial.turned()[k];
    let [low, high] = ends(&vary.number, [window.low, window.high]);
    let (path, margin) = (vary.address.to_string(), margin(dial, k, window, at));
    let sound = match dial.is_from_none(k, window) {
        true if window.is_cut() => format!("sound up to {high} at least"),
        true => format!("sound up to {high}"),
        false => format!("sound from {low} to {high} ({margin})"),
    };
    b.line(format!("   {path}: {sound}"));
    let mut table = Table::of("     {:<5}  {}", Vec::new(), 9);
    let mark = |value| mark::mark(dial.base(), &path, value).filter(|_| !is_mark(vary));
    if let (Some(low), Some(high)) = (mark(window.low), mark(window.high)) {
        table.row(["marks".to_string(), format!("{low} to {high}")]);
    }
    for (side, beyond, end) in [
        ("below", window.below, window.low),
        ("above", window.above, window.high),
    ] {
        table.row([side.to_string(), limit(dial, k, beyond, end)]);
    }
    if window.is_cut() {
        table.row([format!(
            "it continues: --vary {path}=FROM..TO extends the search"
        )]);
    }
    if let Some(now) = dial.now(k) {
        // Beyond an end of the range nobody looked.
        let place = match (now < window.low, now > window.high) {
            (true, _) if window.below == Limit::Range => "below the range searched",
            (true, _) => "below the window",
            (_, true) if window.above == Limit::Range => "above the range searched",
            (_, true) => "above the window",
            _ => "inside",
        };
        let now = marked(dial, k, now);
        table.row(["now".to_string(), format!("{now}, {place}")]);
    }
    b.table(table);
}

fn figures(b: &mut Blocks, outcome: &Outcome) {
    let Some(f) = outcome.figures() else {
        return;
    };
    b.gap();
    let mut table = Table::of("   {:<21} {}", Vec::new(), 9);
    for name in SHOWN {
        let value = find(name).and_then(|read| read(f));
        let words = quantity::label(name).to_string();
        table.row([words, quantity::text(name, value)]);
    }
    b.table(table);
}

/// A sheet that is too thin for the weld at these values, or a switch that gets too hot.
fn thin(b: &mut Blocks, dial: &Dial, values: &[f64]) {
    if let Some(words) = sheet(dial, values) {
        b.gap();
        b.say(words);
    }
}

/// From which value on in a window a sound weld has a but, where it has none at `at`.
fn buts(b: &mut Blocks, dial: &Dial, at: f64, window: &Window) {
    let vary = &dial.turned()[0];
    for (end, side) in [(window.low, "Below"), (window.high, "Above")] {
        let from = dial.without_a_but(at, end);
        if let Some((last, words)) = from.zip(sheet(dial, &[end])) {
            let [last, end] = [last, end].map(|value| text(vary, value));
            let words = words.replacen("Sound", "sound", 1);
            b.gap();
            b.say(format!("{side} {last}, here at {end}: {words}"));
        }
    }
}

fn figure(b: &mut Blocks, dial: &Dial, name: &'static str, goal: f64, reached: &Reached) {
    let vary = &dial.turned()[0];
    let words = quantity::label(name);
    let goal = quantity::text(name, Some(goal));
    match reached {
        Reached::At(value) => {
            let found = dial.fire(&[*value]);
            let setting = setting(dial, 0, *value, &found);
            b.line(format!("{setting}   {words} {goal}"));
            if let Some(now) = dial.now(0) {
                b.line(format!("now {}", marked(dial, 0, now)));
            }
            let verdict = found.verdict().map_or("none", Verdict::name);
            b.line(format!("verdict there: {verdict}"));
            figures(b, &found);
            thin(b, dial, &[*value]);
        }
        Reached::Between(ends) => {
            b.line(format!("{words} does not reach {goal}."));
            let [least, most] = ends.map(|(value, at)| {
                let value = quantity::text(name, Some(value));
                format!("{value} (at {})", text(vary, at))
            });
            b.line(format!("It ranges from {least} to {most}."));
        }
        Reached::Never => b.line(format!("{words} has no value anywhere in the range.")),
    }
}
