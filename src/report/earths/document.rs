//! Arc blow as a document: cause and effect, earth leads, fields, rim, what helps.

use super::clock::{angle, clock};
use super::words::{LIMITS, change, drift, headline, joint, name, remedy, spot};
use crate::cautions;
use crate::document::{Blocks, Cell, Document, Style, Table, Tone};
use crate::format::{bar, engineering, milliseconds, percent, significant, trimmed};
use crate::verdict;
use arcplunge_core::case::Case;
use arcplunge_core::physics::blow::push;
use arcplunge_core::simulation::verdict::Verdict;
use arcplunge_core::study::earths::{Blow, NOTED, Place, Source, Trial, polar};

/// Column of the sentence beside the word.
const WORD: usize = 11;

/// Characters of a bar for a fill of 1, and the longest bar.
const FULL: usize = 20;
const LONGEST: usize = 44;

/// Flux density below which there is none to tell \[T\].
const NO_FIELD: f64 = 5e-7;

/// The document of an arc blow and of what was tried against it.
pub fn document(case: &Case, blow: &Blow, trials: &[Trial]) -> Document {
    let mut document = Document::of(case);
    let b = &mut document.blocks;
    let (word, sentence) = headline(case, blow);
    let tone = match word {
        "whole" => Tone::Good,
        "one-sided" | "missing" => Tone::Wrong,
        _ => Tone::Strong,
    };
    // What is wrong with or without arc blow comes first.
    let (word, tone) = match spoiled(blow) {
        Some(verdict) => verdict::word(Some(verdict)),
        None => (word, tone),
    };
    b.verdict((word.to_string(), tone), WORD, sentence);
    b.list(points(case, blow, trials));
    b.gap();
    leads(b, case, blow);
    fields(b, case, blow);
    rim(b, blow);
    tried(b, case, blow, trials);
    b.say(LIMITS);
    cautions::end(b);
    document
}

/// The verdict of a weld that no clamp mends.
fn spoiled(blow: &Blow) -> Option<Verdict> {
    let weld = blow.shot.verdict;
    weld.filter(|v| !matches!(v, Verdict::Sound | Verdict::OneSided))
}

/// What is to be known beside cause and effect.
fn points(case: &Case, blow: &Blow, trials: &[Trial]) -> Vec<String> {
    let mut out = Vec::new();
    if let Some(verdict) = spoiled(blow) {
        out.push(format!(
            "The weld itself is {}, with or without arc blow: `arcplunge fire` says why.",
            verdict.name()
        ));
    }
    if blow.distance().is_some_and(|d| d > 0.5 * blow.face.radius) {
        let text = "The drift is more than half the flange's radius: the law for the rim no longer holds there.";
        out.push(text.into());
    }
    out.extend(leaning(case, blow));
    out.extend(best(case, blow, trials));
    out
}

/// The tilt, where it leaves the rim short with no drift at all.
fn leaning(case: &Case, blow: &Blow) -> Option<String> {
    let (fill, tilt) = (blow.shot.figures.fill_ratio?, case.tool.tilt);
    let left = blow.undrifted().filter(|left| *left < 1.0 && tilt > 0.0)?;
    (fill >= 1.0).then(|| {
        format!(
            "The tilt of {}° alone leaves a fill of {} on one side, with no drift at all: square the tool first.",
            trimmed(tilt.to_degrees()),
            significant(left, 3)
        )
    })
}

/// The best remedy that makes the weld sound or betters the rim, or that none does.
fn best(case: &Case, blow: &Blow, trials: &[Trial]) -> Option<String> {
    let before = blow.distance()?;
    let least = |blow: &Blow| blow.weakest().unwrap_or(0.0);
    let sound = |t: &Trial| t.blow.is_sound() && !blow.is_sound();
    let betters = |t: &&Trial| least(&t.blow) > least(blow) + NOTED;
    let drift_of = |t: &Trial| t.blow.distance().unwrap_or(before);
    let found = trials
        .iter()
        .find(|t| sound(t))
        .or_else(|| trials.iter().find(betters));
    let least_drift = || {
        let all = trials.iter();
        all.min_by(|a, b| drift_of(a).total_cmp(&drift_of(b)))
    };
    let best = found.or_else(least_drift)?;
    let name = match found {
        Some(_) => "Best remedy tried",
        None => "No remedy tried betters the weakest fill. Least drift",
    };
    let mended = if sound(best) {
        "The weld is sound with it. "
    } else {
        ""
    };
    Some(format!(
        "{name}: {}. {mended}Drift {} → {}, weakest fill {} → {}.",
        remedy(case, best.remedy),
        drift(before),
        drift(drift_of(best)),
        weakest(blow),
        weakest(&best.blow)
    ))
}

fn weakest(blow: &Blow) -> String {
    blow.weakest()
        .map_or("none".into(), |fill| significant(fill, 3))
}

fn leads(b: &mut Blocks, case: &Case, blow: &Blow) {
    let head = ["earth", "peak", "charge", "clamp at", "clamp joint"];
    let mut table = Table::new("   {:<5}  {:<8}  {:>6}  {:<20}  {}", head, 9);
    for (k, earth) in case.earths.iter().enumerate() {
        table.row([
            k.to_string(),
            engineering(blow.shot.peak_earths[k], "A"),
            percent(blow.share(k)),
            spot(earth.at),
            joint(&earth.clamp),
        ]);
    }
    b.table(table);
    b.gap();
}

fn fields(b: &mut Blocks, case: &Case, blow: &Blow) {
    let when = blow.time.map(|t| format!("at {}", milliseconds(t)));
    let when = when.unwrap_or_default();
    let head = ["flux density at the face", &when, "pushes to", "melt moves"];
    let mut table = Table::new("   {:<36} {:<14} {:<14} {}", head, 9);
    for source in &blow.sources {
        table.row(field(name(case, source.place), source));
    }
    if blow.sources.len() > 1 {
        let all = Source {
            place: Place::GunLead,
            field: blow.field(),
            drift: blow.drift(),
        };
        table.row(field("together".into(), &all));
    }
    b.table(table);
    b.gap();
}

/// What makes a field, its size, where it pushes, and how far the melt moves.
fn field(name: String, source: &Source) -> [String; 4] {
    let [x, y, _] = source.field;
    let size = x.hypot(y);
    if size < NO_FIELD {
        return [name, "none".into(), String::new(), String::new()];
    }
    let (_, heading) = polar(push(1.0, source.field));
    let field = format!("{} mT", significant(size * 1e3, 3));
    let moved = source.drift.map(|d| drift(polar(d).0));
    [name, field, clock(heading), moved.unwrap_or_default()]
}

fn rim(b: &mut Blocks, blow: &Blow) {
    if blow.bare().is_none() {
        return;
    }
    let one = format!("{:>1$}", "1 reaches the rim |", FULL + 1);
    let mut table = Table::new("   {:<10} {:>5}  {}", ["rim fill", "", &one], 1);
    table.style = Style::Bars;
    for hour in 0..12 {
        let at = angle(f64::from(hour));
        let fill = blow.rim(at).unwrap_or(0.0);
        let word = if fill < 1.0 { "  missing" } else { "" };
        let drawn = format!("{}{word}", rim_bar(fill));
        table.row([
            clock(at).into(),
            significant(fill, 3).into(),
            Cell::drawn(drawn, share(fill), fill < 1.0),
        ]);
    }
    b.table(table);
    b.note("seen from the tool; 12 o'clock is y of the case file, 3 o'clock is x");
    b.gap();
}

/// A fill over the longest bar.
fn share(fill: f64) -> f64 {
    (fill * FULL as f64 / LONGEST as f64).clamp(0.0, 1.0)
}

/// A bar with the mark of a fill of 1 where it does not reach it.
fn rim_bar(fill: f64) -> String {
    let mut text = bar(share(fill), LONGEST);
    let length = text.chars().count();
    if length <= FULL && fill < 1.0 {
        text.push_str(&" ".repeat(FULL - length));
        text.push('|');
    }
    text
}

fn tried(b: &mut Blocks, case: &Case, blow: &Blow, trials: &[Trial]) {
    if trials.is_empty() {
        return;
    }
    let head = [
        "remedies tried, fill of the weakest side",
        "drift",
        "fill",
        "weld",
    ];
    let mut table = Table::new("   {:<48} {:>7} {:>6}  {}", head, 9);
    let mut row = |name: String, blow: &Blow| {
        let verdict = blow.shot.verdict.map_or("", Verdict::name);
        let moved = drift(blow.distance().unwrap_or(0.0));
        table.row([name, moved, weakest(blow), verdict.to_string()]);
    };
    row("no change".into(), blow);
    for trial in trials {
        row(change(case, trial.remedy), &trial.blow);
    }
    b.table(table);
    if case.tool.tilt > 0.0 {
        b.note("all but the first line with the tool square: no clamp is to be set against a tilt");
    }
    b.gap();
}
