//! Proof of the first welds: what to look at, bend, torque, force; lines for the record.

use super::words::word;
use crate::document::{Blocks, Cell, Style, Table};
use crate::earths::clock;
use crate::format::{engineering, percent, significant, trimmed};
use arcplunge_core::simulation::holds::{BEND_TEST, Part};
use arcplunge_core::simulation::verdict::Verdict;
use arcplunge_core::study::card::{Card, Look, Screw};

/// Test welds of the record.
pub const WELDS: usize = 10;

/// Of the test welds, how many are bent and how many are tightened: own choice.
pub const BENT: usize = 3;

/// What a weld with this verdict looks like: common practice, no source.
pub fn seen(look: &Look) -> String {
    match look.verdict {
        Verdict::Sound => {
            "even ring of melt all round, no gap under the flange, little spatter".into()
        }
        Verdict::Cold => {
            "ring thin, broken or none; dark gap under the rim; flange may lift off whole".into()
        }
        Verdict::Hot => {
            "much spatter, rim undercut, craters; back of the sheet scorched or dented".into()
        }
        Verdict::BurnThrough => "sheet sunk or holed, stud leans or stands too deep".into(),
        Verdict::OneSided => match look.blow.weakest_at() {
            Some(at) => format!(
                "ring on one side; gap at {}; the other side squeezed",
                clock(at)
            ),
            None => "ring on one side only, gap on the other".into(),
        },
    }
}

/// What makes this weld instead of the card's.
pub fn made(card: &Card, look: &Look) -> String {
    let (now, then) = (&card.weld.case, &look.case);
    if now.tool.tilt != then.tool.tilt {
        return format!("{}° tilt", trimmed(then.tool.tilt.to_degrees()));
    }
    format!("{} V", trimmed(then.bank.voltage))
}

/// Good and bad welds of this rig.
pub fn look(b: &mut Blocks, card: &Card) {
    b.heading(2, "8 Look at the first welds");
    let head = ["weld", "here at", "fill", "boiled", "what to see"];
    let mut table = Table::new("   {:<12} {:>9} {:>5} {:>7}  {}", head, 9);
    for look in &card.looks {
        let f = &look.blow.shot.figures;
        let least = f
            .rim_fill_min
            .map_or("–".into(), |fill| significant(fill, 2));
        table.row([
            word(&look.blow.shot),
            made(card, look).into(),
            least.into(),
            f.vapour_share.map_or("–".into(), percent).into(),
            Cell::both("", seen(look)),
        ]);
    }
    b.table(table);
    b.in_text(|b| {
        let each = card.looks.iter();
        b.list(each.map(|look| format!("{}: {}.", look.verdict.name(), seen(look))));
    });
    let hot = |look: &Look| matches!(look.verdict, Verdict::Hot | Verdict::BurnThrough);
    let none = match card.looks.iter().any(hot) {
        true => String::new(),
        false => format!("; none is hot up to {} V", trimmed(card.highest)),
    };
    b.note(format!("fill: least at the rim, 1 needed{none}"));
    b.gap();
}

/// How many test welds, and how far to bend, tighten and pull.
pub fn test(b: &mut Blocks, card: &Card) {
    b.heading(2, "9 Bend, tighten, pull");
    b.say(format!(
        "Weld {WELDS} studs and look at all. Bend {BENT} by {}°† with a tube over the shank: no crack, no tear in the weld. \
         Tighten {BENT} others.",
        trimmed(BEND_TEST)
    ));
    match &card.screw {
        Some(screw) => b.say(tighten(card, screw)),
        None => b.say(
            "Torque: thread or yield of this stud is not known here, or there is no weld; take it from the standard.",
        ),
    }
    b.gap();
}

fn tighten(card: &Card, s: &Screw) -> String {
    let share = percent(card.asked.share);
    let limit = match s.limit {
        Part::Stud => format!(
            "{share} of the thread's yield, torsion included ({}†)",
            s.stud.source
        ),
        Part::Weld => format!("{share} of what the weld bears by the model"),
        Part::Sheet => format!("{share} of what a plug of the sheet bears by the model"),
    };
    let (part, breaks) = s.breaks;
    format!(
        "To {} N·m, for {}: {limit}, friction {}†; F·(0.159·P + 0.577·d₂·µ + ½·D·µ), ISO 16047. The stud must not turn. \
         Pulled further, the {} gives way first, at {} at most. Scrap what was tested.",
        significant(s.torque, 2),
        engineering(s.force, "N"),
        trimmed(card.asked.friction),
        part.name(),
        engineering(breaks, "N")
    )
}

/// Lines to be filled in.
pub fn record(b: &mut Blocks) {
    b.heading(2, "Record");
    let ten: Vec<String> = (1..=WELDS).map(|n| n.to_string()).collect();
    let rows = ["seen", "bent", "torque"];
    b.on_paper(|b| {
        let mut head = Table::of("", Vec::new(), 1);
        let names = ["stud lot", "operator", "date"];
        head.style = Style::Classed("record", [["", ""], ["", "w"]].repeat(3));
        head.head = vec![Cell::default(); 2 * names.len()];
        head.cells(
            names
                .iter()
                .flat_map(|name| [Cell::from(*name), Cell::default()]),
        );
        b.table(head);
        let weld = std::iter::once("weld".to_string()).chain(ten.clone());
        let mut table = Table::of("", weld.map(Cell::from).collect(), 1);
        let columns = std::iter::once(["", ""]).chain(std::iter::repeat_n(["", "w"], WELDS));
        table.style = Style::Classed("record", columns.collect());
        for row in rows {
            let blank = std::iter::repeat_n(Cell::default(), WELDS);
            table.cells(std::iter::once(Cell::from(row)).chain(blank));
        }
        b.table(table);
    });
    b.in_text(|b| {
        let line = |name: &str, cell: &dyn Fn(usize) -> String| {
            let cells: String = (1..=WELDS).map(|n| format!(" {:>6}", cell(n))).collect();
            format!("   {name:<6}{cells}")
        };
        let mut lines = vec![
            format!("   stud lot {0}  operator {0}  date {0}", "_".repeat(13)),
            line("weld", &|n| n.to_string()),
        ];
        lines.extend(rows.map(|row| line(row, &|_| "_____".into())));
        b.art(lines);
    });
    b.gap();
}
