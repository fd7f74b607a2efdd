//! During the shift: what to look at each hour, when to change a chuck, the first sign of each fault.

use super::words::{reserve, word};
use crate::document::{Blocks, Cell, Style, Table};
use crate::format::{capital, engineering};
use crate::shift::{bleed, duration, rounded};
use arcplunge_core::study::card::Card;

/// What to look at each hour.
pub fn hourly(b: &mut Blocks, card: &Card) {
    b.heading(2, "10 Each hour of the shift");
    let case = &card.weld.case;
    let mut points = vec![
        "Look at a weld all round its rim; bend one test weld. Stop at the first that is not as the first ones were.".to_string(),
        "Feel terminals and clamps with the bank off and discharged: one warmer than its like is loose. Clean jaws, slide and feet.".into(),
        format!(
            "Ready again {} after a shot, by the charger's figures; faster firing welds below {}.",
            duration(card.charge.ready),
            engineering(case.charger.ready * case.bank.voltage, "V")
        ),
    ];
    points.push(match card.chuck {
        Some(life) => format!(
            "Change or adjust the chuck before {} welds (95 of 100 part first between {} and {}: wear known to a \
             factor), and at once at burn marks on a thread.",
            rounded(life.low),
            rounded(life.low),
            rounded(life.high)
        ),
        None => "Change the chuck at the first burn mark on a thread.".into(),
    });
    points.push(bleed(&card.charge, case.bank.voltage));
    b.list(points);
    b.gap();
}

/// Every fault, its first sign, and what it does to this rig.
pub fn faults(b: &mut Blocks, card: &Card) {
    b.heading(2, "11 First sign of each fault");
    let mut table = Table::new("   {:<25} {:<14} {}", ["fault", "weld", "reserve"], 9);
    table.style = Style::Figures(9);
    for fault in &card.faults {
        let name = fault.what.name.replace('-', " ");
        let (verdict, left) = match &fault.shot {
            Some(shot) => (word(shot), reserve(shot)),
            None => (Cell::from("–"), "cannot be had".into()),
        };
        table.row([Cell::from(name), verdict, left.into()]);
    }
    b.in_text(|b| {
        b.table(table);
        let signs = card.faults.iter();
        b.list(signs.map(|f| {
            format!(
                "{}: {}",
                capital(&f.what.name.replace('-', " ")),
                f.what.seen
            )
        }));
    });
    b.on_paper(|b| {
        let signs = card.faults.iter();
        let told = signs.map(|f| {
            let name = capital(&f.what.name.replace('-', " "));
            let verdict = f
                .shot
                .as_ref()
                .map_or("–", |s| crate::verdict::word(s.verdict).0);
            format!("{name} ({verdict} here): {}", f.what.seen)
        });
        b.group("div", "signs", |b| b.list(told));
    });
    b.gap();
}
