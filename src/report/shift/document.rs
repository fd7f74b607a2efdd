//! A shift as a document: verdict, pace, charge, temperatures, shares, energy, life.

use super::words::{
    BORDERLINE, NOT_ALWAYS, TOO_HOT, band_of_first, bleed, duration, fastest, headline, how,
    limit_name, limit_of, pace, part, rounded,
};
use crate::asides::warning;
use crate::cautions;
use crate::document::{Block, Blocks, Cell, Document, Style, Table, Tone};
use crate::format::{celsius, engineering, percent, significant};
use crate::scatter::counted;
use crate::{joints, verdict};
use arcplunge_core::simulation::joints::Spot;
use arcplunge_core::simulation::remarks::thin_sheet;
use arcplunge_core::simulation::rig::Rig;
use arcplunge_core::simulation::verdict::Verdict;
use arcplunge_core::study::intervals::Share;
use arcplunge_core::study::shift::Shift;
use arcplunge_core::study::shift::fastest::step_below;
use arcplunge_core::study::shift::life::{Aged, highest};
use arcplunge_core::study::shift::shots::TOLERANCE;
use arcplunge_core::study::shift::weld::Weld;

/// Column of the sentence beside the word.
const WORD: usize = 18;

/// Columns of a bar.
const BAR: usize = 20;

/// The document of a shift; `picture` is drawn into the report.
pub fn document(shift: &Shift, picture: Option<String>) -> Document {
    let mut document = Document::of(&shift.case);
    let b = &mut document.blocks;
    b.say(how(shift));
    b.gap();
    let (word, sentence) = headline(shift);
    let tone = match word {
        "sound" => Tone::Good,
        TOO_HOT | NOT_ALWAYS | BORDERLINE => Tone::Amber,
        "discharge test" => Tone::Strong,
        _ => Tone::Wrong,
    };
    b.verdict((word.to_string(), tone), WORD, sentence);
    b.list(points(shift));
    b.gap();
    if let Some(svg) = picture {
        b.on_paper(|b| b.0.push(Block::Picture(svg)));
    }
    charge(b, shift);
    temperatures(b, shift);
    shares(b, shift);
    energy(b, shift);
    bank(b, shift);
    b.say(interpolated(shift));
    b.say(
        "Heat data of the rig's parts, wear and ageing are usual values or guesses, none of them measured on this \
         rig: trust differences between paces more than any one temperature. Touch nothing by these figures.",
    );
    cautions::end(b);
    document
}

/// What is to be known beside the verdict.
pub(super) fn points(shift: &Shift) -> Vec<String> {
    let rig = Rig::new(&shift.case);
    let thin = thin_sheet(&rig);
    let mut out: Vec<String> = thin.iter().filter_map(warning).collect();
    out.extend(joints::told(&rig, &shift.first, Spot::Melts));
    let band = band_of_first(shift);
    out.extend(
        band.and_then(|band| verdict::within(&band.verdicts, "the result of the first weld")),
    );
    out.push(fastest(&shift.fastest, shift.plan.welds));
    let charge = &shift.charge;
    let late = shift.run.welds.iter().filter(|weld| !weld.is_ready).count();
    if late > 0 {
        let lowest = shift
            .run
            .welds
            .iter()
            .map(|w| w.voltage)
            .fold(f64::INFINITY, f64::min);
        out.push(format!(
            "{} welds were fired before the set was ready, the lowest at {} of the {} set.",
            counted(late as u64),
            engineering(lowest, "V"),
            engineering(shift.case.bank.voltage, "V")
        ));
    }
    let waits = charge.ready > 1.0 / shift.plan.pace;
    if waits && shift.case.charger.interlock {
        out.push(format!(
            "The welder is faster than the charger and waits until the set is ready: the pace is {}.",
            pace(step_below(1.0 / charge.ready))
        ));
    }
    let hot = |w: &Weld| w.limit(&shift.case.limits);
    let mut welds = shift.run.welds.iter().enumerate();
    if let Some((n, limit)) = welds.find_map(|(n, w)| Some((n, hot(w)?))) {
        out.push(format!(
            "From weld {} on {} is hotter than its limit.",
            counted(n as u64 + 1),
            limit_name(limit)
        ));
    }
    if let Some(n) = shift.run.welds.iter().position(|w| w.touch) {
        out.push(format!(
            "From weld {} on something that a hand touches is hotter than {}.",
            counted(n as u64 + 1),
            celsius(shift.case.limits.touch)
        ));
    }
    out.push(bleed(&shift.charge, shift.case.bank.voltage));
    if let Some(life) = shift.chuck {
        out.push(format!(
            "Of 100 chucks 95 part under the current for the first time after {} to {} welds, half of them before {}; from \
             then on each weld burns them. Change the jaws before.",
            rounded(life.low),
            rounded(life.high),
            rounded(life.median)
        ));
    }
    out
}

fn charge(b: &mut Blocks, shift: &Shift) {
    let c = &shift.charge;
    let mut table = Table::new("   {:<44} {:>10}", ["charge", ""], 1);
    let fastest = c.pace().map_or("–".into(), |p| {
        format!("{} /min", significant(60.0 * step_below(p), 3))
    });
    for (name, value) in [
        ("empty to ready", duration(c.first_ready)),
        ("from a shot to ready", duration(c.ready)),
        ("from a shot to the voltage set", duration(c.full)),
        ("fastest pace by the charger", fastest),
        (
            "largest power from the mains",
            engineering(c.mains_power, "W"),
        ),
        (
            "largest current from the mains",
            engineering(c.mains_current, "A"),
        ),
    ] {
        table.row([name.to_string(), value]);
    }
    b.table(table);
    b.gap();
}

fn temperatures(b: &mut Blocks, shift: &Shift) {
    let head = ["temperatures", "at the end", "highest", "limit"];
    let mut table = Table::new("   {:<24} {:>10} {:>10} {:>10}  {}", head, 1);
    let limits = &shift.case.limits;
    let parts = &shift.run.parts;
    let mut row = |name: String, end: String, highest: f64, limit: Option<(f64, bool)>| {
        let (most, word) = match limit {
            Some((most, hand)) if highest > most => (
                celsius(most),
                if hand { "too hot to touch" } else { "too hot" },
            ),
            Some((most, hand)) => (celsius(most), if hand { "(touch)" } else { "" }),
            None => ("–".into(), ""),
        };
        let tone = if word.starts_with("too") {
            Tone::Wrong
        } else {
            Tone::Plain
        };
        table.row([
            Cell::from(name),
            Cell::from(end),
            Cell::from(celsius(highest)),
            Cell::from(most),
            Cell::toned(word, tone),
        ]);
    };
    for (n, p) in parts.all().iter().enumerate() {
        let highest = shift.run.highest.get(n).copied().unwrap_or(0.0);
        row(
            part(*p),
            celsius(parts.temperature(n)),
            highest,
            limit_of(*p, limits),
        );
    }
    let junction = shift.run.junction;
    row(
        "switch, junction".into(),
        "–".into(),
        junction,
        Some((limits.junction, false)),
    );
    let sheet = shift.run.welds.iter().map(|w| w.sheet);
    let [last, most] = [
        sheet.clone().next_back().unwrap_or(0.0),
        sheet.fold(0.0, f64::max),
    ];
    row("sheet, where a weld goes".into(), celsius(last), most, None);
    b.table(table);
    b.gap();
}

fn shares(b: &mut Blocks, shift: &Shift) {
    let verdicts = |all: &mut dyn Iterator<Item = Option<Verdict>>| {
        let all: Vec<Verdict> = all.flatten().collect();
        let of = |v: Verdict| all.iter().filter(|x| **x == v).count() as u64;
        (Verdict::ALL.map(of), all.len() as u64)
    };
    let (own, all) = verdicts(&mut shift.run.welds.iter().map(Weld::verdict));
    let (drawn, samples) = verdicts(&mut shift.samples.iter().map(|s| s.verdict));
    if all == 0 {
        return;
    }
    let head = ["welds", "of this rig", "with scatter", "95 % interval", ""];
    let mut table = Table::new("   {:<12} {:>11} {:>13}  {:<16} {}", head, 1);
    table.style = Style::Bars;
    for (k, v) in Verdict::ALL.into_iter().enumerate() {
        if own[k] == 0 && drawn[k] == 0 {
            continue;
        }
        let (name, tone) = verdict::word(Some(v));
        let share = Share::of(drawn[k], samples);
        table.row([
            Cell::toned(name, tone),
            of_welds(own[k] as f64 / all as f64).into(),
            share.map_or("–".into(), |s| of_welds(s.share)).into(),
            share
                .map_or(String::new(), |s| {
                    format!("{} to {}", percent(s.low), of_welds(s.high))
                })
                .into(),
            share.map_or(Cell::default(), |s| Cell::bar(s.share, BAR)),
        ]);
    }
    b.table(table);
    if samples > 0 {
        b.note(format!(
            "scatter: {} welds along the shift fired with studs and rig drawn from their tolerances",
            counted(samples)
        ));
    }
    b.gap();
}

/// A share of the welds; only that of all of them is 100 %.
fn of_welds(share: f64) -> String {
    match percent(share) {
        whole if whole == "100 %" && share < 1.0 => format!("{:.1} %", (100.0 * share).min(99.9)),
        text => text,
    }
}

fn energy(b: &mut Blocks, shift: &Shift) {
    let a = &shift.run.account;
    let mut table = Table::new(
        "   {:<34} {:>12} {:>7}  {}",
        ["energy from the mains", "", "", ""],
        1,
    );
    table.style = Style::Bars;
    for (name, joules) in [
        ("all", a.mains),
        ("charger", a.charger),
        ("welds: stud, pip, sheet", a.work),
        ("light, gas, spatter", a.light),
        ("rig, given to the room", a.to_room),
        ("rig, still warm", a.held),
        ("left in the bank", a.left_in_bank),
    ] {
        let share = joules / a.mains;
        table.row([
            Cell::from(name),
            engineering(joules, "J").into(),
            percent(share).into(),
            if name == "all" || share <= 0.0 {
                Cell::default()
            } else {
                Cell::bar(share, BAR)
            },
        ]);
    }
    b.table(table);
    b.gap();
}

fn bank(b: &mut Blocks, shift: &Shift) {
    if shift.bank.is_empty() {
        return;
    }
    let head = ["the bank after", "life used", "capacitance", "ESR", "set"];
    let mut table = Table::new("   {:<20} {:>10} {:>12} {:>12} {:>10}", head, 1);
    for aged in &shift.bank {
        let past = aged.used > 1.0;
        table.row([
            format!("{} million shots", significant(aged.shots * 1e-6, 2)),
            percent(aged.used),
            engineering(aged.capacitance, "F"),
            engineering(aged.esr, "Ω"),
            match aged.voltage {
                Some(v) => engineering(v, "V"),
                None if past => "past life".into(),
                None => "–".into(),
            },
        ]);
    }
    b.table(table);
    b.note("set: the voltage that fills the rim as the new bank does; ten-kelvin rule, at this pace and temperature");
    let none = |aged: &Aged| aged.used <= 1.0 && aged.voltage.is_none();
    if shift.bank.iter().any(none) {
        let highest = highest(&shift.case);
        let why = match shift.case.bank.voltage_max {
            Some(most) if most <= highest => ", the highest of the bank (bank.voltage_max)",
            _ => "",
        };
        let most = engineering(highest, "V");
        b.note(format!("–: no voltage up to {most} fills it so{why}"));
    }
    b.gap();
}

fn interpolated(shift: &Shift) -> String {
    let fired = shift.run.welds.iter().filter(|w| w.fired).count();
    format!(
        "{} of the welds were fired, with {} shots in all; the others lie between them. Where that was compared, fill, \
         peak and energies were off by {} at most ({} is aimed at).",
        counted(fired as u64),
        counted(shift.fired as u64),
        small(shift.worst),
        small(TOLERANCE)
    )
}

/// A small share.
fn small(share: f64) -> String {
    format!("{} %", significant(100.0 * share, 2))
}
