//! What test welds say of a rig as a document.

use super::next::next;
use super::words::{about, doubt, mistake, range};
use crate::cautions;
use crate::document::{Blocks, Document, Row, Table};
use crate::format::{percent, plural};
use arcplunge_core::case::Case;
use arcplunge_core::study::calibrate::found::Found;
use arcplunge_core::study::calibrate::posterior::Marginal;
use arcplunge_core::study::calibrate::settings::{Windows, middle};
use arcplunge_core::study::intervals::Share;
use arcplunge_core::study::range::Vary;

/// Most unknowns of the table.
const MOST: usize = 10;

/// Most pairs that are told.
const PAIRS: usize = 3;

/// The document of a calibration; `calibrated` is the case it leads to, where there is one.
pub fn document(found: &Found, calibrated: Option<&Case>) -> Document {
    let mut document = Document::of(&found.problem.base);
    let b = &mut document.blocks;
    let welds = &found.problem.welds;
    b.say(format!(
        "{} at {}; {} unknowns; samples worth {} independent ones (R-hat {:.2}), seed {}",
        plural(welds.welds.len(), "test weld"),
        plural(welds.cases.len(), "setting"),
        found.problem.dimensions(),
        found.sampled.effective.round(),
        found.sampled.r_hat,
        found.asked.effort.seed,
    ));
    if let Some(doubt) = doubt(found) {
        b.say(doubt);
    }
    b.gap();
    setting(b, found);
    b.gap();
    learnt(b, found);
    suspects(b, found);
    next(b, found);
    if let Some(case) = calibrated
        && !case.title.is_empty()
    {
        b.gap();
        b.say(format!(
            "The case that was written is called \"{}\".",
            case.title
        ));
    }
    b.gap();
    b.say(
        "Ranges hold nine tenths of what is possible. They hold for the model's own laws: what it leaves out, no weld \
         can teach it.",
    );
    cautions::end(b);
    document
}

/// What a line tells of a window.
type Of = fn([f64; 2]) -> f64;

/// Where to set the first key, before the welds and after.
fn setting(b: &mut Blocks, found: &Found) {
    let vary = &found.asked.vary[0];
    b.heading(3, format!("The setting of {}", vary.address));
    let head = ["", "before", "after"];
    let mut table = Table::new("   {:<29} {:<23} {}", head, 3);
    for row in settings(found) {
        table.row(row);
    }
    b.table(table);
    b.say(SHARES);
    let set = found.after.best().map(|(value, _)| (&vary.address, value));
    if let Some(words) = cautions::nameplate(&found.problem.base, set) {
        b.say(words);
    }
}

/// What the shares of rigs are, and are not.
const SHARES: &str = "Shares are of the rigs that yours may be, with what so many rigs can say of them. On each rig single \
welds scatter as well: `scatter --model` on the case of --case-out counts them. It draws each figure by itself, where \
these rigs have them as they go together, and so calls more welds bad than they would.";

/// What the window of the first key is: name, before the welds, after them.
pub(super) fn settings(found: &Found) -> Vec<[String; 3]> {
    let vary = &found.asked.vary[0];
    let both = [&found.before, &found.after];
    // Samples of a posterior may be worth fewer independent ones.
    let worth = [usize::MAX, found.sampled.effective.ceil() as usize];
    let row = |name: &str, of: &dyn Fn(&Windows, usize) -> String| {
        let [before, after] = [0, 1].map(|k| of(both[k], worth[k].min(both[k].windows.len())));
        [name.to_string(), before, after]
    };
    let mut rows = vec![
        row("set it to", &|w, _| match w.best() {
            Some((value, _)) => vary.short(value),
            None => "nowhere".into(),
        }),
        row("sound there on", &|w, rigs| {
            let best = w.best();
            best.map_or("none".into(), |(_, share)| chance(share, rigs))
        }),
    ];
    if both.iter().any(|w| w.with_a_window() < 1.0) {
        rows.push(row("rigs with a sound window", &|w, _| {
            percent(w.with_a_window())
        }));
    }
    let ends: [(&str, Of); 3] = [
        ("the sound window begins at", |ends| ends[0]),
        ("ends at", |ends| ends[1]),
        ("has its middle at", middle),
    ];
    for (name, end) in ends {
        rows.push(row(name, &|w, _| match w.spread(end) {
            Some([low, _, high]) => between(vary, low, high),
            None => "none".into(),
        }));
    }
    let is_end = |value: &f64| *value == vary.from || *value == vary.to;
    let cut = |w: &Windows| w.windows.iter().flatten().flatten().any(is_end);
    if both.into_iter().any(cut) {
        rows.push(row("cut by the range searched", &|w, _| match cut(w) {
            true => "yes: widen --vary".into(),
            false => "no".into(),
        }));
    }
    let now = vary.address.number(&found.problem.base);
    if let Some(now) = now.filter(|now| found.after.share_at(*now).is_some()) {
        let name = format!("sound at {}, as it is set", vary.short(now));
        rows.push(row(&name, &|w, rigs| {
            let share = w.share_at(now);
            share.map_or(String::new(), |share| chance(share, rigs))
        }));
    }
    rows
}

/// A range of an end of the window, which may lie beyond the range searched.
fn between(vary: &Vary, low: f64, high: f64) -> String {
    let (least, most) = (vary.from.min(vary.to), vary.from.max(vary.to));
    let [low, high] = [low, high].map(|value| match vary.short(value) {
        at if value <= least => format!("{at} or below"),
        at if value >= most => format!("{at} or above"),
        at => at,
    });
    if low == high {
        low
    } else {
        format!("{low} to {high}")
    }
}

/// A share in words: the interval of what so many independent rigs can say.
fn chance(share: f64, rigs: usize) -> String {
    let count = (share * rigs as f64).round() as u64;
    Share::of(count, rigs as u64).map_or_else(String::new, |told| {
        let [low, high] = [told.low, told.high].map(|end| format!("{:.0}", 100.0 * end));
        match low == high {
            true => format!("{low} % of the rigs"),
            false => format!("{low} to {high} % of the rigs"),
        }
    })
}

/// What is known of the unknowns.
fn learnt(b: &mut Blocks, found: &Found) {
    let unknowns = found.problem.unknowns.count();
    b.heading(3, "What the welds say");
    let learnt = found.posterior.learnt(unknowns);
    if learnt.is_empty() {
        b.say("Of no single figure more than was known before.");
    } else {
        let mut table = Table::new(
            "      {:<29} {:<29} {:>6}",
            ["before", "after", "spread"],
            2,
        );
        for m in learnt.iter().take(MOST) {
            // Names of metals are long: the figures stand below their keys.
            table.rows.push(Row::Group(3, m.name.clone()));
            table.row(row(found, m));
        }
        b.table(table);
        if learnt.len() > MOST {
            b.note(format!("{} more, each by less", learnt.len() - MOST));
        }
    }
    let unsaid = unknowns - learnt.len();
    b.note(format!(
        "{unsaid} of {unknowns} unknowns are known no better than before (at least nine tenths of the spread are left)."
    ));
    for m in &found.posterior.marginals[unknowns..] {
        let was = range(found, m.place, m.before);
        let is = range(found, m.place, m.after);
        b.note(format!("{}: {is}; before {was}", about(found, m.place)));
    }
    for pair in found.posterior.pairs.iter().take(PAIRS) {
        let [one, other] = pair.places.map(|place| found.problem.name(place));
        let how = match pair.correlation > 0.0 {
            true => "both higher or both lower",
            false => "one higher and the other lower",
        };
        b.note(format!(
            "Not told apart: {one} and {other}; {how} fits the welds as well (correlation {:.2}).",
            pair.correlation
        ));
    }
}

fn row(found: &Found, m: &Marginal) -> [String; 3] {
    [
        range(found, m.place, m.before),
        range(found, m.place, m.after),
        percent(m.narrowed.min(1.0)),
    ]
}

/// Welds that do not fit.
fn suspects(b: &mut Blocks, found: &Found) {
    if found.suspects.is_empty() {
        return;
    }
    b.gap();
    b.heading(3, "Welds that do not fit");
    for (line, words) in doubtful(found) {
        b.say(format!("Line {line}: {words}"));
    }
    b.note("Such a weld counts for little in the ranges above. Weld it again before you strike it out.");
}

/// Welds that do not fit: line of the table, and how it is told.
pub(super) fn doubtful(found: &Found) -> Vec<(u64, String)> {
    let told = found.suspects.iter().map(|suspect| {
        let likely = match suspect.mistake {
            Some((likely, times)) => format!(
                " It would be {} times as probable if {}.",
                times.min(999.0).round(),
                mistake(likely)
            ),
            None => " No usual mistake explains it.".into(),
        };
        let words = format!(
            "does not fit with a probability of {}.{likely}",
            percent(suspect.probability)
        );
        (found.problem.welds.welds[suspect.weld].line, words)
    });
    told.collect()
}
