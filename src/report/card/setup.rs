//! Setting up: joints, setting, stud, clamps, tool, marking, template.

use super::words::{reserve, word};
use crate::cautions::charging;
use crate::chance::short;
use crate::chart::{self, Cells};
use crate::compare::reserve::{beside as beside_it, of_fill};
use crate::document::{Blocks, Cell, Table};
use crate::earths::words::{drift, headline, length, remedy};
use crate::format::{engineering, melt_volume, percent, significant, trimmed};
use crate::pairs::is_settled;
use arcplunge_core::case::Case;
use arcplunge_core::case::joint_id::JointId;
use arcplunge_core::case::model::Polarity;
use arcplunge_core::simulation::shot::Shot;
use arcplunge_core::study::card::{Card, HELD};
use arcplunge_core::study::chart::{Answer, KEYS};
use arcplunge_core::study::earths::Blow;

/// How far the flange stands off the chuck's face \[mm\].
const STANDS_OFF: f64 = 1.0;

/// The joints in the order in which they are made, with what each costs when loose.
pub fn connect(b: &mut Blocks, card: &Card) {
    b.heading(2, "1 Connect, bank off and discharged");
    let head = ["must be tight", "loose: takes", "reserve left", "weld"];
    let mut table = Table::new("   {:<22} {:>12}  {:<26} {}", head, 1);
    for loose in &card.joints {
        let name = joint(loose.what.joint);
        let name = match loose.what.state {
            "loose" => name,
            state => format!("{name}, {state}"),
        };
        let cells = match (&loose.shot, card.taken(loose)) {
            (Some(shot), Some(taken)) => [
                name.into(),
                more(taken).into(),
                reserve(shot).into(),
                word(shot),
            ],
            _ => [
                name.into(),
                "–".into(),
                "as bad already".into(),
                Cell::default(),
            ],
        };
        table.row(cells);
    }
    b.table(table);
    b.note(format!(
        "reserve when all is as in the case: {}",
        reserve(&card.weld.shot)
    ));
    b.say(polarity(card));
    b.gap();
}

fn more(joules: f64) -> String {
    let sign = if joules < 0.0 { "" } else { "+" };
    format!("{sign}{}", engineering(joules, "J"))
}

fn joint(id: JointId) -> String {
    match id {
        JointId::Bank => "gun lead at the bank".into(),
        JointId::Tool => "gun lead at the tool".into(),
        JointId::Chuck => "stud in the chuck".into(),
        JointId::Terminal(k) => format!("earth {k} at the bank"),
        JointId::Clamp(k) => format!("earth {k} at the sheet"),
    }
}

fn polarity(card: &Card) -> String {
    let (stud, sheet) = match card.weld.case.stud.polarity {
        Polarity::Negative => ("negative", "positive"),
        Polarity::Positive => ("positive", "negative"),
    };
    let (as_set, or) = match is_settled(&card.weld.case) {
        true => ("", ""),
        false => (
            "as the case has it, ",
            "; metals other than steel: follow the maker, or try both",
        ),
    };
    format!(
        "Polarity: {as_set}tool (stud) {stud}, earth leads {sheet}{or}. Lay leads out, none coiled; gun lead straight up from the tool."
    )
}

/// Voltage and spring force, with the window on either side, in marks where the rig has scales; `own` is the case as
/// it was.
pub fn set(b: &mut Blocks, card: &Card, own: &Case) {
    b.heading(2, "2 Set");
    let case = &card.weld.case;
    let sure = card
        .chance
        .map_or(String::new(), |chance| format!(" {}", short(chance)));
    match &card.answer {
        Some(Answer::Sound(s)) => {
            settings(b, &chart::sound(case, String::new(), s), &sure);
        }
        _ => {
            let volts = format!("{} V", trimmed(case.bank.voltage));
            let volts = volts + &crate::mark::beside(case, KEYS[0], case.bank.voltage);
            let force = format!("{} N", trimmed(case.tool.spring_force));
            let force = force + &crate::mark::beside(case, KEYS[1], case.tool.spring_force);
            b.say(format!(
                "Voltage {volts}; spring {force}: the case's own, no window searched or none found.{sure}"
            ));
        }
    }
    let advised = [&card.answer, &card.mark.answer].into_iter().flatten();
    let volts = advised.filter_map(|answer| match answer {
        Answer::Sound(s) => Some(s.voltage),
        _ => None,
    });
    if let Some(words) = charging(own, volts) {
        b.say(words);
    }
    b.gap();
}

fn settings(b: &mut Blocks, cells: &Cells, sure: &str) {
    let head = ["", "set", "mark", "sound between"];
    let mut table = Table::new("   {:<14} {:>15} {:>6}   {}", head, 1);
    let mark = |mark: &str| match mark {
        "" => "–".to_string(),
        mark => mark.to_string(),
    };
    let rows = [("voltage", &cells.voltage), ("spring force", &cells.force)];
    for (k, (name, value)) in rows.into_iter().enumerate() {
        table.row([
            name.to_string(),
            value.clone(),
            mark(&cells.marks[k]),
            cells.sound[k].clone(),
        ]);
    }
    b.table(table);
    let star = match cells.sound.iter().any(|span| span.contains('*')) {
        true => " A star: the search ended there, the window goes on.",
        false => "",
    };
    b.note(format!(
        "Both may be off by {} at once. Measure the spring force; wait for the ready lamp.{star}{sure}",
        cells.margin
    ));
}

/// The stud in the chuck.
pub fn stud(b: &mut Blocks) {
    b.heading(2, "3 Stud in the chuck");
    b.say(format!(
        "Push the stud in to the stop: jaws grip all round, no play, and it comes out by hand with a firm pull. \
         The flange stands {} mm off the chuck's face. Pip whole, clean, not ground or crushed.",
        trimmed(STANDS_OFF)
    ));
    b.gap();
}

/// Where the clamps stand and what they do to the melt.
pub fn earths(b: &mut Blocks, card: &Card) {
    b.heading(2, "4 Earth clamps");
    let (case, blow) = (&card.weld.case, &card.weld.blow);
    b.say(headline(case, blow).1);
    if let (Some(best), Some(now)) = (card.trials.first(), blow.distance()) {
        b.say(format!(
            "Better: {} (drift {} → {}{}).",
            remedy(case, best.remedy),
            drift(now),
            drift(best.blow.distance().unwrap_or(now)),
            filled(blow, &best.blow)
        ));
    }
    b.say("Grind the sheet bright under each clamp; same distance on opposite sides of the stud.");
    b.gap();
}

/// ", weakest fill 0.98 → 1.26", where the rim is not whole before, or less drift is not what is better.
fn filled(before: &Blow, after: &Blow) -> String {
    let farther = after.distance() > before.distance();
    match (before.weakest(), after.weakest()) {
        (Some(from), Some(to)) if from < 1.0 || farther => {
            let [from, to] = [from, to].map(|fill| significant(fill, 3));
            format!(", weakest fill {from} → {to}")
        }
        _ => String::new(),
    }
}

/// What the tool costs out of square.
pub fn square(b: &mut Blocks, card: &Card) {
    b.heading(2, "5 Tool square to the sheet");
    let head = [
        "out by",
        "least fill of the rim",
        "welded",
        "reserve",
        "weld",
    ];
    let mut table = Table::new("   {:<7} {:>21} {:>8}  {:<26} {}", head, 1);
    for tilt in &card.tilts {
        let name = format!("{}°", trimmed(tilt.what));
        table.row(match &tilt.shot {
            Some(shot) => rim(name, shot),
            None => [
                name.into(),
                "–".into(),
                "–".into(),
                "–".into(),
                Cell::default(),
            ],
        });
    }
    b.table(table);
    b.gap();
}

/// Fill, share and verdict of a weld on a rim that is not even.
fn rim(name: String, shot: &Shot) -> [Cell; 5] {
    let f = &shot.figures;
    [
        name.into(),
        f.rim_fill_min
            .map_or("–".into(), |fill| significant(fill, 3))
            .into(),
        f.welded_share.map_or("–".into(), percent).into(),
        reserve(shot).into(),
        word(shot),
    ]
}

/// How to mark the place, and what a punch mark costs.
pub fn marking(b: &mut Blocks, card: &Card) {
    b.heading(2, "6 Mark the place");
    let m = &card.mark;
    let depth = format!(
        "{} deep, {}°",
        length(m.mark.depth),
        trimmed(m.mark.angle.to_degrees())
    );
    let cost = match &m.with {
        Some(with) => {
            let [from, to] = [&m.without, with].map(|shot| of_fill(shot).unwrap_or("–".into()));
            let near = beside_it(with);
            let takes = match from == to {
                true => format!("leaves the reserve at {to}{near}"),
                false => format!("takes the reserve from {from} to {to}{near}"),
            };
            let word = crate::verdict::word(with.verdict).0;
            format!("A punch mark ({depth}) {takes}: {word}.")
        }
        None => format!("A punch mark ({depth}) cannot be made in this sheet."),
    };
    let instead = match &m.answer {
        Some(Answer::Sound(s)) => {
            let c = chart::sound(&card.weld.case, String::new(), s);
            format!(
                " Where every place has such a mark, set {}{} ({}) and {}{} ({}) instead.",
                c.volts,
                beside(&c.marks[0]),
                c.sound[0],
                c.force,
                beside(&c.marks[1]),
                c.sound[1]
            )
        }
        Some(other) => format!(
            " With such marks no setting is sound: {}.",
            chart::short(other)
        ),
        None => String::new(),
    };
    b.say(format!("Scribe or use a template. {cost}{instead}"));
    b.gap();
}

fn beside(mark: &str) -> String {
    match mark {
        "" => String::new(),
        mark => format!(", mark {mark}"),
    }
}

/// The template: hole, thickness, what it lets the tool lean.
pub fn template(b: &mut Blocks, card: &Card) {
    b.heading(2, "7 Template");
    let (t, asked) = (&card.template, &card.asked);
    let cost = t.shot.as_ref().map_or(String::new(), |shot| {
        format!(
            "; at that the weld is {} (reserve {})",
            crate::verdict::word(shot.verdict).0,
            reserve(shot)
        )
    });
    b.say(format!(
        "Hole {} for the {} that goes through it. {} thick, it lets the tool lean by {}°{cost}; {} would hold it to {}°. \
         {}Leave the underside open round the weld or lift the template some millimetres, so that vapour and \
         spatter get out; use a template that does not carry current.",
        length(t.hole),
        length(asked.guide),
        length(asked.template),
        significant(t.tilt.to_degrees(), 2),
        length(t.thickness),
        trimmed(HELD),
        excess(card)
    ));
    b.gap();
}

/// Melt that leaves over the rim.
fn excess(card: &Card) -> String {
    let v = &card.weld.shot.volumes;
    let out = v.squeezed + v.pip - v.vapour - v.space;
    if out <= 0.0 {
        return String::new();
    }
    format!("Here {} of melt come out at the rim. ", melt_volume(out))
}
